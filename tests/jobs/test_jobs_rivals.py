"""Two states, firmwares, or parts at one place, that two benches wrote without knowing of each other's (row H15)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import PlannedBench
from helpers.jobs import plan, step
from helpers.proven import RAIL, SOLDERED, bench_on, built

from benchtui.jobs import events as ev
from benchtui.jobs.run_decisions import decide
from benchtui.jobs.unit_events import FirmwareLoaded
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.store import Store
from benchtui.record.verify import verify

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

FIX = plan(step("fix@F1"), RAIL, id="fix", procedure_kind="service", design_id="hollin-cue-desk")


@pytest.fixture
def two(tmp_path: Path) -> Iterator[tuple[PlannedBench, PlannedBench, str]]:
    with bench_on(tmp_path) as here, Store.open(tmp_path / "other.sqlite", clock=here.clock) as store:
        unit = built(here, SOLDERED)
        here.plans["fix"] = FIX
        merge(store, lines(here.store))
        yield here, PlannedBench(here.plans, store, here.clock), unit


def merged(here: PlannedBench, there: PlannedBench) -> None:
    ours, theirs = list(lines(here.store)), list(lines(there.store))
    merge(here.store, theirs)
    merge(there.store, ours)


def told(bench: PlannedBench, unit: str) -> list[str]:
    return [each.message for each in bench.units.view(unit).conflicts]


def load(bench: PlannedBench, unit: str, version: str) -> None:
    bench.units.write(unit, FirmwareLoaded(name="hollin", version=version))


def test_two_firmwares_are_named_until_it_is_read_off_the_unit(two: tuple[PlannedBench, PlannedBench, str]) -> None:
    # ISO 9001:2015 8.5.6: which one it runs is not decided by the bench whose entries are numbered higher.
    here, there, unit = two
    load(here, unit, "2.0")
    load(there, unit, "1.9")
    merged(here, there)
    (said,) = told(here, unit)
    assert told(there, unit) == [said]
    assert "firmware hollin 2.0" in said
    assert "firmware hollin 1.9" in said
    assert any("two benches disagree" in line for line in here.units.missing(unit))
    load(here, unit, "2.0")
    assert told(here, unit) == []


def test_one_firmware_at_both_benches_and_one_after_the_other_are_no_conflict(
    two: tuple[PlannedBench, PlannedBench, str],
) -> None:
    here, there, unit = two
    load(here, unit, "2.0")
    load(there, unit, "2.0")
    merged(here, there)
    assert told(here, unit) == []
    load(there, unit, "2.1")
    load(there, unit, "2.2")
    merged(here, there)
    assert told(here, unit) == told(there, unit) == []


def fit(bench: PlannedBench, unit: str, lot: str) -> None:
    run = bench.start("fix", unit)
    run.act(ev.PartFitted(part="fader", place="F1", lot=lot, replaces="fader", reason="it crackled"))


def test_two_parts_at_one_place_are_named_until_one_is_written_down_again(
    two: tuple[PlannedBench, PlannedBench, str],
) -> None:
    # Row H15: one place does not hold two faders.
    here, there, unit = two
    fit(here, unit, "L2")
    fit(there, unit, "L3")
    merged(here, there)
    (said,) = told(here, unit)
    assert told(there, unit) == [said]
    assert said.startswith("at F1 one bench fitted fader, lot L")
    fit(here, unit, "L3")
    assert told(here, unit) == []


def test_a_part_fitted_where_the_other_bench_s_part_was_known_is_no_conflict(
    two: tuple[PlannedBench, PlannedBench, str],
) -> None:
    here, there, unit = two
    fit(here, unit, "L2")
    merged(here, there)
    fit(there, unit, "L3")
    merged(here, there)
    assert told(here, unit) == told(there, unit) == []


def test_two_states_are_named_until_somebody_says_which_is_so(two: tuple[PlannedBench, PlannedBench, str]) -> None:
    # ISO 9001:2015 8.7.1: that it came back dead is not overruled by what a bench that did not know it wrote later.
    here, there, unit = two
    here.units.set_state(unit, "held", reason="dead again at the get-in")
    here.clock.forward(minutes=5)
    there.units.set_state(unit, "held", reason="waits for a fader")
    merged(here, there)
    (said,) = told(here, unit)
    assert told(there, unit) == [said]
    assert "held on 2031-03-01 at 09:00, because: dead again at the get-in; another bench" in said
    assert "because: waits for a fader" in said
    assert any("two benches disagree" in line for line in here.units.missing(unit))
    # Work that begins says nothing of it, nor does the state that this brings.
    here.units.set_state(unit, "in work", reason="the fader came")
    assert told(here, unit) == [said]
    (conflict,) = here.units.view(unit).conflicts
    decide(here.units, unit, conflict.id, reason="F3 is dead, looked at it", by="me")
    merged(here, there)
    assert told(here, unit) == told(there, unit) == []
    assert any("dead again at the get-in" in line for line in there.units.view(unit).decisions)


def test_a_later_state_that_knew_of_both_says_which_is_so(two: tuple[PlannedBench, PlannedBench, str]) -> None:
    here, there, unit = two
    here.units.set_state(unit, "held", reason="dead again")
    there.units.set_state(unit, "held", reason="waits")
    there.units.set_state(unit, "in work", reason="it came")
    merged(here, there)
    (said,) = told(here, unit)
    assert "another bench, not knowing of it, wrote that it is in work" in said
    here.units.set_state(unit, "held", reason="dead, and no fader")
    merged(here, there)
    assert told(here, unit) == told(there, unit) == []


def test_one_state_after_the_other_or_the_same_at_both_is_no_conflict(
    two: tuple[PlannedBench, PlannedBench, str],
) -> None:
    here, there, unit = two
    here.units.set_state(unit, "held", reason="waits")
    merged(here, there)
    there.units.set_state(unit, "in work", reason="it came")
    merged(here, there)
    assert told(here, unit) == []
    here.units.set_state(unit, "held", reason="waits")
    there.units.set_state(unit, "held", reason="waits")
    merged(here, there)
    assert told(here, unit) == told(there, unit) == []


def test_a_unit_that_only_one_bench_scrapped_is_held_once_it_was_looked_at(
    two: tuple[PlannedBench, PlannedBench, str],
) -> None:
    # ISO 9001:2015 8.7: what is done with a unit is decided by somebody who has looked at it, not by a clock.
    here, there, unit = two
    here.units.set_state(unit, "scrapped", reason="dropped")
    there.units.set_state(unit, "held", reason="waits for a knob")
    merged(here, there)
    (conflict,) = here.units.view(unit).conflicts
    assert "decided, it is held" in conflict.message
    assert here.units.view(unit).state == "scrapped"
    decide(here.units, unit, conflict.id, reason="it was another desk that fell", by="Ann")
    merged(here, there)
    for bench in (here, there):
        view = bench.units.view(unit)
        assert (view.state, told(bench, unit)) == ("held", [])
        assert [row.state for row in bench.store.units([unit])] == ["held"]
        assert verify(bench.store) == ()
    here.units.set_state(unit, "in work", reason="the knob is here")
    assert here.units.view(unit).state == "in work"
