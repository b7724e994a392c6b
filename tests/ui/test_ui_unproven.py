"""What is not released yet says so: a draft on every screen of its job, in the record, and on the passport for life."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.at_work import at_bench
from helpers.demo_plan import plain_plan
from helpers.screens import FakeBench, running, until
from helpers.script import Script

from benchtui import paths
from benchtui.content.checklist import load_checklist
from benchtui.content.library import Library
from benchtui.content.procedure import load_procedure
from benchtui.errors import ContentError
from benchtui.jobs.expand import expand
from benchtui.jobs.passport import history, passport
from benchtui.jobs.plan_text import plan_text, read_plan
from benchtui.paper.tested import Passage, passage_blocks
from benchtui.ui import flows
from benchtui.ui.lines.job import JobTalk

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from benchtui.jobs.plan import Plan

UNIT = "HCD-003-K"


def draft() -> Plan:
    return replace(plain_plan(), proven="draft")


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[FakeBench]:
    with at_bench(tmp_path, {"hollin-wiring": draft()}) as bench:
        yield bench


def test_the_first_use_of_a_draft_is_marked_on_the_record_and_on_the_passport(bench: FakeBench) -> None:
    # Row L10 (ISO 9001 7.5; Gawande 2009).
    first = bench.start("hollin-wiring", UNIT)
    second = bench.start("hollin-wiring", UNIT)
    page = "\n".join(passport(bench.units.view(UNIT)))
    assert f"revision 3, DRAFT, used for the first time, job {first.job}" in page
    assert f"revision 3, DRAFT, job {second.job}" in page
    assert any("began: Wire the fader bank, DRAFT" in row for row in history(bench.store.events(unit=UNIT)))
    # It is on the record of this unit for life, though the text is released later.
    bench.plans = {"hollin-wiring": plain_plan()}
    third = bench.start("hollin-wiring", UNIT)
    page = "\n".join(passport(bench.units.view(UNIT)))
    assert f"revision 3, job {third.job}" in page and page.count("DRAFT, used for the first time, job") == 1
    assert "- worked by a text that is not released: Wire the fader bank, revision 3, DRAFT\n" in page


def test_a_text_on_trial_is_marked_and_one_that_is_released_takes_no_word(bench: FakeBench) -> None:
    # Row L10: the plan of a released text reads in the record as it always did.
    assert "proven" not in plan_text(plain_plan())
    assert read_plan(plan_text(draft())).proven == "draft"
    assert [replace(draft(), proven=how).edition for how in ("draft", "tried", "released")] == [
        "revision 3, DRAFT",
        "revision 3, ON TRIAL",
        "revision 3",
    ]
    heading = next(iter(passage_blocks([Passage(plan=replace(draft(), proven="tried"))], level=2)))
    assert getattr(heading, "text", "") == "Wire the fader bank, ON TRIAL"


async def test_a_draft_says_so_at_every_step(tmp_path: Path) -> None:
    # Row L10, on the full screen and by lines alike; it costs no key.
    async with running(tmp_path, plans={"hollin-wiring": draft()}) as (app, pilot):
        app.go(flows.work_on(app, app.bench.start("hollin-wiring", UNIT)))
        await until(pilot, "revision 3, DRAFT")
        await pilot.press("space")
        await until(pilot, "Wipe the panel")
        await until(pilot, "revision 3, DRAFT")


def test_a_draft_says_so_by_lines(bench: FakeBench) -> None:
    # Row L10.
    script = Script("", "quit", "", "", "")
    run = bench.start("hollin-wiring", UNIT)
    JobTalk(script.talk(), run, emergency=("pull the plug",)).go(lambda _: "")
    assert "Wire the fader bank, revision 3, DRAFT." in script.text


def test_only_the_three_words_are_taken_and_what_says_nothing_is_released(tmp_path: Path) -> None:
    # Row L10: shipped texts are looked at too, so that none is passed off as a draft by a slip.
    library = Library.open()
    entry = next(entry for entry in library.entries("procedure") if entry.id == "strap-test")
    text = entry.path.read_text(encoding="utf-8")
    assert load_procedure(entry.path).proven == "released"
    file = tmp_path / "strap.yaml"
    file.write_text(text.replace("revision:", "proven: draft\nrevision:", 1), encoding="utf-8")
    found = load_procedure(file)
    assert found.proven == "draft"
    assert expand(found, None, library.cautions()).edition == f"revision {found.revision}, DRAFT"
    file.write_text(text.replace("revision:", "proven: nearly\nrevision:", 1), encoding="utf-8")
    with pytest.raises(ContentError, match="nearly"):
        load_procedure(file)
    lists = [load_checklist(entry.path) for entry in library.entries("checklist")]
    assert {each.proven for each in lists} == {"released"}


def test_a_procedure_of_your_own_begins_as_a_draft(tmp_path: Path) -> None:
    # Row L10: nobody has gone through it yet.
    from benchtui.new_command import new_design

    path = new_design("foot-box", tmp_path)
    assert load_procedure(path.with_name("assembly.yaml")).proven == "draft"
    assert paths.user_folder() not in path.parents
