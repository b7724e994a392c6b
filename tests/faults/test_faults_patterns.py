"""What a line about many controls is understood as; the patterns are those of the trade notes, section 2."""

from __future__ import annotations

import pytest
from helpers.fault_worlds import demo, model_of

from benchtui.errors import JobError
from benchtui.faults import hunt
from benchtui.faults.belief import suspects
from benchtui.faults.pattern_evidence import pattern_event
from benchtui.faults.patterns import lines_that_fit, read_pattern, select_lines

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
        ("F1 to F8 read 1,2,3", "8 controls and 3 values"),
        ("F8 to F1 read 1", "no row of controls"),
        ("F1 to F99999 read 1", "no row of controls"),
        ("F1 to F9 are dead", "no control F9"),
        ("moving F3 moves Q9", "no control Q9"),
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
