"""Two desks that two benches gave one serial number: one gets a new number, and all that its bench wrote goes with it.

Rows H1, H2 (ISO 9001:2015 8.5.2: identification; 21 CFR 11.10(e): what was written stays as it was written).
"""

from __future__ import annotations

import itertools
from collections import Counter
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import full_plan, plan, step

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.missing import Needs
from benchtui.jobs.passport import history, passport
from benchtui.jobs.run_decisions import decide
from benchtui.jobs.run_list import record_jobs
from benchtui.jobs.run_parting import alike, part
from benchtui.record import views
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.search import look
from benchtui.record.store import Store
from benchtui.record.verify import verify

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from benchtui.jobs.units import UnitView

SMALL = plan(step("mount@F1"), full_plan().step("bank"), step("label"), design_id="hollin-cue-desk")
WHOLE = Needs(procedures=(("hollin-assembly", "Build one"),))
OLD, NEW = "HCD-001-R", "HCD-002-M"


class Benches:
    """A workshop and a touring laptop that never saw each other's record, each with a desk numbered alike."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.clock = folder, Clock()
        self.open: list[Store] = []
        self.shop, self.tour = self.bench("shop"), self.bench("tour")
        for bench, reading, bad in ((self.shop, "2.4", "scratch by F1"), (self.tour, "2.6", "crack by F2")):
            assert bench.units.make("hollin-cue-desk") == OLD
            run = bench.start("hollin-assembly", OLD)
            run.act(ev.StepDone(step="mount@F1"))
            run.read(reading)
            run.act(ev.StepDone(step="bank"))
            run.act(ev.DefectFound(defect="D1", text=bad))
            bench.store.append("note", unit=OLD, data={"text": f"outside a job: {bad}"})
            self.clock.forward(minutes=7)

    def bench(self, name: str) -> PlannedBench:
        store = Store.open(self.folder / f"{name}.sqlite", clock=self.clock)
        self.open.append(store)
        bench = PlannedBench({"hollin-assembly": SMALL}, store, self.clock)
        bench.units.needs = lambda _: WHOLE  # type: ignore[method-assign]
        return bench

    def meet(self, *benches: PlannedBench) -> None:
        """Each takes in what the others have."""
        exports = [list(lines(bench.store)) for bench in benches]
        for bench, export in itertools.product(benches, exports):
            merge(bench.store, export)


@pytest.fixture
def benches(tmp_path: Path) -> Iterator[Benches]:
    both = Benches(tmp_path)
    yield both
    for store in both.open:
        store.close()


def texts(bench: PlannedBench, unit: str) -> list[str]:
    return [str(event.data["text"]) for event in bench.store.events(unit=unit, kinds=["note", "defect"])]


def of_tour(bench: PlannedBench) -> str:
    """The entry by which the touring laptop's desk got its number, told by what stands in its list."""
    return next(one.id for one in alike(bench.units, OLD) if "crack" in one.work)


def same_everywhere(*benches: PlannedBench) -> tuple[UnitView, UnitView]:
    """Every bench tells the same of both desks, and its lists are those that its events give."""
    first = benches[0]
    for bench in benches:
        assert verify(bench.store) == ()
        assert list(lines(bench.store)) == list(lines(first.store))
        for unit in (OLD, NEW):
            assert bench.units.view(unit) == first.units.view(unit)
        kept = (bench.store.units(), [(row.job, row.unit) for row in bench.store.jobs()])
        views.rebuild(bench.store.connection)
        assert (bench.store.units(), [(row.job, row.unit) for row in bench.store.jobs()]) == kept
    return first.units.view(OLD), first.units.view(NEW)


