"""Every shared diagnosis record, through this program's own functions. The source of each stands beside its check."""

from __future__ import annotations

from itertools import product
from pathlib import Path

import pytest
from helpers.diagnosis_records import record, record_ids, table_of

from benchtui.faults import engine, soak, spares
from benchtui.faults.deepen import Exact, best_ranking, policy_minutes
from benchtui.faults.isolation import (
    chain_order,
    exact_isolation,
    half_split_probes,
    huffman_length,
    isolation_bound,
)
from benchtui.faults.orders import inspection_order, search_cost, search_order, series_order
from benchtui.faults.repair_order import repair_plan
from benchtui.faults.several import either_shows, smallest_explanations, weigh_sets
from benchtui.faults.table import Cure, Look, Place, Table, start

CHECKED_ELSEWHERE = {"bn-fixtures", "testability-6x5"}


def by_cost(prior: list[float], costs: list[float], places: list[int], openings: list[Place]) -> Table:
    """Repairs only, each curing its own fault for sure; giving up costs more than everything else."""
    return Table(
        faults=tuple(f"f{index}" for index in range(len(prior))),
        prior=tuple(prior),
        looks=(),
        cures=tuple(
            Cure(f"r{index}", cost, ((index, 1.0),), place)
            for index, (cost, place) in enumerate(zip(costs, places, strict=True))
        ),
        fallback=1e6,
        places=tuple(openings),
    )


def test_every_record_is_checked_here_or_named_as_checked_elsewhere() -> None:
    source = Path(__file__).read_text(encoding="utf-8")
    missing = [id for id in record_ids() if f'"{id}"' not in source and not id.startswith("fmd-")]
    assert missing == []


def test_six_states_five_tests_take_2_18() -> None:
    # Pattipati, Alexandridis, IEEE Trans. SMC 20(4) 1990, introductory example; table and answer from memory.
    entry = record("seq-6x5")
    model, tolerance = entry["model"], entry["tolerance"]
    found = exact_isolation(model["prior"], model["cost"], model["d_matrix"])
    assert found.cost == pytest.approx(entry["expected"]["optimal_expected_cost"], abs=tolerance)
    assert isolation_bound(model["prior"], model["cost"]) <= found.cost
    assert huffman_length(model["prior"]) == pytest.approx(entry["recomputed"]["huffman_lower_bound"], abs=1e-9)


def test_the_hunt_engine_in_exact_mode_gives_2_18_too() -> None:
    # The same case as a hunt: every repair costs so much that a wrong one never pays, so only the tests can differ.
    entry = record("seq-6x5")
    model = entry["model"]
    dear = 10_000.0
    states = len(model["prior"])
    table = Table(
        faults=tuple(model["states"]),
        prior=tuple(model["prior"]),
        looks=tuple(
            Look(
                name,
                cost,
                tuple(
                    tuple(float(model["d_matrix"][state][index] == outcome) for state in range(states))
                    for outcome in (0, 1)
                ),
            )
            for index, (name, cost) in enumerate(zip(model["tests"], model["cost"], strict=True))
        ),
        cures=tuple(Cure(f"r{state}", dear, ((state, 1.0),)) for state in range(states)),
        fallback=10 * dear,
    )
    expected = entry["expected"]["optimal_expected_cost"]
    assert Exact(table).value(start(table)) - dear == pytest.approx(expected, abs=1e-8)
    ranking = best_ranking(table, start(table))
    assert ranking.depth == "exact"
    assert ranking.options[0].minutes - dear == pytest.approx(expected, abs=1e-8)


def test_huffman_code_length() -> None:
    # Cormen, Leiserson, Rivest, Stein, Introduction to Algorithms, 3rd ed., section 16.3 (from memory).
    entry = record("seq-huffman")
    assert huffman_length(list(entry["model"]["weights"].values())) == pytest.approx(2.24, abs=entry["tolerance"])


