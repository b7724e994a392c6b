"""Verdicts at the very limit, and the questions put before a reading is kept."""

from __future__ import annotations

import pytest
from helpers.jobs import BANK, RAIL, after, plan, read, started, step
from hypothesis import given
from hypothesis import strategies as st

from benchtui.errors import JobError, UnitError
from benchtui.jobs.plan import Limits
from benchtui.jobs.readings import Meter, decimal, doubt, entry_unit, read_typed, shown, take, verdict
from benchtui.jobs.sitting import accuracy
from benchtui.ui.view.readings import tries_left
from benchtui.ui.view.spoken import step_said

SHORT = Limits(what="joint", kind="resistance", high=0.5, text="0.5 Ω or less")
OPEN = Limits(what="neighbour", kind="resistance", low=10e6, text="10 MΩ or more")


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("3.135 V", "near limit"),
        ("3135 mV", "near limit"),
        ("3.1349 V", "fail"),
        ("3.2 V", "pass"),
        ("3.3", "pass"),
        ("3.465", "near limit"),
        ("3.4651", "fail"),
        ("OL", "fail"),
    ],
)
def test_limits_are_inclusive_and_compared_as_decimals(typed: str, expected: str) -> None:
    # Rows E8 and E9 (ILAC-G8:09/2019 4.2; ASTM E29 absolute method).
    assert verdict(RAIL, read_typed(RAIL, typed)) == expected


@pytest.mark.parametrize(
    ("high", "typed", "expected"),
    [
        (0.5, "0.48", "near limit"),  # the case of a newcomer: 0.5 ohm or less, and nothing was said
        (0.5, "0.4", "pass"),
        (0.5, "0.5", "near limit"),
        (0.05, "0.041", "near limit"),  # never more than a fifth of the limit
        (0.05, "0.04", "pass"),
        (4.7e3, "4.6k", "pass"),  # 1 % of a larger limit is more than the last place
    ],
)
def test_a_low_resistance_is_near_within_the_last_place_of_a_meter(high: float, typed: str, expected: str) -> None:
    limits = Limits(what="joint", kind="resistance", high=high)
    assert verdict(limits, read_typed(limits, typed)) == expected


def test_binary_noise_never_decides() -> None:
    # 0.1 + 0.2 is 0.30000000000000004; a limit worked out so must still let 0.3 pass.
    limits = Limits(what="x", kind="voltage", low=0.1, high=0.1 + 0.2, near=0.0)
    assert verdict(limits, 0.3) == "pass"
    assert verdict(Limits(what="x", kind="voltage", low=0.1 + 0.2, near=0.0), 0.3) == "pass"
    assert decimal(3.0 * 1.1) == decimal(3.3)


@given(st.floats(0.001, 1e6), st.floats(1e-9, 0.5))
def test_just_outside_fails_and_on_the_limit_does_not(limit: float, share: float) -> None:
    low = Limits(what="x", kind="voltage", low=limit)
    high = Limits(what="x", kind="voltage", high=limit)
    assert verdict(low, limit) != "fail"
    assert verdict(high, limit) != "fail"
    assert verdict(low, limit * (1 - share)) == "fail"
    assert verdict(high, limit * (1 + share)) == "fail"


def test_the_band_near_a_limit_is_the_meter_s_own_uncertainty() -> None:
    meter = Meter(id="M1", percent=(("voltage", 0.5),), floor=(("voltage", 0.002),))
    assert meter.uncertainty("voltage", 3.465) == pytest.approx(0.019325)
    assert verdict(RAIL, 3.45, meter=meter) == "near limit"
    assert verdict(RAIL, 3.44, meter=meter) == "pass"
    assert verdict(RAIL, 3.44) == "near limit", "without a meter the band is 1 % of the limit"
    assert meter.uncertainty("resistance", 100.0) is None


def test_a_limit_of_zero_is_a_wall_not_a_value_to_be_near_to() -> None:
    assert verdict(Limits(what="x", kind="resistance", low=0.0, high=1.0), 0.0) == "pass"


