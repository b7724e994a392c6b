"""What stands beside each answer, what is set before a reading, and what the times of a repair are."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from helpers.hunts_seen import page, real_hunt, shown

from benchtui.ui.view.answers import together
from benchtui.ui.view.hunt import HuntSight, hunt_head, hunt_page, middle_of
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.text import plain
from benchtui.ui.walks import subject_of

CASES = [
    ("control", "F3", "control-dead"),
    ("control", "K2", "jumpy"),
    ("control", "R1", "jumpy"),
    ("control", "B1", "phantom-presses"),
    ("control", "T1", "control-dead"),
    ("control", "E1", "counts-double"),
    ("control", "L4", "lamp-dark"),
    ("bank", "A", "bank-dead"),
]


@pytest.mark.parametrize(("scope", "subject", "symptom"), CASES)
def test_each_answer_has_its_meaning_beside_it_in_a_small_window(scope: str, subject: str, symptom: str) -> None:
    one = real_hunt(subject, symptom, scope=scope)
    one.settle()
    text = page(one)  # 80 x 24 less head and keys
    assert text.count("→") == len(one.proposal.outcomes)
    for outcome in one.proposal.outcomes[:-1]:
        assert outcome.meaning == "tells little" or f"({outcome.belief:.0%})".replace("%", " %") in text
    assert "→ no change" in text


def test_an_answer_that_moves_no_suspect_is_said_to_tell_little() -> None:
    one = real_hunt("F3", "control-dead")
    one.pick("T29")
    assert one.proposal.outcomes[0].meaning == "tells little"
    assert one.proposal.outcomes[0].raises == ""


def test_a_control_that_is_read_in_a_copy_is_to_be_set_first() -> None:
    one = real_hunt("A", "bank-dead", scope="bank")
    one.pattern("moving F7 moves F8")
    one.pick("T32")
    assert one.beforehand == ("Set fader F7 to the middle of its travel first, and leave it there.",)
    text = shown(one)
    assert text.index("first Set fader F7 to the middle") < text.index("probes")
    assert "with F7 at the middle," in text


def test_a_pattern_of_a_select_line_leads_from_one_control_to_its_bank() -> None:
    for one, about in ((real_hunt("F3"), "fader F3"), (real_hunt("", "unit-dead", scope="unit"), "the whole unit")):
        said = one.pattern("F1 to F6 read 0,0,2,2,4,4").text
        assert said.endswith(f"That is a fault of bank A, not of {about}: begin a hunt there")
    bank = real_hunt("A", "bank-dead", scope="bank")
    assert "begin a hunt" not in bank.pattern("F1 to F6 read 0,0,2,2,4,4").text


def test_the_two_times_of_a_repair_are_told_apart() -> None:
    one = real_hunt("F3", "control-dead")
    one.pick("re-terminate")
    minutes = one.run.hunts.library.procedure("re-terminate").minutes
    assert f"for a practised hand; step by step, with every check, about {minutes:.0f} min" in shown(one)
    assert "too long before curtain" not in shown(one)
    late = real_hunt("F3", "control-dead", minutes=20)
    late.pick("re-terminate")
    assert "; that is too long before curtain" in shown(late)


def test_no_key_is_offered_for_the_way_out_before_the_symptom_was_tried() -> None:
    one = real_hunt()
    one.pick("re-terminate")
    one.answer(1)
    assert one.way_out().problem
    text = page(one)
    assert " w  way out" not in text
    assert "if it is still there, the way out: Map its function to a spare control" in text


def test_a_hunt_on_the_whole_unit_says_what_to_work() -> None:
    one = real_hunt("", "unit-dead", scope="unit")
    one.pick("T04")
    assert "work three controls of different kinds" in shown(one)


def test_a_share_is_never_parted_from_its_figure() -> None:
    words = "0 if bad joint at F3 lug 1 (10 %) or broken wire at F3 lug 1 (9 %), about 23 min on average"
    for width in range(30, 70):
        for row in plain(together(words, width)).split("\n"):
            assert not row.strip().startswith(("%", "min"))
            assert "\ue000" not in row


def test_a_work_around_in_sight_says_by_when_it_has_to_be_begun() -> None:
    one = real_hunt("F3", "control-dead", minutes=20)
    one.way_out()
    text = page(one)
    assert "this is the way out: begin it within 18 min" in text
    assert " w  way out" not in text


def test_nothing_is_offered_when_it_is_too_late() -> None:
    one = real_hunt("F3", "control-dead", minutes=1)
    one.settle()
    lines, _ = hunt_page(one.proposal, HuntSight(too_late=True), width=80, height=20, shapes=UNICODE)
    assert "Nothing fits before curtain" in plain(lines)
    assert " r " not in plain(lines)


def test_a_work_around_picked_by_hand_gives_its_own_reason() -> None:
    one = real_hunt("F3", "control-dead")
    one.way_out()
    assert one.proposal.why == "It brings a working input at once, and the fault stays. What was proposed may cure it."
    one.answer(1)
    assert "way out" not in page(one)  # it is in place already


def test_a_unit_that_was_worked_around_may_be_well() -> None:
    one = real_hunt("", "silent-in-show", scope="unit")
    one.way_out()
    one.answer(1)
    assert "The fault is still in the unit, its lead or the computer." in shown(one)
    one.answer(1)
    assert one.proposal.title == "Write it down: the fault is still there"
    assert "It is still in the unit, its lead or the computer." in one.proposal.do


@pytest.mark.parametrize("width", [60, 80])
def test_neither_what_is_hunted_nor_the_curtain_is_cut(width: int) -> None:
    one = real_hunt("", "silent-in-show", scope="unit", minutes=15)
    rows = hunt_head(one.run.state, width, UNICODE, design="Hollin cue desk", unit="HCD-001-R", elapsed=0)
    text = " ".join(plain(rows).split())
    assert "he whole unit, silent in the show program, though it lights up" in text
    assert "curtain in 15 min" in text
    assert "…" not in text


def test_the_way_out_counts_down_while_a_move_is_being_made() -> None:
    one = real_hunt("F3", "control-dead", minutes=20)
    one.settle()
    before = one.in_sight.reserve
    one.run.begun -= timedelta(minutes=12)
    assert before is not None
    assert one.in_sight.reserve == pytest.approx(before - 12, abs=0.1)
    one.run.begun -= timedelta(minutes=7)
    assert one.in_sight.workaround is None  # one minute left, and it takes two


def test_probes_that_stay_where_they_are_are_named_once() -> None:
    one = real_hunt("F3", "control-dead")
    one.pick("T13")
    text = shown(one)
    assert text.count("red on J1 pin 5") == 1
    assert "probes as before, F3 at the middle" in text
    one.reading("1.64 V")
    assert "probes red on J1 pin 5" in shown(one)  # the next one stands whole beside its field


def test_a_move_on_another_control_is_foretold_and_gone_through_there() -> None:
    one = real_hunt("B1", "phantom-presses")
    one.pick("T20@B6")
    assert "if shorted diode at B6" in shown(one) or "as healthy" in shown(one)
    assert "shorted diode at B1" not in " ".join(each for point in one.foretold for each in point)
    one.pick("diode@B6")
    assert subject_of(one.run, one.proposal.move) == "B6"
    one.pick("sweep-clean")
    assert subject_of(one.run, one.proposal.move) == "B1"


def test_minutes_are_not_cut_and_no_line_is_passed_over_in_the_smallest_window() -> None:
    one = real_hunt("F3", "control-dead", minutes=30)
    one.settle()
    rows, most = hunt_page(one.proposal, HuntSight(), width=72, height=16, shapes=UNICODE)
    text = plain(rows)
    assert re.search(r" w  way out: .*, 2 min; it can wait \d+ min$", text, re.MULTILINE)
    assert not re.search(r"\d…", text)
    middle = middle_of(rows)
    assert 1 < middle < 8
    seen = set()
    for top in (*range(0, most, max(middle - 1, 1)), most):  # as the down key goes
        seen |= {
            plain([row])
            for row in hunt_page(one.proposal, HuntSight(top=top), width=72, height=16, shapes=UNICODE)[0][:middle]
        }
    whole, _ = hunt_page(one.proposal, HuntSight(), width=72, height=16 + most, shapes=UNICODE)
    assert {plain([row]) for row in whole[: middle_of(whole)] if row} <= seen


def test_how_long_the_way_out_can_wait_is_counted_alike_on_both_pages() -> None:
    one = real_hunt("F3", "control-dead", minutes=40)
    one.pick("re-terminate")  # a move of some minutes
    text = page(one)
    waits, after = one.proposal.waits, one.proposal.reserve
    assert waits is not None
    assert after is not None
    assert f"; it can wait {waits:.0f} min, {after:.0f} min after this" in text
    one.way_out()
    assert f"this is the way out: begin it within {waits:.0f} min" in page(one)
    quick = real_hunt("F3", "control-dead", minutes=40)
    quick.pick("T33")  # half a minute: one figure says both
    assert f"; it can wait {quick.proposal.waits:.0f} min\n" in f"{page(quick)}\n"
