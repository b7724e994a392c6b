"""How each electrical reference record is asked of the command line."""

from __future__ import annotations

from helpers.records import Check, Mapper, Record, call, expect, typed


def _get(record: Record, key: str) -> str:
    return typed(record["inputs"][key])


# -- numbers and marks -----------------------------------------------------------------------------------------------


def _decade(record: Record) -> list[Check]:
    """Each member is its own nearest, and the value just above it leads to the next member."""
    series, numbers = record["id"].removeprefix("eseries_").upper(), record["expected"]["values"]
    assert len(numbers) == record["expected"]["count"]
    checks = []
    for number, following in zip(numbers, [*numbers[1:], numbers[0] * 10], strict=True):
        checks.append(Check(call("preferred", value=number, series=series), "nearest", number))
        checks.append(Check(call("preferred", value=number * 1.0001, series=series), "next-up", following))
    return checks


def _pick(record: Record) -> list[Check]:
    asked = call("preferred", value=_get(record, "R"), series=record["inputs"]["series"])
    return [expect(record, "next_up", asked, "next-up"), expect(record, "next_down", asked, "next-down")]


def _rule(record: Record) -> list[Check]:
    found = record["expected"]
    return [
        Check(call("preferred", value=number, series="E24"), "nearest", number) for number in found["exceptions_E24"]
    ] + [Check(call("preferred", value=919, series="E192"), "nearest", 920)]


def _links(record: Record) -> list[Check]:
    """A value that E96 lacks is not its own nearest there: the nearest differs from it by up to half a step."""
    checks = []
    for number in record["expected"]["e24_values_absent_from_e96"]:
        checks.append(Check(call("preferred", value=number, series="E24"), "error", 0))
        checks.append(Check(call("preferred", value=number * 10, series="E96"), "next-up.value", number * 10, rel=0.03))
    return checks


def _code(record: Record) -> list[Check]:
    return [expect(record, "R", call("resistor-marking", code=record["inputs"]["code"]), "resistance")]


def _letters(record: Record) -> list[Check]:
    checks = [
        Check(call("resistor-marking", code=f"4{letter}7"), "resistance", 4.7 * factor, rel=1e-12)
        for letter, factor in record["expected"]["resistance"].items()
    ]
    return checks + [
        Check(call("rc", resistance="1 ohm", capacitance=f"4{letter}7"), "time-constant", 4.7 * factor, rel=1e-12)
        for letter, factor in record["expected"]["capacitance"].items()
    ]


def _tolerance_letters(record: Record) -> list[Check]:
    return [
        Check(call("resistor-marking", code=f"4R7{letter}"), "tolerance", percent, "%")
        for letter, percent in record["expected"]["percent"].items()
    ]


def _digits(record: Record) -> list[Check]:
    return [
        Check(call("resistor-marking", bands=f"brown {colour} black gold"), "resistance", 10 + digit)
        for colour, digit in record["expected"]["digit"].items()
    ]


def _multipliers(record: Record) -> list[Check]:
    return [
        Check(call("resistor-marking", bands=f"red red {colour} brown"), "resistance", 22 * 10.0**exponent)
        for colour, exponent in record["expected"]["exponent"].items()
    ]


def _tolerance_colours(record: Record) -> list[Check]:
    return [
        Check(
            call("resistor-marking", bands=f"red violet red {'' if colour == 'none' else colour}"),
            "tolerance", percent, "%",
        )
        for colour, percent in record["expected"]["percent"].items()
    ]  # fmt: skip


def _coefficients(record: Record) -> list[Check]:
    return [
        Check(
            call("resistor-marking", bands=f"red violet black red brown {colour}"),
            "temperature-coefficient", ppm, "1e-6/K",
        )
        for colour, ppm in record["expected"]["ppm_per_K"].items()
    ]  # fmt: skip


