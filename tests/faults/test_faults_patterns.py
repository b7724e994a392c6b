"""What a line about many controls is understood as; the patterns are those of the trade notes, section 2."""

from __future__ import annotations

import pytest
from helpers.fault_worlds import demo, model_of, shipped_model

from benchtui.errors import JobError
from benchtui.faults import hunt
from benchtui.faults.belief import suspects
from benchtui.faults.events import TestAnswered, Withdrawn
from benchtui.faults.foretold import foretell
from benchtui.faults.pattern_evidence import pattern_event
from benchtui.faults.patterns import read_pattern
from benchtui.faults.points import points_of
from benchtui.faults.select_lines import lines_that_fit, select_lines

EIGHT = [f"F{number}" for number in range(1, 9)]
CHANNEL = {name: index for index, name in enumerate(EIGHT)}


@pytest.mark.parametrize(
    ("text", "shape", "words"),
    [
        ("F1 to F8 read 0,0,2,2,4,4,6,6", "readings", "F1 0, F2 0, F3 2"),
        ("f1-f8 show 0 0 2 2 4 4 6 6", "readings", "F1 0, F2 0"),
        ("none of them reaches zero", "short-low", "none of them reaches the bottom"),
        ("None reach zero.", "short-low", "none of them"),
        ("none of them reaches the top", "short-high", "none of them reaches the top"),
        ("moving F3 moves F4", "moves", "moving F3 moves F4 as well"),
        ("Moving f3 also moves f4", "moves", "moving F3 moves F4 as well"),
        ("F1 to F8 stay at 0", "stays-low", "F1 to F8 stay at the bottom"),
        ("they all stay at 127", "stays-high", "all of them stay at the top"),
        ("F5 to F8 are dead", "dead", "F5 to F8 are dead"),
        ("F5, F6 and F7 are silent", "dead", "F5 to F7 are dead"),
        ("F3 moves F4 too", "moves", "moving F3 moves F4 as well"),
        ("when I move F3, F4 moves too", "moves", "moving F3 moves F4 as well"),
        ("F2 copies F1", "moves", "moving F1 moves F2 as well"),
        ("F3 and F4 always show the same number", "same", "F3 and F4 always show the same"),
        ("F1 to F4 are stuck at full", "stays-high", "F1 to F4 stay at the top"),
        ("F1 to F4 work, F5 to F8 don't", "dead", "F5 to F8 are dead"),
        ("F1 to F4 are fine but F5 to F8 stay at 0", "stays-low", "F5 to F8 stay at the bottom"),
        ("F1 to F3 move, F4 to F8 stay at 0", "stays-low", "F4 to F8 stay at the bottom"),
        ("F1 to F3 reach 127, F4 to F8 do not reach 127", "short-high", "F4 to F8 do not reach the top"),
        ("F4 to F8 never reach 0, F1 to F3 do", "short-low", "F4 to F8 do not reach the bottom"),
        ("F4 to F8 stay at 0, the others work", "stays-low", "F4 to F8 stay at the bottom"),
        ("nothing from F1 to F8", "dead", "F1 to F8 are dead"),
        ("F1 to F4 show nothing", "dead", "F1 to F4 are dead"),
        ("F5 to F8 do nothing", "dead", "F5 to F8 are dead"),
        ("F5 and F6 do not move", "dead", "F5 and F6 are dead"),
        ("F5 and F7 are dead", "dead", "F5 and F7 are dead"),
        ("none of them works at all", "dead", "all of them are dead"),
        ("none of the faders moves; all show 0", "stays-low", "all of them stay at the bottom"),
        ("F1..F8: 0 0 2 2 4 4 6 6", "readings", "F1 0, F2 0"),
        ("F1 reads 0, F2 reads 0, F3 reads 64", "readings", "F1 0, F2 0, F3 64"),
        ("F1 to F8 read 0 however I move them", "stays-low", "F1 to F8 stay at the bottom"),
        ("F1 to F8 only go up to 100", "short-high", "F1 to F8 do not reach the top"),
        ("F1 to F8 don't reach zero", "short-low", "F1 to F8 do not reach the bottom"),
        ("F1 to F8 stay at 10", "wanders", "F1 to F8 stay in between"),
        ("they all wander", "wanders", "all of them wander"),
    ],
)
def test_lines_are_understood(text: str, shape: str, words: str) -> None:
    pattern = read_pattern(text, EIGHT)
    assert pattern.shape == shape
    assert pattern.words.startswith(words)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "names no control"),
        ("it is broken", "names no control"),
        ("F1 to F8 wobble", "not understood"),
        ("F1 to F8 are not dead", "says what is not so"),
        ("every second fader is dead", "not clear which ones"),
        ("all read 0", "parked there reads 0 too"),
        ("F1 to F8 read 0,0,0,0,0,0,0,0", "parked there reads 0 too"),
        ("all faders are at 0", "parked there reads 0 too"),
        ("F1 to F8 read 1,2,3", "8 controls and 3 values"),
        ("F8 to F1 read 1", "no row of controls"),
        ("F1 to F99999 read 1", "no row of controls"),
        ("F1 to F9 are dead", "no control F9"),
        ("moving F3 moves Q9", "no control Q9"),
        ("F1 to F3 move fast and slow while F4 is dead", "about F4 as well"),
    ],
)
def test_what_is_not_understood_is_said(text: str, message: str) -> None:
    with pytest.raises(JobError, match=message):
        read_pattern(text, EIGHT)