def test_half_split_of_a_chain() -> None:
    # Goldbeck, Bernstein, Hillix, Marx, J. Exp. Psychology 53(5) 1957; formula as in textbooks.
    entry = record("seq-halfsplit")
    for stages, probes in entry["expected"]["expected_probes"].items():
        assert half_split_probes(stages) == pytest.approx(probes, abs=entry["tolerance"])
        exact = chain_order([1 / stages] * stages, [1.0] * (stages - 1))
        assert exact.cost == pytest.approx(probes, abs=1e-9)


def test_adders_and_multipliers() -> None:
    # de Kleer, Williams, Artificial Intelligence 32(1) 1987, the polybox (example from memory).
    entry = record("gde-polybox-diagnoses")
    a, b, c, d, e = (entry["model"]["inputs"][name] for name in "ABCDE")
    seen = entry["model"]["observed"]

    def explains(bad: frozenset[str]) -> bool:
        """A bad part may put out anything: is there a value for each bad output that fits what was seen?"""
        # Every value that matters follows from what was seen, so a small range of whole numbers is all there is to try.
        anything = range(-2, 13)
        for x, y, z in product(
            anything if "M1" in bad else [a * c],
            anything if "M2" in bad else [b * d],
            anything if "M3" in bad else [c * e],
        ):
            if ("A1" in bad or x + y == seen["F"]) and ("A2" in bad or y + z == seen["G"]):
                return True
        return False

    found = smallest_explanations(["A1", "A2", "M1", "M2", "M3"], explains)
    assert {tuple(sorted(each)) for each in found} == {
        tuple(sorted(each)) for each in entry["expected"]["minimal_diagnoses"]
    }


def test_cascaded_inverters_choose_the_probe_by_information() -> None:
    # de Kleer, Williams 1987, cascaded inverters (from memory, the second case's wording uncertain).
    entry = record("gde-inverters")
    chain = entry["model"]["chain"]
    looks = tuple(
        Look(probe, 1.0, (tuple(map(float, bad)), tuple(float(not each) for each in bad)))
        for probe, last in (("b", 1), ("c", 2), ("d", 3))
        if (bad := [stage < last for stage in range(len(chain))])
    )
    for name, best in (("equal", "c"), ("A_five_times", "b")):
        prior = tuple(entry["model"][f"priors_{name}"])
        table = Table(tuple(chain), prior, looks, (), 1.0)
        bits = {look.id: engine.information(table, start(table), index) for index, look in enumerate(looks)}
        assert max(bits, key=lambda id: bits[id]) == best == entry["expected"][f"best_probe_{name}"]
        for probe, value in entry["recomputed"]["info_bits_" + ("equal" if name == "equal" else "A_five")].items():
            assert bits[probe] == pytest.approx(value, abs=entry["tolerance"])


def test_burglary_and_earthquake() -> None:
    # Russell, Norvig, Artificial Intelligence: A Modern Approach, 3rd ed., section 14.4.
    entry = record("bayes-alarm")
    model = entry["model"]

    def posterior(mary: bool) -> float:
        def likelihood(causes: frozenset[str]) -> float:
            b = "b" if "b" in causes else "not b"
            e = "e" if "e" in causes else "not e"
            alarm = model["alarm"][f"{b},{e}"]
            return sum(
                chance * model["john"][state] * (model["mary"][state] if mary else 1 - model["mary"][state])
                for state, chance in (("a", alarm), ("not a", 1 - alarm))
            )

        chances = {"b": model["burglary"], "e": model["earthquake"]}
        sets = weigh_sets(
            list(chances),
            lambda causes: (
                (chances["b"] if "b" in causes else 1 - chances["b"])
                * (chances["e"] if "e" in causes else 1 - chances["e"])
            ),
            likelihood,
        )
        return sets.chance("b")

    assert posterior(True) == pytest.approx(entry["expected"]["p_burglary_given_john_mary"], abs=entry["tolerance"])
    assert posterior(False) == pytest.approx(
        entry["expected"]["p_burglary_given_john_not_mary"], abs=entry["tolerance"]
    )