def test_over_range_is_more_than_any_limit() -> None:
    assert read_typed(OPEN, "OL") is None
    assert verdict(OPEN, None) == "pass"
    assert verdict(SHORT, None) == "fail"


@pytest.mark.parametrize(
    ("limits", "typed", "words"),
    [
        (RAIL, "3300", "3.3 kV is about a thousand times more than the expected 3.3 V: 3.3 V or 3.3 kV?"),
        (RAIL, "3.3 mV", "3.3 mV is about a thousand times less than the expected 3.3 V: 3.3 V or 3.3 mV?"),
        (RAIL, "33", "33 V is about 10 times the upper limit of 3.465 V: where is the decimal point?"),
        (RAIL, "0.33", "330 mV is about 9 times less than the lower limit of 3.135 V: where is the decimal point?"),
        (BANK, "2.5 Mohm", "2.5 MΩ is about a thousand times more than the expected 2.5 kΩ: 2.5 kΩ or 2.5 MΩ?"),
    ],
)
def test_a_value_of_the_wrong_size_is_asked_about(limits: Limits, typed: str, words: str) -> None:
    # Row E7 (MIL-STD-1472E 5.15.8.3).
    assert doubt(limits, read_typed(limits, typed)) == words


def test_a_question_names_the_limits_where_the_design_gives_no_value() -> None:
    thick = Limits(what="sheet", kind="length", low=0.0028, high=0.0032)
    asked = doubt(thick, read_typed(thick, "30 mm"))
    assert asked == "30 mm is about 9 times the upper limit of 3.2 mm: where is the decimal point?"
    assert "limit of 0.5 Ω" in doubt(SHORT, read_typed(SHORT, "1 kohm"))


def test_how_far_a_reading_is_from_its_limit_is_told_with_that_limit() -> None:
    # By hand: 750 / 110 = 6.8; 3.65 / 0.365 = 10. The expected value is on no screen, so the limit is what is named.
    sleeve = Limits(what="insulation", kind="resistance", low=750e3, high=10e6)
    # m and M are one key apart, and nine powers of ten.
    assert doubt(sleeve, read_typed(sleeve, "1.1m")).endswith("1.1 MΩ or 0.0011 Ω? m is milli, M is mega.")
    assert doubt(sleeve, 110e3).startswith("110 kΩ is about 7 times less than the lower limit of 750 kΩ")
    bond = Limits(what="bond", kind="resistance", high=0.365, nominal=0.04319)
    assert doubt(bond, 3.65).startswith("3.65 Ω is about 10 times the upper limit of 0.365 Ω")


@pytest.mark.parametrize(
    ("limits", "typed"), [(RAIL, "3.2"), (RAIL, "2.9"), (RAIL, "0"), (RAIL, "OL"), (SHORT, "0.02")]
)
def test_a_plausible_value_is_not_asked_about(limits: Limits, typed: str) -> None:
    assert doubt(limits, read_typed(limits, typed)) == ""


def test_a_bare_number_is_in_the_unit_the_limits_are_shown_in() -> None:
    assert entry_unit(BANK) == "kΩ"
    assert read_typed(BANK, "2.5") == 2500.0
    assert read_typed(BANK, "2k5") == 2500.0
    with pytest.raises(UnitError):
        read_typed(BANK, "2.5 V")
    with pytest.raises(JobError, match="no reading was typed"):
        read_typed(BANK, " ")


def test_a_reading_carries_what_was_typed_its_limits_and_its_meter() -> None:
    # Rows E1, E3 and E10 (ALCOA original; DOE-STD-1029; ISO 9001 7.1.5).
    meter = Meter(id="M1", due="2031-06-30")
    event = take(step("bank", "measure", limits=BANK), "2k5", meter=meter, today="2031-03-01")
    assert (event.typed, event.value, event.verdict) == ("2k5", 2500.0, "pass")
    assert (event.low, event.high, event.near) == (2000.0, 3000.0, 30.0)
    assert (event.meter, event.meter_due) == ("M1", "2031-06-30")