def test_the_two_are_told_apart_by_what_was_done_to_each(benches: Benches) -> None:
    assert alike(benches.shop.units, OLD) == (), "as long as only one is known"
    benches.meet(benches.shop, benches.tour)
    assert {(one.text, one.work) for one in alike(benches.shop.units, OLD)} == {
        ("made 2031-03-01 09:00", "Build one Hollin cue desk; defect: scratch by F1; last touched 2031-03-01 09:00"),
        ("made 2031-03-01 09:07", "Build one Hollin cue desk; defect: crack by F2; last touched 2031-03-01 09:07"),
    }


@pytest.mark.parametrize("decides", ["shop", "tour"])
@pytest.mark.parametrize("whose", ["crack", "scratch"])
def test_one_gets_a_new_number_and_its_jobs_readings_and_defect_go_with_it(
    benches: Benches, decides: str, whose: str
) -> None:
    shop, tour = benches.shop, benches.tour
    benches.meet(shop, tour)
    before = list(lines(shop.store))
    bench = shop if decides == "shop" else tour
    entry = next(one.id for one in alike(bench.units, OLD) if whose in one.work)
    assert part(bench.units, OLD, entry, reason="one on the shelf, one in the case", by="me") == NEW
    after = list(lines(bench.store))
    assert Counter(before[1:]) - Counter(after) == Counter(), "nothing that was written is changed"
    assert len(after) == len(before) + 3, "the two of the parting, and before them what that bench knew"
    benches.meet(shop, tour)
    old, new = same_everywhere(shop, tour)
    stays, goes = ("scratch by F1", "crack by F2") if whose == "crack" else ("crack by F2", "scratch by F1")
    for view, words, reading in ((old, stays, "2.4" if whose == "crack" else "2.6"), (new, goes, None)):
        assert [defect.text for defect in view.defects] == [words]
        assert view.conflicts == ()
        (job,) = view.jobs
        assert (job.unit, job.defects["D1"].text) == (view.unit, words)
        assert reading is None or job.steps["bank"].readings[-1].typed == reading
        assert view.state == "in work"
        assert view.design == "hollin-cue-desk"
    assert texts(shop, OLD) == [stays, f"outside a job: {stays}"]
    assert texts(shop, NEW) == [goes, f"outside a job: {goes}"]
    # The old number stays to be seen in both histories and on both passports.
    for unit, words in ((OLD, f"one of them is {NEW}"), (NEW, f"it was {OLD}, as another unit was")):
        assert any(words in line for line in history(shop.store.events(unit=unit))), unit
        assert any(words in line and "one in the case (me)" in line for line in passport(shop.units.view(unit))), unit
    assert {job.unit for job in record_jobs(shop.store)} == {OLD, NEW}
    assert {event.unit for event in look(shop.store, goes).events} == {NEW}
    for number in (NEW, OLD):  # the number it has, and the one it was written with
        assert {event.unit for event in look(shop.store, f"{goes} {number}").events} == {NEW}


def test_each_desk_goes_its_own_way_to_its_release(benches: Benches) -> None:
    shop, tour = benches.shop, benches.tour
    benches.meet(shop, tour)
    part(shop.units, OLD, of_tour(shop), reason="two desks", by="me")
    benches.meet(shop, tour)
    for unit, bench in ((OLD, shop), (NEW, tour)):
        other = PlannedBench({"hollin-assembly": SMALL}, bench.store, benches.clock)
        other.units.needs = bench.units.needs  # type: ignore[method-assign]
        job = next(row.job for row in other.store.jobs(unit=unit))
        run = other.resume(job)
        run.act(ev.Resumed())
        assert run.unit == unit
        run.act(ev.DispositionGiven(defect="D1", disposition="use as is", reason="under the cap"))
        run.act(ev.StepDone(step="label"))
        run.close()
        assert other.units.missing(unit) == ()
        other.units.release(unit, by="me")
    benches.meet(shop, tour)
    old, new = same_everywhere(shop, tour)
    assert (old.state, new.state) == ("released", "released")
    assert old.conflicts == new.conflicts == ()


