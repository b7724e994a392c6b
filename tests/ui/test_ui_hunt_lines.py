"""A hunt in the line mode: what it says beside each move, clean tries, and forgetting what was learnt."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

from helpers.fault_worlds import demo, shipped_model
from helpers.script import Script

from benchtui.content.library import Library
from benchtui.faults.events import WalkOpened
from benchtui.faults.run import Hunts
from benchtui.jobs.run import Bench
from benchtui.paths import content_roots
from benchtui.record.store import Store
from benchtui.ui.judge import Judge
from benchtui.ui.lines.hunt import HuntTalk
from benchtui.ui.lines.talk import Left, Talk
from benchtui.ui.walks import walks

if TYPE_CHECKING:
    from pathlib import Path


def said(tmp_path: Path, lines: list[str], *, symptom: str = "control-dead") -> tuple[str, list[str]]:
    """What is said while these lines are typed, and the kinds of event that were kept."""
    script = Script(*lines)
    design, _ = demo()
    with Store.open(tmp_path / "record.sqlite") as store:
        hunts = Hunts(Library.open(), store)
        run = hunts.start(design, model=shipped_model(), scope="control", subject="F3", symptom=symptom)
        with suppress(Left):
            HuntTalk(script.talk(), run, emergency=("Pull the USB lead out",)).go()
        return script.text, [event.kind for event in store.events()]


def test_a_move_is_said_with_what_it_would_read_under_the_leading_suspects(tmp_path: Path) -> None:
    text, _ = said(tmp_path, ["quit"])
    assert "Suspects, from estimates only: no confirmed repair yet:" in text
    assert "Way out: " in text


def test_what_was_learnt_can_be_heard_and_forgotten(tmp_path: Path) -> None:
    text, kinds = said(tmp_path, ["learnt", "forget here", "forget all", "forget it", "quit"])
    assert "estimates only: no confirmed repair yet" in text
    assert "The repairs stay in the record." in text
    assert "learnt: what stands behind the weights" in text  # an unknown word is answered with what can be typed
    assert kinds.count("weights-reset") == 2


def test_a_repair_that_was_put_aside_ends_with_its_hunt(tmp_path: Path) -> None:
    design, _ = demo()
    with Store.open(tmp_path / "record.sqlite") as store:
        library = Library.open()
        hunts, bench = Hunts(library, store), Bench(library, store)
        run = hunts.start(design, model=shipped_model(), scope="control", subject="F3", symptom="control-dead")
        job = bench.start("mend-end-leads", design_id=design.id, subject="F3")
        run.act(WalkOpened(procedure="mend-end-leads", job=job.job))
        job.suspend()
        assert [walk.job for walk in walks(bench, run)] == [job.job]
        typed = iter(["close", "1", "nothing", "nothing", "none", "only in the cold hall"])  # it does not show any more
        HuntTalk(Talk(lambda _: next(typed), lambda _: None), run, emergency=(), bench=bench).go()
        assert run.state.phase == "closed"
        assert not walks(bench, run)
        assert not [each for each in bench.open_jobs() if each.job == job.job]


def test_while_a_short_may_be_inside_a_hunt_is_not_closed_as_over(tmp_path: Path) -> None:
    design, _ = demo()
    with Store.open(tmp_path / "record.sqlite") as store:
        run = Hunts(Library.open(), store).start(
            design, model=shipped_model(), scope="control", subject="F3", signs=("smells",)
        )
        heard: list[str] = []
        # Each caution of the measurement is read first; then the hunt is closed at the first way of ending it.
        typed = iter(["a"] * len([each for each in run.cautions(run.propose()) if each.person]))
        lines = iter([*typed, "close", "1", "a smell", "nothing", "none"])

        def hear(question: str) -> str:
            heard.append(question)
            return next(lines)

        HuntTalk(Talk(hear, heard.append), run, emergency=()).go()
        assert run.state.result is not None
        assert run.state.result.result == "open"
        assert "no power before V+ to GND is healthy" in run.state.result.conditions
        text = " ".join(heard)
        assert "Safety goes first." in text
        assert "not reproduced" not in text
        assert "Plug the unit in" not in text


def test_all_moves_what_was_tried_and_all_suspects_can_be_heard(tmp_path: Path) -> None:
    text, kinds = said(
        tmp_path,
        ["moves", "1", "tried", "Direction", "1", "moves", "", "suspects", "trail", "tried", "re-wire", "quit"],
    )
    assert "On offer, best first. They stand by the last figure:" in text
    assert "losses counted" in text
    assert "What was tried before?" in text
    assert "Direction: what came out?" in text
    assert "Not on offer, known before this hunt: test, Direction." in text
    assert "taken in: Direction: it rises, known before this hunt" in text
    assert "Re-wire the end leads, tried before this hunt, did not help" in text
    assert "Direction: it rises" in text
    assert (kinds.count("hunt-test"), kinds.count("hunt-repair")) == (1, 1)


def test_a_repair_is_gone_through_step_by_step_and_is_then_done(tmp_path: Path) -> None:
    design, _ = demo()
    with Store.open(tmp_path / "record.sqlite") as store:
        library = Library.open()
        hunts, bench = Hunts(library, store), Bench(library, store)
        run = hunts.start(design, model=shipped_model(), scope="control", subject="F3", symptom="control-dead")
        opened: list[str] = []

        def open_job(job: str) -> str:
            opened.append(job)
            bench.resume(job).close(decision="all steps done")
            return "complete"

        talk = HuntTalk(Talk(lambda _: "quit", lambda _: None), run, emergency=(), bench=bench, open_job=open_job)
        talk.hunting.pick("re-terminate")
        talk._do("steps")
        assert len(opened) == 1
        assert [each.kind for each in store.events(job=run.job)][-2:] == ["hunt-walk", "hunt-repair"]
        assert talk.hunting.proposal.title == "Try the original symptom again"


def test_a_repair_whose_text_has_a_mistake_is_not_begun_and_the_hunt_goes_on(tmp_path: Path) -> None:
    # MIL-DTL-23618H, ANSI Z535.6: the caution stands before its step; a text that hides one is not worked by.
    design, _ = demo()
    library = Library.open()
    text = library.path_of("procedure", "re-terminate").read_text(encoding="utf-8")
    where = text.index("steps:\n") + len("steps:\n")
    wipe = "  - id: wipe-it\n    section: Begin\n    do: Wipe the lug with isopropyl alcohol.\n    minutes: 1\n"
    own = tmp_path / "own"
    own.mkdir()
    (own / "re-terminate.yaml").write_text(text[:where] + wipe + text[where:], encoding="utf-8")
    library = Library.open([*content_roots(), own])
    with Store.open(tmp_path / "record.sqlite") as store:
        hunts, bench = Hunts(library, store), Bench(library, store, judge=Judge())
        run = hunts.start(design, model=shipped_model(), scope="control", subject="F3", symptom="control-dead")
        talk = HuntTalk(Talk(lambda _: "quit", lambda _: None), run, emergency=(), bench=bench, open_job=lambda _: "")
        talk.hunting.pick("re-terminate")
        before = store.events()
        reply = talk._steps()
        assert reply.problem
        assert reply.text.startswith("not begun: the text of ")
        assert "isopropanol" in reply.text
        assert store.events() == before


def test_curtain_way_out_times_and_working_are_said_too(tmp_path: Path) -> None:
    text, _ = said(tmp_path, ["curtain 40", "working", "or", "or", "quit"])
    assert "Curtain in 40 min." in text
    assert "; it can wait 38 min." in text
    assert "Test: Does it reach both ends? 30 s." in text
    assert "Or: back to the move that was proposed." in text
    assert "F3 at the lower stop:" in text  # the working names its test point
    text, _ = said(tmp_path / "again", ["curtain 1", "quit"])
    assert "There is no time any more for a work-around before curtain." in text


def test_the_ways_to_end_say_what_becomes_of_the_unit(tmp_path: Path) -> None:
    text, kinds = said(tmp_path, ["close", "1", "nothing seen", "nothing", "none", "in the cold hall"])
    assert "It does not show any more, kept open with the conditions" in text
    assert "When and where it showed" in text
    assert kinds[-1] == "hunt-closed"


def test_a_repair_is_said_with_its_two_times_and_what_to_take(tmp_path: Path) -> None:
    text, _ = said(tmp_path, ["moves", "re-wire", *["a"] * 6, "quit"])
    assert "Time: 10 min for a practised hand; step by step, with every check, about 20 min." in text
    assert "Take: iron, meter." in text


def test_what_makes_no_move_can_be_typed_before_a_caution_is_read(tmp_path: Path) -> None:
    text, kinds = said(tmp_path, ["moves", "re-wire", "note the fan is loud", "curtain 40", "1", "quit"])
    assert "the note is kept" in text
    assert "read the caution first; a says that you have" in text
    assert "hunt-note" in kinds
    assert "hunt-repair" not in kinds


def test_a_reading_in_doubt_is_asked_about_in_lines_and_kept_when_typed_again(tmp_path: Path) -> None:
    design, _ = demo()
    with Store.open(tmp_path / "record.sqlite") as store:
        run = Hunts(Library.open(), store).start(design, model=shipped_model(), scope="control", subject="F3")
        talk = HuntTalk(Talk(lambda _: "", lambda _: None), run, emergency=())
        talk.hunting.pick("T16")
        reply = talk._do("m 10000")
        assert reply is not None
        assert "10 kΩ or 10 MΩ?" in reply.text
        assert not run.state.answers
        talk._do("m 10000")
        assert run.state.answers == (("T16", "high"),)
        talk.hunting.pick("T44")
        assert talk._do("m 4 ohm") is not None
        more = talk._do("m 4 ohm")
        assert more is not None
        assert more.text.startswith("all of them are typed")