def test_a_meter_past_its_date_needs_a_reason() -> None:
    # Row B8 (ISO 9001 7.1.5; AS9102 form 3).
    meter = Meter(id="M1", name="the yellow meter", due="2031-02-28")
    bank = step("bank", "measure", limits=BANK)
    with pytest.raises(JobError, match="calibration of the yellow meter ran out on 2031-02-28"):
        take(bank, "2k5", meter=meter, today="2031-03-01")
    assert take(bank, "2k5", meter=meter, today="2031-03-01", override="borrowed").override == "borrowed"


@pytest.mark.parametrize(
    ("kind", "nominal", "typed", "said"),
    [
        ("resistance", 4700.0, "47", "47 kΩ"),
        ("resistance", 1e6, "2.2M", "2.2 MΩ"),
        ("resistance", 4700.0, "4.7 k", "4.7 kΩ"),
        ("resistance", 4700.0, "4k7", "4k7"),
        ("resistance", 4700.0, "OL", "OL"),
        ("voltage", 3.3, "20m", "20 mV"),
        ("length", 0.003, "3m", "3m"),
        ("resistance", 4700.0, "k", "k"),
    ],
)
def test_a_reading_is_shown_with_the_unit_it_was_taken_in(kind: str, nominal: float, typed: str, said: str) -> None:
    assert shown(Limits(what="it", kind=kind, nominal=nominal), typed) == said


SHARE = Limits(what="share", kind="ratio", low=0.45, nominal=0.5, high=0.55, text="45 % to 55 %")


@pytest.mark.parametrize(
    ("typed", "value", "seen"),
    [
        ("5.02k / 10.1k", 5020 / 10100, "5.02k / 10.1k = 49.7 %"),
        ("5.02/10.1", 5.02 / 10.1, "5.02/10.1 = 49.7 %"),
        ("1.65 V / 3.3 V", 0.5, "1.65 V / 3.3 V = 50 %"),
        ("50 %", 0.5, "50 %"),
    ],
)
def test_a_share_of_two_readings_is_worked_out_and_both_are_kept(typed: str, value: float, seen: str) -> None:
    # Row E12 (NUREG-0700 section 8): derived values are computed from recorded inputs, and recomputing gives the same.
    event = take(step("mid", "measure", limits=SHARE), typed)
    assert event.typed == typed
    assert event.value == pytest.approx(value, rel=1e-12)
    assert read_typed(SHARE, event.typed) == event.value, "worked out anew from the record"
    assert event.verdict == "pass"
    assert shown(SHARE, typed) == seen


@pytest.mark.parametrize("typed", ["5k / 3 V", "/ 10k", "5k /", "5k / 0", "a / b"])
def test_what_is_no_share_is_refused_in_a_sentence(typed: str) -> None:
    with pytest.raises(UnitError, match=r"one reading over another|shared by nought"):
        read_typed(SHARE, typed)


def test_one_reading_and_two_the_wrong_way_round_are_asked_about() -> None:
    with pytest.raises(UnitError, match="that is one reading"):
        read_typed(SHARE, "10k")
    wrong = read_typed(SHARE, "10.1k / 5.02k")
    assert "The other way round it is 49.7 %" in doubt(SHARE, wrong)
    assert not doubt(SHARE, read_typed(SHARE, "5.02k / 10.1k"))


def test_nonsense_is_answered_with_an_example_of_the_step_and_no_tolerance() -> None:
    strap = Limits(what="strap", kind="resistance", low=750e3, high=10e6, text="750 kΩ to 10 MΩ")
    with pytest.raises(UnitError) as caught:
        read_typed(strap, "banana")
    assert "Ω, or OL" in str(caught.value)
    assert "±" not in str(caught.value)


CURRENT = Limits(what="supply", kind="current", high=0.0585, text="58.5 mA or less")


@pytest.mark.parametrize(("typed", "expected"), [("-1.2 A", "fail"), ("-20 mA", "pass"), ("1.2 A", "fail")])
def test_leads_the_wrong_way_round_make_no_large_current_a_small_one(typed: str, expected: str) -> None:
    # Common practice: a meter with its leads swapped shows the same size with a minus sign.
    assert verdict(CURRENT, read_typed(CURRENT, typed)) == expected


