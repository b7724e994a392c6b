"""Looking something up by lines: words are typed, what holds them is read out, and one goes to it."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from benchtui.ui.lines.units import WHOLE, unit_page
from benchtui.ui.view.lookup import content_rows, design_rows, past_rows, record_rows, sums_rows
from benchtui.ui.view.text import plain

if TYPE_CHECKING:
    from benchtui.ui.lines.bench import BenchTalk


def look_up(here: BenchTalk) -> None:
    """Type words, and go to what holds them: a procedure, a caution, a design, a sum, a unit, a job, a note."""
    from benchtui.calc.catalogue import everything

    rows = [
        *record_rows(here.bench.jobs(), here.store.units(), now=here.bench.clock()),
        *content_rows(here.library),
        *design_rows(here.library),
        *sums_rows(everything().values()),
    ]
    way = here.ways.pick("", "Look something up.", rows, more=partial(past_rows, here.store))
    picked = here.ways.go(way)
    if picked is not None:
        kind, _, id = picked.partition(":")
        _go_to(here, kind, id)


def _go_to(here: BenchTalk, kind: str, id: str) -> None:
    from benchtui.jobs.expand import caution_of
    from benchtui.ui.view.history import job_lines
    from benchtui.ui.view.spoken import caution_said

    if kind == "start":
        here.start(id)
    elif kind == "open":
        here.open_work(id)
    elif kind == "sum":
        here.sum(id)
    elif kind == "unit":
        unit_page(here.ways, id, here.find)
    elif kind == "design":
        from benchtui.design import load_design
        from benchtui.ui.lines.reference import say_entry

        name, _, entry = id.partition("/")
        say_entry(here.talk, here.bench, load_design(here.library.path_of("design", name)), entry)
    elif kind == "caution":
        caution = caution_of(here.library.cautions()[id])
        for row in (*caution_said(caution), f"Source: {caution.source}"):
            here.talk.say(row)
    elif kind == "closed":
        for line in job_lines(here.store.events(job=id), WHOLE):
            here.talk.say(plain([line]))
    elif kind == "problem":
        here.talk.say("It has mistakes: benchtui check tells them.")