def test_several_causes_explain_each_other_away() -> None:
    # Lauritzen, Spiegelhalter, J. R. Stat. Soc. B 50(2) 1988; numbers as printed by the gRain package.
    entry = record("bayes-chest")
    model, expected, tolerance = entry["model"], entry["expected"], entry["tolerance"]

    def weigh(asia: bool | None, dysp: bool | None, xray: bool | None = None):  # type: ignore[no-untyped-def]
        def prior(present: frozenset[str]) -> float:
            result = 1.0
            chances = {
                "asia": model["asia"],
                "smoke": model["smoke"],
                "tub": model["tub"]["asia" if "asia" in present else "else"],
                "lung": model["lung"]["smoke" if "smoke" in present else "else"],
                "bronc": model["bronc"]["smoke" if "smoke" in present else "else"],
            }
            for cause, chance in chances.items():
                result *= chance if cause in present else 1 - chance
            return result

        def likelihood(present: frozenset[str]) -> float:
            either = bool({"tub", "lung"} & present)
            bronc = "bronc" in present
            key = ("bronc," if bronc else "not bronc,") + ("either" if either else "not either")
            short = model["dysp"].get(key, model["dysp"]["neither"])
            shadow = model["xray"]["either" if either else "else"]
            result = 1.0 if asia is None else float(("asia" in present) == asia)
            if dysp is not None:
                result *= short if dysp else 1 - short
            if xray is not None:
                result *= shadow if xray else 1 - shadow
            return result

        return weigh_sets(["asia", "smoke", "tub", "lung", "bronc"], prior, likelihood)

    before = weigh(None, None)
    for cause, chance in expected["prior"].items():
        assert before.chance(cause) == pytest.approx(chance, abs=tolerance)
    after = weigh(True, True)
    for cause, chance in expected["given_asia_dysp"].items():
        assert after.chance(cause) == pytest.approx(chance, abs=tolerance)
    assert after.evidence == pytest.approx(expected["p_evidence"], abs=tolerance)
    clear = weigh(True, True, False)
    for cause, chance in entry["recomputed"]["then_xray_negative"].items():
        assert clear.chance(cause) == pytest.approx(chance, abs=tolerance)


def test_a_rare_fault_and_a_test_that_errs() -> None:
    # Eddy 1982, in Judgment under Uncertainty, ch. 18; wording of Gigerenzer and Hoffrage 1995 (from memory).
    entry = record("bayes-screening")
    model = entry["model"]
    hit, alarm = model["sensitivity"], model["false_alarm"]
    table = Table(
        ("ill", "well"),
        (model["prior"], 1 - model["prior"]),
        (Look("screen", 1.0, ((hit, alarm), (1 - hit, 1 - alarm))),),
        (),
        1.0,
    )
    after = engine.answer(table, start(table), 0, 0)
    assert after.weights[0] == pytest.approx(entry["expected"]["posterior"], abs=entry["tolerance"])


def test_spares() -> None:
    # MIL-HDBK-338B section 5.3.8, example 5.3.8.1 (as quoted), and an explanatory text on spare parts.
    lamps = record("spares-lamps")
    mean = lamps["model"]["rate_per_hour"] * lamps["model"]["hours"]
    assert spares.chance_enough(mean, lamps["model"]["spares"]) == pytest.approx(
        lamps["expected"]["p_enough"], abs=lamps["tolerance"]
    )
    entry = record("spares-unit-mean")
    for count, chance in zip(entry["model"]["spares"], entry["expected"]["p_enough"], strict=True):
        assert spares.chance_enough(entry["model"]["mean_demand"], count) == pytest.approx(
            chance, abs=entry["tolerance"]
        )