@pytest.mark.parametrize("typed", ["8k to 12k", "8k-12k", "10k ±5 %"])
def test_a_range_is_no_reading(typed: str) -> None:
    with pytest.raises(UnitError, match="one value"):
        read_typed(BANK, typed)


def test_over_range_passes_only_where_a_meter_shows_it_for_more_than_it_can_read() -> None:
    force = Limits(what="pull", kind="force", low=20.0, text="20 N or more")
    rail = Limits(what="rail", kind="voltage", low=4.75, text="4.75 V or more")
    with pytest.raises(UnitError):
        read_typed(force, "OL")
    with pytest.raises(UnitError, match="over range"):
        read_typed(rail, "OL")
    assert verdict(OPEN, read_typed(OPEN, "OL")) == "pass"
    # Common practice: on the diode range a diode the wrong way round, or none, reads OL.
    blocked = Limits(what="diode", kind="voltage", low=2.0, text="2 V or more, or OL")
    assert verdict(blocked, read_typed(blocked, "OL")) == "pass"


def test_what_was_counted_is_near_no_limit() -> None:
    counts = Limits(what="top", kind="count", low=126.0, high=127.0, text="126 to 127")
    assert verdict(counts, 126.0) == verdict(counts, 127.0) == "pass"
    assert verdict(counts, 125.0) == "fail"


def test_a_length_is_not_read_with_the_meter_of_the_sitting() -> None:
    gap = Limits(what="sheet", kind="length", low=0.0029, high=0.0031, text="2.9 mm to 3.1 mm")
    meter = Meter(id="M1", due="2026-01-01")
    event = take(step("sheet", limits=gap), "3.0 mm", meter=meter, today="2026-06-01")
    assert event.meter == ""


@pytest.mark.parametrize(
    ("text", "kind", "share", "fixed"),
    [("0.8 % + 3 mV", "voltage", 0.8, 0.003), ("±1 %", "resistance", 1.0, 0.0), ("1,5%+0.1 mA", "current", 1.5, 1e-4)],
)
def test_what_a_meter_may_be_off_is_typed_as_its_sheet_says_it(
    text: str, kind: str, share: float, fixed: float
) -> None:
    # Sheets of hand-held meters give a share of the reading and a number of digits (common practice).
    assert accuracy(text, kind) == pytest.approx((share, fixed))


@pytest.mark.parametrize("text", ["3 digits", "1", "90 %", "-1 %", "1 % + 3", "1 % + -3 mV", "nan %", ""])
def test_what_no_sheet_says_is_refused(text: str) -> None:
    with pytest.raises(UnitError):
        accuracy(text, "voltage")


def test_the_limit_of_tries_is_said_before_it_bites() -> None:
    # MIL-PRF-87269 and S1000D: a repeat has a limit and a way out, and both are in sight from the start.
    state = started(plan(step("bank", "measure", limits=BANK, tries=2), step("close")))
    here = state.plan.step("bank")
    assert tries_left(here, state["bank"]) == "2 at most, then it is a defect"
    assert "  Tries: 2 at most, then it is a defect." in step_said(state, "bank")
    state = after(state, read("bank", "4k", 4000.0, "fail"))
    assert tries_left(here, state["bank"]) == "1 of 2 left"
    state = after(state, read("bank", "4.1k", 4100.0, "fail", reason="adjusted"))
    assert tries_left(here, state["bank"]) == "none left of 2: write down the defect"
    with pytest.raises(JobError, match="measured 2 times, and 2 is the limit"):
        after(state, read("bank", "2.5k", 2500.0, "pass", reason="adjusted"))


def test_tries_are_not_spoken_of_once_the_reading_has_passed() -> None:
    state = after(started(plan(step("bank", "measure", limits=BANK, tries=2))), read("bank", "2.5k", 2500.0, "pass"))
    assert tries_left(state.plan.step("bank"), state["bank"]) == ""