def _bands(record: Record) -> list[Check]:
    asked = call("resistor-marking", bands=" ".join(record["inputs"]["bands"]))
    checks = [
        expect(record, "R", asked, "resistance"),
        expect(record, "tolerance", asked, "tolerance"),
        expect(record, "R_min", asked, "minimum"),
        expect(record, "R_max", asked, "maximum"),
    ]
    if "tcr" in record["expected"]:
        checks.append(expect(record, "tcr", asked, "temperature-coefficient"))
    return checks


# -- dividers and lamps ----------------------------------------------------------------------------------------------


def _divider(record: Record) -> list[Check]:
    given = record["inputs"]
    spread = f" ±{given['tol']['value']} %" if "tol" in given else ""
    names = {
        "Vin": "supply", "V_th": "supply", "R_top": "top", "R_th": "top", "R_bottom": "bottom", "R_load": "load",
    }  # fmt: skip
    texts = {
        names[key]: typed(entry) + (spread if key.startswith("R_") else "")
        for key, entry in given.items()
        if key in names
    }
    asked = call("divider", **({"supply": "1 V"} | texts))
    outputs = {"Vout": "output", "ratio": "ratio", "min": "output.min", "max": "output.max"}
    return [expect(record, key, asked, outputs[key]) for key in record["expected"]]


def _meter(record: Record) -> list[Check]:
    """The meter is a load beside the true resistance; both together read 20 kΩ."""
    asked = call("divider", supply="1 V", top="20 kohm", target="50 %", load=_get(record, "meter_R"))
    return [expect(record, "true", asked, "bottom")]


def _pot(record: Record) -> list[Check]:
    load = record["inputs"].get("R_load", record["inputs"].get("R_pulldown"))
    texts = {"element": _get(record, "R_pot"), "load": typed(load)}
    if "V" in record["inputs"]:
        texts["supply"] = _get(record, "V")
    names = {"max_error": "worst-error", "V": "output", "error": "error"}
    return [expect(record, key, call("pot", **texts), names[key]) for key in record["expected"]]


def _led(record: Record) -> list[Check]:
    given = record["inputs"]
    asked = call(
        "led", supply=_get(record, "Vs"), forward_voltage=_get(record, "Vf"), current=_get(record, "If"),
        leds=given.get("n", 1), series="E12" if "R_pick" in record["expected"] else "E24",
    )  # fmt: skip
    names = {"R": "resistor", "R_pick": "preferred", "P_R": "resistor-power"}
    return [expect(record, key, asked, names[key]) for key in record["expected"]]


def _film(record: Record) -> list[Check]:
    return [
        expect(record, key, call("derating", rated_power=_get(record, "P70"), ambient=f"{key[2:]} degC",
                                 zero_power_temperature=_get(record, "T_film_max")), "allowed-power")
        for key in record["expected"]
    ]  # fmt: skip


def _film_temperature(record: Record) -> list[Check]:
    asked = call(
        "derating", rated_power="1 W", ambient=_get(record, "T_amb"), power=_get(record, "P"),
        thermal_resistance=_get(record, "Rth"),
    )  # fmt: skip
    return [expect(record, "T_film", asked, "film-temperature")]


def _slope(record: Record) -> list[Check]:
    asked = call("derating", rated_power=_get(record, "P25"), slope=_get(record, "slope"), ambient=_get(record, "T"))
    return [expect(record, "P", asked, "allowed-power")]


# -- pull-ups --------------------------------------------------------------------------------------------------------


def _rise_constant(record: Record) -> list[Check]:
    """Rise time over R C, the calculator's constant, from a run with 1 s and 1 F."""
    key = "t_rise" if "t_rise" in record["expected"] else "right_constant"
    constant = record["expected"][key]["value"]
    asked = call("pull-up", supply="5 V", sink_current="3 mA", capacitance="1 uF", rise_time="1 s")
    return [Check(asked, "maximum", 1e6 / constant, rel=6e-5)]