def test_clean_tries_and_hours() -> None:
    # Success-run theorem; NIST/SEMATECH e-Handbook section 8.3.1.5; a mailing-list answer for the intermittent.
    entry = record("zero-failure-n")
    for (reliability, confidence), count in zip(entry["model"]["cases"], entry["expected"]["n"], strict=True):
        assert soak.tries_for_reliability(reliability, confidence) == count
    hours = record("zero-failure-time")
    for confidence, factor in zip(hours["model"]["confidence"], hours["expected"]["factor"], strict=True):
        assert soak.clean_hours(1.0, confidence) == pytest.approx(factor, abs=hours["tolerance"])
        assert soak.hours_with_failures(0, confidence) == pytest.approx(factor, abs=hours["tolerance"])
    assert round(soak.clean_hours(hours["model"]["mtbf_h"], 0.8)) == hours["expected"]["hours_at_80"]
    for allowed, factor in ((1, 2.994), (2, 4.279), (3, 5.515)):  # the record's note
        assert soak.hours_with_failures(allowed, 0.8) == pytest.approx(factor, abs=0.001)
    runs = record("intermittent-runs")
    assert (
        soak.tries_for_intermittent(runs["model"]["p_show_per_try"], runs["model"]["confidence"])
        == runs["expected"]["clean_tries"]
    )
    assert soak.tries_for_intermittent(0.1, 0.95) == 29  # the record's note


def test_repairs_by_probability_over_cost() -> None:
    # Kadane, Simon, Annals of Statistics 5(2) 1977 (rule); data constructed and brute-forced.
    entry = record("pc-order")
    model = entry["model"]
    table = by_cost(model["p"], model["cost"], [-1] * 4, [])
    plan = repair_plan(table, start(table))
    assert list(plan.order) == entry["expected"]["order"]
    assert plan.minutes == pytest.approx(entry["expected"]["ecr"], abs=entry["tolerance"])


def test_the_last_place_need_not_be_looked_at() -> None:
    # Kalagnanam, Henrion, UAI 4, 1990 (rule); corner case and data constructed and brute-forced.
    entry = record("pc-last-untested")
    chances, costs = entry["model"]["p"], entry["model"]["cost"]
    best = inspection_order(chances, costs, last_is_sure=True)
    assert list(best.order) == entry["expected"]["order"]
    assert best.cost == pytest.approx(entry["expected"]["ecr"], abs=entry["tolerance"])
    assert list(inspection_order(chances, costs).order) == entry["expected"]["plain_c_over_p"]


def test_places_that_fail_independently() -> None:
    # Butterworth 1972; Unluyurt, Discrete Applied Mathematics 142, 2004 (rule); data constructed and brute-forced.
    entry = record("series-system")
    found = series_order(entry["model"]["q_fail"], entry["model"]["cost"])
    assert list(found.order) == entry["expected"]["order"]
    assert found.cost == pytest.approx(entry["expected"]["expected_cost"], abs=entry["tolerance"])


def test_repairs_behind_a_lid_and_a_panel() -> None:
    # Ottosen, Jensen, UAI 2010 (theorem); data constructed and brute-forced.
    entry = record("cluster-access")
    model = entry["model"]
    names = list(model["open_cost"])
    table = by_cost(
        model["p"],
        model["cost"],
        [-1 if name is None else names.index(name) for name in model["cluster"]],
        [Place(name, minutes) for name, minutes in model["open_cost"].items()],
    )
    plan = repair_plan(table, start(table))
    assert list(plan.order) == entry["expected"]["order"]
    assert plan.minutes == pytest.approx(entry["expected"]["ecr"], abs=entry["tolerance"])


def test_looks_that_may_overlook_the_fault() -> None:
    # Black, Information and Control 8, 1965; Ross 1983, ch. III (rule); data constructed.
    entry = record("search-overlook")
    model = entry["model"]
    numbers = (model["prior"], model["detect"], model["cost"])
    assert list(search_order(*numbers, 10)) == entry["expected"]["first_ten"]
    assert search_cost(*numbers) == pytest.approx(entry["expected"]["expected_cost"], abs=entry["tolerance"])