@pytest.mark.parametrize(
    ("name", "reads"),
    [
        ("S0 stuck low", (0, 0, 2, 2, 4, 4, 6, 6)),
        ("S0 stuck high", (1, 1, 3, 3, 5, 5, 7, 7)),
        ("S1 stuck low", (0, 1, 0, 1, 4, 5, 4, 5)),
        ("S1 stuck high", (2, 3, 2, 3, 6, 7, 6, 7)),
        ("S2 stuck low", (0, 1, 2, 3, 0, 1, 2, 3)),
        ("S2 stuck high", (4, 5, 6, 7, 4, 5, 6, 7)),
        ("S0 and S1 exchanged", (0, 2, 1, 3, 4, 6, 5, 7)),
        ("S1 and S2 exchanged", (0, 1, 4, 5, 2, 3, 6, 7)),
        ("S0 and S2 exchanged", (0, 4, 2, 6, 1, 5, 3, 7)),
    ],
)
def test_select_lines_of_an_eight_channel_multiplexer(name: str, reads: tuple[int, ...]) -> None:
    # Trade notes, section 2, the rows of the 8:1 multiplexer (computed there too).
    assert next(line.reads for line in select_lines(8) if line.name == name) == reads
    values = ",".join(map(str, reads))
    pattern = read_pattern(f"F1 to F8 read {values}", EIGHT)
    found = lines_that_fit(pattern, CHANNEL, 8, values_are_channels=True)
    assert [line.name for line in found] == [name]


def test_copies_of_any_position_point_to_the_line() -> None:
    pattern = read_pattern("F1 to F8 read 10,10,40,40,70,71,100,100", EIGHT)
    assert {line.name for line in lines_that_fit(pattern, CHANNEL, 8)} == {"S0 stuck low", "S0 stuck high"}
    healthy = read_pattern("F1 to F8 read 10,20,40,50,70,80,100,110", EIGHT)
    assert lines_that_fit(healthy, CHANNEL, 8) == ()


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("F5 to F8 stay at the top", "F12@F5.ground"),
        ("F3 to F8 stay at 0", "F11@F3.supply"),
        ("F1 to F8 stay at 127", "F12@F1.ground"),
        ("F1 to F3 move, F4 to F8 stay at 0", "F11@F4.supply"),
        ("from F4 on they stay at 0", "F11@F4.supply"),
        ("F4 is the first that stays at 0", "F11@F4.supply"),
        ("From f7 on, they stay at 127", "F12@F7.ground"),
    ],
)
def test_a_run_of_controls_points_to_the_link_before_it(text: str, first: str) -> None:
    # A chain feeds lug after lug: beyond an open link every control goes to one end (trade notes 2).
    design, _ = demo()
    state = hunt.start(model_of("bank", "A"), design, scope="bank", subject="A", symptom="bank-dead")
    event = pattern_event(state, text)
    assert event.words
    state = hunt.advance(state, event)
    assert suspects(state)[0].fault == first
    assert state.elapsed == 0.0