def _modes(record: Record) -> list[Check]:
    checks = []
    for mode, row in record["expected"].items():
        if not isinstance(row, dict):
            continue
        asked = call("i2c-pull-up", supply="5 V", capacitance=f"{row['Cb_pF']} pF", mode=mode.replace("_", "-"))
        checks.append(Check(asked, "minimum", (5 - row["VOL_V"]) / (row["IOL_mA"] * 1e-3), rel=1e-9))
        checks.append(Check(asked, "maximum", row["tr_ns"] * 1e-9 / (0.8473 * row["Cb_pF"] * 1e-12), rel=1e-9))
    low = call("i2c-pull-up", supply="1.8 V", capacitance="100 pF", sink_current="3 mA")
    # UM10204 rev 6 Table 9 gives that low level at 2 mA, which is what is taken when nothing is typed.
    by_table = call("i2c-pull-up", supply="1.8 V", capacitance="100 pF")
    return [
        *checks,
        Check(low, "minimum", (1.8 - 0.2 * 1.8) / 3e-3, rel=1e-9),
        Check(by_table, "minimum", (1.8 - 0.2 * 1.8) / 2e-3, rel=1e-9),
    ]


def _bus(record: Record) -> list[Check]:
    names = {"VDD": "supply", "VOL": "vol", "IOL": "sink-current", "tr": "rise-time", "Cb": "capacitance"}
    asked = call("i2c-pull-up", **{names[key]: typed(entry) for key, entry in record["inputs"].items()})
    outputs = {"Rp_min": "minimum", "Rp_max": "maximum", "feasible": "feasible"}
    return [expect(record, key, asked, outputs[key]) for key in record["expected"]]


def _leak(record: Record) -> list[Check]:
    asked = call(
        "pull-up", supply=_get(record, "VCC_min"), vih=_get(record, "VIH"), leakage=_get(record, "I_leak"),
        sink_current="4 mA",
    )  # fmt: skip
    return [expect(record, "R_max", asked, "maximum")]


def _wetting(record: Record) -> list[Check]:
    texts = {"supply": _get(record, "V"), "wetting_current": _get(record, "I_min")}
    return [
        expect(record, "R_max", call("pull-up", **texts), "wetting-maximum"),
        expect(record, "I_10k", call("pull-up", **texts, resistor="10k"), "contact-current"),
        expect(record, "I_35k", call("pull-up", **texts, resistor="35k"), "contact-current"),
    ]


MAPPERS: dict[str, Mapper] = {
    r"eseries_e\d+": _decade, r"eseries_pick_\d+": _pick, r"eseries_rule": _rule, r"eseries_links": _links,
    r"rkm_letters": _letters, r"rkm_\d+|code96_\d+": _code, r"tol_letters_sym": _tolerance_letters,
    r"colour_digits": _digits, r"colour_multiplier": _multipliers, r"colour_tolerance": _tolerance_colours,
    r"colour_tcr": _coefficients, r"colour_\d+": _bands,
    r"div_meter_true_r": _meter, r"div_.*": _divider, r"pot_loading_\d+|ribbon_pd_\d+": _pot,
    r"r_derating_mrs25": _film, r"r_rth_vr25": _film_temperature, r"p_derate_\d+": _slope, r"led_.*": _led,
    r"i2c_constants|i2c_bad_constant": _rise_constant, r"i2c_modes": _modes, r"i2c_.*": _bus,
    r"pullup_leak_\d+": _leak, r"wetting_calc": _wetting,
}  # fmt: skip

REASONS = {
    r"tol_letters_asym": "letters of capacitors; resistor-marking marks resistors",
    r"div_sum_of_tol": "three resistors multiplied; no calculator multiplies three, its band rule is the corner search",
    r"led_vf_.*": "forward voltages of parts: typed by the user, kept in part data",
    r"pullup_internal|logic_levels": "figures of boards: typed by the user, kept in design data",
    r"wetting": "contact figures of parts: typed by the user; the 1 mA default is checked by wetting_calc",
}
"""Records that are no calculator's business, with why."""