def test_what_a_bench_writes_before_it_learns_of_it_goes_with_its_desk_and_afterwards_not(benches: Benches) -> None:
    shop, tour = benches.shop, benches.tour
    benches.meet(shop, tour)
    part(shop.units, OLD, of_tour(shop), reason="two desks", by="me")
    # The touring laptop knows nothing of it and goes on: at its job, and outside it.
    for n in range(12):
        tour.store.append("note", unit=OLD, data={"text": f"on tour {n}"})
    run = next(run for run in map(tour.resume, [row.job for row in tour.store.jobs()]) if "crack" in str(run.state))
    run.act(ev.Resumed()) if run.state.suspended else None
    run.act(ev.NoteAdded(text="F2 is stiff"))
    origin = tour.store.origin
    benches.meet(shop, tour)
    assert tour.store.origin != origin, "from now on it means the desk that kept the number"
    tour.store.append("note", unit=OLD, data={"text": "the other one stands here too now"})
    run.act(ev.NoteAdded(text="F2 is oiled"))
    benches.meet(shop, tour)
    same_everywhere(shop, tour)
    notes = texts(shop, NEW)
    assert notes[-14:] == [*(f"on tour {n}" for n in range(12)), "F2 is stiff", "F2 is oiled"]
    assert texts(shop, OLD)[-1] == "the other one stands here too now"


def test_a_job_in_hand_when_its_desk_gets_a_new_number_is_that_desk_s(benches: Benches) -> None:
    shop, tour = benches.shop, benches.tour
    benches.meet(shop, tour)
    run = next(run for run in map(tour.resume, [row.job for row in tour.store.jobs()]) if "crack" in str(run.state))
    part(tour.units, OLD, of_tour(tour), reason="two desks", by="me")
    run.act(ev.Resumed()) if run.state.suspended else None
    run.act(ev.NoteAdded(text="before it was looked at again"))
    tour.look_again()
    assert run.unit == NEW
    run.act(ev.NoteAdded(text="and after"))
    assert texts(tour, NEW)[-2:] == ["before it was looked at again", "and after"]
    assert verify(tour.store) == ()
    benches.meet(shop, tour)
    same_everywhere(shop, tour)


def test_it_is_the_same_after_the_record_is_opened_again_and_for_who_only_reads_it(benches: Benches) -> None:
    shop, tour = benches.shop, benches.tour
    benches.meet(shop, tour)
    with Store.open(benches.folder / "shop.sqlite", read_only=True) as reader:
        assert reader.events(unit=NEW) == ()
        part(shop.units, OLD, of_tour(shop), reason="two desks", by="me")
        expected = shop.store.events(unit=NEW)
        assert reader.events(unit=NEW) == expected
        assert {row.unit for row in reader.units()} == {OLD, NEW}
    shop.store.close()
    with Store.open(benches.folder / "shop.sqlite") as again:
        assert again.events(unit=NEW) == expected
        assert again.events(unit=NEW, newest=1) == expected[-1:]
        assert verify(again) == ()


def test_one_desk_s_own_export_brings_its_new_number_along(benches: Benches, tmp_path: Path) -> None:
    shop = benches.shop
    benches.meet(shop, benches.tour)
    part(shop.units, OLD, of_tour(shop), reason="two desks", by="me")
    with Store.open(tmp_path / "third.sqlite") as third:
        merge(third, lines(shop.store, unit=NEW))
        bench = PlannedBench({}, third, benches.clock)
        assert bench.units.view(NEW) == shop.units.view(NEW)
        merge(third, lines(shop.store))
        assert bench.units.view(OLD) == shop.units.view(OLD)
        assert verify(third) == ()