def test_copies_point_to_the_select_line() -> None:
    design, _ = demo()
    state = hunt.start(model_of("bank", "A"), design, scope="bank", subject="A")
    state = hunt.advance(state, pattern_event(state, "F1 to F8 read 10,10,40,40,70,70,100,100"))
    assert {suspect.fault for suspect in suspects(state)[:2]} == {"F15@S0-stuck-low", "F15@S0-stuck-high"}


@pytest.mark.parametrize(
    ("text", "first"),
    [("moving F3 moves F4", "F15@S0-stuck-low"), ("F3 copies F4", "F15@S0-stuck-high")],
)
def test_which_one_moves_both_tells_how_the_select_line_is_stuck(text: str, first: str) -> None:
    # Channels 2 and 3 differ in S0: stuck low shows channel 2 for both, stuck high channel 3 (trade notes 2).
    design, _ = demo()
    state = hunt.start(model_of("bank", "A"), design, scope="bank", subject="A", symptom="bank-dead")
    state = hunt.advance(state, pattern_event(state, text))
    best, second = suspects(state)[:2]
    assert best.fault == first
    assert best.share > 5.0 * second.share


def test_a_copy_of_a_control_that_stands_at_an_end_does_not_clear_the_select_line() -> None:
    # U5 2: the channel that is shown instead belongs to a control that was left at the bottom.
    design, _ = demo()
    state = hunt.start(model_of("bank", "A"), design, scope="bank", subject="A", symptom="bank-dead")
    state = hunt.advance(state, pattern_event(state, "F1 to F6 read 0,0,2,2,4,4"))
    lines = sum(suspect.share for suspect in suspects(state) if suspect.fault.startswith("F15@S0"))
    assert lines > 0.6
    state = hunt.advance(state, TestAnswered(test="T32", outcome="stays-low"))
    assert suspects(state)[0].fault.startswith("F15@S0")


@pytest.mark.parametrize(
    ("scope", "subject", "text"),
    [
        ("control", "F1", "F5 to F8 are dead"),
        ("control", "F1", "moving F3 moves F4"),
        ("bank", "B", "F1 to F4 are dead"),
    ],
)
def test_a_line_about_other_controls_is_no_evidence_here(scope: str, subject: str, text: str) -> None:
    design, _ = demo()
    state = hunt.start(model_of(scope, subject), design, scope=scope, subject=subject)
    with pytest.raises(JobError, match="says nothing of"):
        pattern_event(state, text)


def test_a_line_counts_once() -> None:
    design, _ = demo()
    state = hunt.start(model_of("bank", "A"), design, scope="bank", subject="A")
    state = hunt.advance(state, pattern_event(state, "F5 to F8 are dead"))
    with pytest.raises(JobError, match="known already"):
        pattern_event(state, "f5-f8 silent")
    state = hunt.advance(state, Withdrawn())
    assert pattern_event(state, "f5-f8 silent").answers


def test_a_work_around_needs_controls_behind_another_multiplexer() -> None:
    # U5 1: the rotary controls of bank B are behind the same multiplexer as the faders of bank A.
    assert "other-bank" not in {each.id for each in model_of("bank", "A").workarounds}
    assert "from-computer" in {each.id for each in model_of("bank", "A").workarounds}
    assert "other-bank" in {each.id for each in shipped_model().workarounds}


def test_what_is_foretold_of_a_copy_says_where_the_other_control_stands() -> None:
    design, bench = demo()
    state = hunt.start(model_of("bank", "A"), design, scope="bank", subject="A", symptom="bank-dead")
    state = hunt.advance(state, pattern_event(state, "moving F7 moves F8"))
    test = next(each for each in state.layout.tests if each.id == "T32")
    told = foretell(state, bench, points_of(design, state.target, test))
    assert any("with F7 at the middle," in each.reading for point in told for each in point)
