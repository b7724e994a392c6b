"""A hunt in words, as `benchtui record JOB` prints it."""

from __future__ import annotations

from types import SimpleNamespace

from benchtui.content.library import Library
from benchtui.faults.reading import load_model
from benchtui.faults.told import hunt_lines


def event(kind: str, **data: object) -> SimpleNamespace:
    return SimpleNamespace(job="HA", kind=kind, time="2031-03-01T09:00:00+00:00", data=data)


EVENTS = [
    event("hunt-started", title="Find the fault: fader F3", deadline=25.0, words="it went quiet"),
    event("hunt-test", test="T32", outcome="cannot tell", typed=["63", "64"]),
    event("hunt-repair", repair="re-terminate", note=""),
    event("hunt-again", gone=True, tries=3),
    event("hunt-closed", result="fixed", found="a broken strand", done="", parts="none", fault="F21"),
]


def test_a_hunt_is_told_from_its_events_with_the_titles_of_its_model() -> None:
    model = load_model(Library.open().path_of("fault-model", "dead-input"))
    told = [words for _, words in hunt_lines(EVENTS, model)]
    assert told[0] == "began: Find the fault: fader F3, curtain in 25 min"
    assert told[1] == "in the player's words: it went quiet"
    assert told[2].endswith("cannot tell (read 63, 64)")
    assert told[3] == "repaired: Cut back and re-terminate the signal lead"
    assert "ended: fixed" in told
    assert "found: a broken strand" in told
    assert told[-1].startswith("cause confirmed: Signal wire broken")


def test_a_short_that_was_left_inside_is_told() -> None:
    told = [words for _, words in hunt_lines([event("hunt-started", title="Find the fault", locked=True)], None)]
    assert told[1] == "another hunt had left a short inside: measured before anything else"


def test_ids_stand_in_where_the_model_is_gone() -> None:
    told = [words for _, words in hunt_lines(EVENTS, None)]
    assert "repaired: re-terminate" in told
    assert told[-1] == "cause confirmed: F21"


def said(kind: str, **data: object) -> str:
    model = load_model(Library.open().path_of("fault-model", "dead-input"))
    return next(words for _, words in hunt_lines([event(kind, **data)], model))


def test_each_line_reads_as_a_sentence_would() -> None:
    assert said("hunt-again", gone=True, tries=3) == "the symptom tried again: gone in 3 tries"
    assert said("hunt-again", gone=True, tries=1) == "the symptom tried again: gone"
    assert said("hunt-again", gone=False, tries=3) == "the symptom tried again: still there"
    assert said("hunt-test", test="T33", outcome="right") == "test, Direction: it rises"
    assert said("hunt-test", test="T32", outcome="odd", before=True).startswith("test, known before: Does it reach")
    assert said("hunt-repair", repair="clean", before=True).startswith("repaired before, without success: Clean")
    assert said("hunt-walk", procedure="re-terminate", job="ABC123") == "the repair, step by step, is job ABC123"
    assert said("hunt-workaround", workaround="spare-control").startswith("work-around: Map its function")
    assert said("hunt-not-possible", move="T27", why="no spare").startswith(
        "cannot be done here, because no spare: The"
    )
    assert said("hunt-pattern", text="F1 0", words="F1 at the bottom").endswith("F1 0 (F1 at the bottom)")
    assert said("hunt-neighbours", well=True) == "neighbours tried: they all work"
    assert said("hunt-neighbours", well=False, which="F4") == "neighbours tried: F4 does not work"
    assert said("hunt-neighbours", well=False, which="F4", left=True).endswith("and is left for a hunt of its own")
    assert said("hunt-note", text="hums") == "note: hums"
    assert said("hunt-deadline", minutes=25.0) == "curtain 25 min after the hunt began"
    assert said("hunt-deadline", minutes=None) == "no hurry"
    assert said("hunt-withdrawn") == "the answer before was taken back"


def test_a_work_around_that_serves_is_no_cure_in_the_record() -> None:
    around = [
        event("hunt-workaround", job="HA", workaround="spare-control"),
        event("hunt-again", job="HA", gone=True, tries=1),
        event("hunt-closed", job="HA", result="work-around"),
    ]
    told = [words for _, words in hunt_lines(around, None)]
    assert told[1] == "the work-around tried: it serves, and the fault was left as it was"
    assert told[2] == "ended: a work-around serves, and the fault was left as it was"
    assert "gone" not in " ".join(told)


def test_a_work_around_that_was_taken_back_is_not_what_was_tried() -> None:
    acts = [
        event("hunt-repair", repair="re-terminate"),
        event("hunt-again", gone=False, tries=1),
        event("hunt-workaround", workaround="spare-control"),
        event("hunt-note", text="K6 is wanted for the sea"),
        event("hunt-withdrawn", event=3),
        event("hunt-withdrawn", event=2),
        event("hunt-again", gone=True, tries=1),
    ]
    told = [words for _, words in hunt_lines(acts, None)]
    assert told[-1] == "the symptom tried again: gone"


def test_power_that_is_not_there_is_told() -> None:
    assert said("hunt-power", there=False) == "there is no power here"
    assert said("hunt-power", there=True) == "there is power again"