def test_two_benches_that_part_them_apart_agree_and_the_second_number_is_named(benches: Benches) -> None:
    shop, tour = benches.shop, benches.tour
    benches.meet(shop, tour)
    tour.units.make("hollin-cue-desk", serial="HCD-009-A")  # so that the two give different numbers
    first = part(shop.units, OLD, of_tour(shop), reason="seen in the shop", by="me")
    second = part(tour.units, OLD, of_tour(tour), reason="seen on tour", by="you")
    assert first != second
    tour.store.append("note", unit=second, data={"text": "under the second number"})
    benches.meet(shop, tour)
    same_everywhere(shop, tour)
    counts = next(unit for unit in (first, second) if shop.units.view(unit).jobs)
    other = second if counts == first else first
    view = shop.units.view(counts)
    assert "under the second number" in texts(shop, counts), "nothing of it is lost"
    (conflict,) = view.conflicts
    assert f"two benches gave it a new number, {counts} and {other}" in conflict.message
    assert shop.store.events(unit=other) == ()
    assert [defect.text for defect in view.defects] == ["crack by F2"]
    decide(shop.units, counts, conflict.id, reason="the plate says so", by="me")
    assert shop.units.view(counts).conflicts == ()


def test_in_whatever_order_three_benches_meet_it_comes_to_the_same(benches: Benches) -> None:
    shop, tour, third = benches.shop, benches.tour, benches.bench("third")
    assert third.units.make("hollin-cue-desk") == OLD
    third.store.append("note", unit=OLD, data={"text": "third desk"})
    benches.meet(shop, tour)
    part(shop.units, OLD, of_tour(shop), reason="two desks", by="me")
    shop.units.store.append("note", unit=OLD, data={"text": "kept"})
    exports = [list(lines(bench.store)) for bench in (shop, tour, third)]
    outcomes = []
    for number, order in enumerate(itertools.permutations(exports)):
        bench = benches.bench(f"merged-{number}")
        for export in order:
            merge(bench.store, export)
        assert verify(bench.store) == ()
        outcomes.append((bench.units.view(OLD), bench.units.view(NEW), bench.store.units(), list(lines(bench.store))))
    assert all(outcome == outcomes[0] for outcome in outcomes)
    assert [each.kind for each in outcomes[0][0].conflicts] == ["unit-made"], "the third desk is still to be parted"
    assert outcomes[0][1].conflicts == ()


def test_a_new_number_that_a_third_bench_had_given_is_parted_in_its_turn(benches: Benches) -> None:
    shop, tour, third = benches.shop, benches.tour, benches.bench("third")
    third.units.make("hollin-cue-desk", serial=NEW)
    third.store.append("note", unit=NEW, data={"text": "third desk"})
    benches.meet(shop, tour)
    assert part(shop.units, OLD, of_tour(shop), reason="two desks", by="me") == NEW
    benches.meet(shop, tour, third)
    assert [each.kind for each in third.units.view(NEW).conflicts] == ["unit-made"]
    entry = next(one.id for one in alike(third.units, NEW) if "crack" in one.work)
    last = part(third.units, NEW, entry, reason="and one more", by="you")
    benches.meet(shop, tour, third)
    same_everywhere(shop, tour, third)
    view = shop.units.view(last)
    assert view.conflicts == ()
    assert [defect.text for defect in view.defects] == ["crack by F2"]
    assert [line.partition(":")[0] for line in view.numbers] == [
        f"it was {OLD}, as another unit was, and is {NEW} from then on",
        f"it was {NEW}, as another unit was, and is {last} from then on",
    ]
    assert texts(shop, NEW) == ["third desk"]
    assert shop.units.view(NEW).conflicts == ()
    with Store.open(benches.folder / "fourth.sqlite") as store:
        merge(store, lines(shop.store, unit=last))
        assert PlannedBench({}, store, benches.clock).units.view(last) == view