def test_a_test_is_worth_what_it_saves() -> None:
    # Heckerman, Breese, Rommelse, Comm. ACM 38(3) 1995 (rule); data constructed and brute-forced.
    entry = record("voi-one-step")
    model = entry["model"]
    right = model["test"]["says_right_fault"]
    table = Table(
        ("f0", "f1"),
        tuple(model["p"]),
        (Look("test", model["test"]["cost"], ((right, 1 - right), (1 - right, right))),),
        tuple(Cure(f"r{index}", cost, ((index, 1.0),)) for index, cost in enumerate(model["repair_cost"])),
        1e6,
    )
    position = start(table)
    assert repair_plan(table, position).minutes == pytest.approx(entry["expected"]["ecr_without"], abs=1e-5)
    best = engine.options(table, position)[0]
    assert (best.kind, best.index) == ("look", 0)
    assert best.minutes == pytest.approx(entry["expected"]["eco_with_test"], abs=entry["tolerance"])
    for outcome in (0, 1):
        printed = entry["recomputed"][f"outcome{outcome}"]
        after = engine.answer(table, position, 0, outcome)
        assert after.weights == pytest.approx(printed["posterior"], abs=1e-5)
        assert repair_plan(table, after).minutes == pytest.approx(printed["ecr"], abs=1e-5)


def test_a_chain_with_unequal_chances() -> None:
    # Gilbert, Moore 1959; Hu, Tucker, SIAM J. Appl. Math. 21(4) 1971 (problem); data constructed and brute-forced.
    entry = record("chain-unequal")
    model = entry["model"]
    found = chain_order(model["prior"], [model["probe_cost"]] * (len(model["prior"]) - 1))
    assert found.cost == pytest.approx(entry["expected"]["optimal_expected_probes"], abs=entry["tolerance"])
    assert found.first == entry["expected"]["first_probe_after_stage"]
    # The same as a sequence of tests, through the other solver.
    stages = len(model["prior"])
    matrix = [[int(stage < probe) for probe in range(1, stages)] for stage in range(stages)]
    exact = exact_isolation(model["prior"], [model["probe_cost"]] * (stages - 1), matrix)
    assert exact.cost == pytest.approx(entry["expected"]["optimal_expected_probes"], abs=entry["tolerance"])


@pytest.mark.parametrize("id", ["noisy-exact-1", "noisy-exact-3"])
def test_noisy_tests_and_repairs(id: str) -> None:
    # Constructed; optimum by an outside dynamic programme over all outcome histories.
    entry = record(id)
    table = table_of(entry["model"])
    here = start(table)
    expected = entry["expected"]["optimal_expected_cost"]
    assert Exact(table).value(here) == pytest.approx(expected, abs=entry["tolerance"])
    best = best_ranking(table, here)
    assert best.options[0].minutes == pytest.approx(expected, abs=entry["tolerance"])
    assert [{"look": "test", "cure": "repair"}[best.options[0].kind], best.options[0].index] == entry["expected"][
        "best_first"
    ]
    assert best.options[1].minutes == pytest.approx(entry["expected"]["second_best_first_cost"], abs=1e-5)
    printed = entry["recomputed"]["policy_values"]
    assert repair_plan(table, here).minutes == pytest.approx(printed["repairs_only"], abs=1e-5)
    assert policy_minutes(table, here, depth="one step") <= printed["one_step"] + 1e-6
    # Exact where small, as shipped: the optimum itself, never worse than the two-step rule of the study.
    assert policy_minutes(table, here, depth="exact") == pytest.approx(expected, abs=1e-4)
    assert policy_minutes(table, here, depth="exact") <= printed["two_step"] + 1e-4
    assert policy_minutes(table, here, depth="played out") <= expected * 1.002


@pytest.mark.parametrize("id", [id for id in record_ids() if id.startswith("fmd-")])
def test_shares_of_failure_modes_add_up(id: str) -> None:
    # MIL-HDBK-338B, from FMD-91, normalised failure mode distributions.
    shares = record(id)["expected"]["shares"]
    assert sum(shares.values()) == pytest.approx(1.0, abs=0.011)  # the MOS row prints 1.01


def test_noisy_or() -> None:
    assert either_shows([0.5, 0.5]) == pytest.approx(0.75)