def test_a_second_number_that_is_another_desk_s_own_is_named(benches: Benches) -> None:
    shop, tour, third = benches.shop, benches.tour, benches.bench("third")
    benches.meet(shop, tour)
    part(shop.units, OLD, of_tour(shop), reason="seen in the shop", by="me")
    part(tour.units, OLD, of_tour(tour), reason="seen on tour", by="you", serial="HCD-044-K")
    third.units.make("hollin-cue-desk", serial=NEW)
    third.units.make("hollin-cue-desk", serial="HCD-044-K")
    benches.meet(shop, tour, third)
    for bench in (shop, tour, third):
        assert verify(bench.store) == ()
        for unit in (OLD, NEW, "HCD-044-K"):
            assert bench.units.view(unit) == shop.units.view(unit)
    ends = [shop.units.view(unit) for unit in (NEW, "HCD-044-K")]
    kinds = {each.kind for view in ends for each in view.conflicts}
    assert {"unit-made", "unit-renumbered"} <= kinds, "which is which is asked at both numbers"
    assert any("another bench gave that one another number" in each.message for view in ends for each in view.conflicts)


def test_copies_of_one_record_that_went_on_apart_are_told_apart_by_their_branch(tmp_path: Path) -> None:
    import shutil

    clock = Clock()
    one, other = tmp_path / "one.sqlite", tmp_path / "other.sqlite"
    with Store.open(one, clock=clock) as store:
        store.append("note", data={"text": "before"})
        origin = store.origin
    shutil.copyfile(one, other)
    exports = []
    for file, words in ((one, "scratch"), (other, "crack")):
        with Store.open(file, clock=clock) as store:
            store._origin = origin  # as if the copy had not been noticed
            bench = PlannedBench({"hollin-assembly": SMALL}, store, clock)
            bench.units.make("hollin-cue-desk")
            bench.start("hollin-assembly", OLD).act(ev.DefectFound(defect="D1", text=words))
            clock.forward(minutes=1)
            exports.append(list(lines(store)))
    with Store.open(tmp_path / "merged.sqlite", clock=clock) as store:
        for export in exports:
            merge(store, export)
        units = PlannedBench({}, store, clock).units
        entry = next(one.id for one in alike(units, OLD) if "; defect: crack" in one.work)
        part(units, OLD, entry, reason="two", by="me")
        assert [defect.text for defect in units.view(NEW).defects] == ["crack"]
        assert [defect.text for defect in units.view(OLD).defects] == ["scratch"]
        assert verify(store) == ()


def test_no_question_about_a_parted_unit_reads_the_whole_table(benches: Benches) -> None:
    # Row K7 (Miller; Nielsen): with a million events the page of a unit is there at once.
    shop = benches.shop
    benches.meet(shop, benches.tour)
    part(shop.units, OLD, of_tour(shop), reason="two desks", by="me")
    asked: list[str] = []
    shop.store.connection.set_trace_callback(asked.append)
    shop.store.events(unit=NEW)
    shop.store.events(unit=OLD, newest=5)
    shop.store.append("note", unit=NEW, data={"text": "x"})
    list(lines(shop.store, unit=NEW))
    shop.store.connection.set_trace_callback(None)
    for query in asked:
        if query.lstrip().upper().startswith("SELECT"):
            for row in shop.store.connection.execute(f"EXPLAIN QUERY PLAN {query}"):
                assert not row[3].startswith("SCAN event"), query


def test_a_number_is_not_given_without_a_reason_a_name_or_a_second_desk(benches: Benches) -> None:
    shop = benches.shop
    with pytest.raises(JobError, match="only one unit is HCD-001-R"):
        part(shop.units, OLD, "x", reason="two", by="me")
    benches.meet(shop, benches.tour)
    entry = of_tour(shop)
    for changed, words in (
        ({"entry": "x"}, "no unit was made"),
        ({"reason": " "}, "a reason"),
        ({"by": ""}, "a name"),
        ({"serial": OLD}, "there is a unit HCD-001-R already"),
    ):
        before = shop.store.events()
        with pytest.raises(JobError, match=words):
            part(shop.units, OLD, **{"entry": entry, "reason": "two", "by": "me", **changed})
        assert shop.store.events() == before
    assert part(shop.units, OLD, entry, reason="two", by="me", serial="HCD-044-K") == "HCD-044-K"
