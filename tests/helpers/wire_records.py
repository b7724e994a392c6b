"""How each wire and current reference record is asked of the command line."""

from __future__ import annotations

from helpers.records import Check, Mapper, Record, call, expect, typed


def _size(row: object) -> str:
    return f"{row} AWG"


def _formula(record: Record) -> list[Check]:
    """The step ratios, from two neighbouring sizes."""
    thin = 0.127e-3
    found = record["expected"]
    return [
        Check(call("wire", gauge="35 AWG"), "diameter", thin * found["step_ratio"]["value"], rel=1e-6),
        Check(call("wire", gauge="36 AWG"), "diameter", thin, rel=1e-12),
        Check(call("convert", value="35 AWG", to="mm2"), "value",
              0.7853981633974483 * 0.127**2 * found["area_step"]["value"], rel=1e-6),
    ]  # fmt: skip


def _table(record: Record) -> list[Check]:
    checks = []
    for row in record["expected"]["rows"]:
        asked = call("wire", gauge=_size(row["awg"]))
        checks += [
            Check(asked, "diameter", row["dia_in"] * 0.0254),
            Check(asked, "area", row["cmil"] * 5.067075e-10),
            Check(asked, "resistance-per-length", row["ohm_per_kft_20C"], "ohm/kft"),
        ]
    return checks


def _per_length(record: Record) -> list[Check]:
    texts = {"gauge": _size(record["inputs"]["awg"])}
    if "T" in record["inputs"]:
        texts["temperature"] = typed(record["inputs"]["T"])
    return [expect(record, "R", call("wire", **texts), "resistance-per-length")]


def _copper(record: Record) -> list[Check]:
    found = record["expected"]
    warm = 1 + 55 * found["alpha20"]["value"]
    return [
        Check(call("wire", gauge="1 mm2"), "resistance-per-length", found["rho"]["value"] * 1e-3),
        Check(call("wire", gauge="1 mm2", temperature="75 degC"), "resistance-per-length",
              found["rho"]["value"] * 1e-3 * warm),
        Check(call("temperature-resistance", resistance="1 ohm", from_="75 degC", to="65 degC"), "factor",
              1 - 10 * found["alpha75_nec"]["value"]),
        Check(call("wire", gauge="1 cmil", length="1 ft"), "resistance", found["K_20C"]["value"]),
    ]  # fmt: skip


def _to_20(record: Record) -> list[Check]:
    asked = call("temperature-resistance", resistance="1 ohm", from_=typed(record["inputs"]["t"]), to="20 degC",
                 coefficient="0.004/K")  # fmt: skip
    return [expect(record, "kt", asked, "factor")]


def _largest(record: Record) -> list[Check]:
    names = {"class2_plain": "class-2", "class2_tinned": "class-2-tinned", "class5_plain": "class-5",
             "class5_tinned": "class-5-tinned"}  # fmt: skip
    return [
        Check(call("wire", gauge=f"{size} mm2", construction=name), "resistance-per-length", ohms * 1e-3, rel=1e-12)
        for key, name in names.items()
        for size, ohms in record["expected"][key].items()
    ]


def _stranded(record: Record) -> list[Check]:
    """Strands as printed. The chart prints the solid wire's figure for 30 and 28 AWG, so there only the count is asked;
    its 24 AWG 19/36 lies 3.6 % from nineteen wires of 36 AWG by the 44-row table."""
    return [
        Check(
            call("wire", gauge=_size(gauge), strands="7" if gauge in ("30", "28") else strands),
            "resistance-per-length", ohms, "ohm/kft", rel=0.037 if strands == "19/36" else None,
        )
        for gauge, strands, ohms in record["expected"]["rows"]
    ]  # fmt: skip


def _warm_table(record: Record) -> list[Check]:
    checks = []
    for key, texts in (("solid", {}), ("stranded", {"strands": "7"})):
        for gauge, ohms in record["expected"][key].items():
            asked = call("wire", gauge=_size(gauge), temperature="75 degC", **texts)
            checks.append(Check(asked, "resistance-per-length", ohms, "ohm/kft"))
    return checks


def _section(record: Record) -> list[Check]:
    given = record["inputs"]
    asked = call("wire", resistance=typed(given["R"]), length=typed(given["L"]), resistivity=typed(given["rho"]))
    return [expect(record, "A", asked, "area")]


def _winding(record: Record) -> list[Check]:
    given = record["inputs"]
    asked = call("temperature-resistance", resistance=typed(given["R0"]), from_="0 degC", to=typed(given["T"]),
                 coefficient=f"{given['alpha0']['value']}/K")  # fmt: skip
    return [expect(record, "R", asked, "resistance-at")]


def _by_mils(record: Record) -> list[Check]:
    given = record["inputs"]
    asked = call("wire", gauge=f"{given['d_in']} in", length=f"{given['L_ft']} ft", resistivity=typed(given["K"]))
    return [expect(record, "R", asked, "resistance")]


def _drop_by_mils(record: Record) -> list[Check]:
    given = record["inputs"]
    asked = call("wire", gauge=f"{given['cmil']} cmil", length=f"{given['one_way_ft']} ft", current=typed(given["I"]),
                 supply=typed(given["Vs"]), resistivity="12.9 ohm cmil/ft")  # fmt: skip
    return [expect(record, "Vd", asked, "drop"), expect(record, "percent", asked, "drop-percent")]


def _drop(record: Record) -> list[Check]:
    given = record["inputs"]
    asked = call("wire", gauge=_size(given["awg"]), length=typed(given["one_way"]), current=typed(given["I"]),
                 supply=typed(given["Vs"]))  # fmt: skip
    return [expect(record, "Vd", asked, "drop"), expect(record, "percent", asked, "drop-percent")]


def _drop_methods(record: Record) -> list[Check]:
    """Four methods differ; the calculator gives each when asked for it (stranded by 2 % lay, so within 1 %)."""
    texts = {"length": "100 ft", "current": "20 A"}
    return [
        expect(record, "K_12p9", call("wire", gauge="6530 cmil", resistivity="12.9 ohm cmil/ft", **texts), "drop"),
        expect(record, "solid_20C_1p588", call("wire", gauge="12 AWG", **texts), "drop"),
        expect(record, "table8_solid_1p93", call("wire", gauge="12 AWG", temperature="75 degC", **texts), "drop"),
        expect(record, "table8_stranded_1p98",
               call("wire", gauge="12 AWG", temperature="75 degC", strands="7", **texts), "drop", rel=0.01),
    ]  # fmt: skip


def _nec(record: Record) -> list[Check]:
    return [
        Check(call("ampacity", gauge=_size(gauge), rule="nec-310.16", insulation=column), "current", amps)
        for gauge, row in record["expected"]["rows"].items()
        for column, amps in zip((60, 75, 90), row, strict=True)
        if amps is not None
    ]


def _cord(record: Record) -> list[Check]:
    found = record["expected"]
    kinds = {"three_current_carrying_A": {"conductors": 3}, "two_current_carrying_B": {"conductors": 2},
             "heater_cord_HPD": {"method": "heater"}}  # fmt: skip
    checks = [
        Check(call("ampacity", gauge=_size(gauge), rule="nec-400.5", **texts), "current", amps)
        for key, texts in kinds.items()
        for gauge, amps in found[key].items()
    ]
    share = found["four_to_six_conductors"]["value"] / 100
    asked = call("ampacity", gauge="18 AWG", rule="nec-400.5", conductors=4)
    return [*checks, Check(asked, "current", found["three_current_carrying_A"]["18"] * share, rel=1e-12)]


def _ambient_table(record: Record) -> list[Check]:
    return [
        Check(call("ampacity", gauge="12 AWG", rule="nec-310.16", insulation=column, ambient=f"{edge} degC"),
              "ambient-factor", factor)
        for column, rows in record["expected"].items()
        for edge, factor in rows.items()
    ]  # fmt: skip


def _ambient(record: Record) -> list[Check]:
    given = record["inputs"]
    asked = call("ampacity", gauge="12 AWG", rule="nec-310.16", insulation=typed(given["Tc"]),
                 ambient=typed(given["Ta"]))  # fmt: skip
    return [expect(record, "factor", asked, "ambient-factor")]


def _bundle_table(record: Record) -> list[Check]:
    checks = []
    for group, percent in record["expected"].items():
        ends = group.rstrip("+").split("-") if "+" not in group else [group.rstrip("+"), "60"]
        for count in ends:
            asked = call("ampacity", gauge="12 AWG", rule="nec-310.16", conductors=count)
            checks.append(Check(asked, "bundle-factor", percent / 100))
    return checks


def _nec_example(record: Record) -> list[Check]:
    given = record["inputs"]
    texts = {"gauge": _size(given["awg"]), "insulation": typed(given["T_ins"])}
    if "n" in given:
        texts["conductors"] = given["n"]
    if "Ta" in given:
        texts["ambient"] = typed(given["Ta"])
    return [expect(record, "I", call("ampacity", rule="nec-310.16", **texts), "current")]


def _overcurrent(record: Record) -> list[Check]:
    return [
        Check(call("ampacity", gauge=_size(gauge), rule="nec-310.16", insulation=90), "overcurrent-limit", amps)
        for gauge, amps in record["expected"].items()
        if gauge != "aluminium"
    ]


def _nasa(record: Record) -> list[Check]:
    checks = []
    for gauge, (single, bundle) in record["expected"]["rows"].items():
        checks.append(Check(call("ampacity", gauge=_size(gauge), rule="nasa-single"), "current", single))
        checks.append(Check(call("ampacity", gauge=_size(gauge), rule="nasa-bundle"), "current", bundle))
    return checks + [
        Check(call("ampacity", gauge="20 AWG", rule="nasa-bundle", insulation=name.removesuffix("C")),
              "insulation-factor", factor)
        for name, factor in record["expected"]["insulation_factor"].items()
    ]  # fmt: skip


def _nasa_example(record: Record) -> list[Check]:
    given = record["inputs"]
    asked = call("ampacity", gauge=_size(given["awg"]), rule="nasa-bundle", conductors=given["bundle"])
    return [expect(record, "I", asked, "current")]


def _share_of_single(record: Record) -> list[Check]:
    """(29 − N) / 28 below fifteen wires; from fifteen on the table's bundle column, as the record's note asks."""
    assert record["expected"]["N_1_to_15"] == "I_single*(29-N)/28"
    return [
        Check(call("ampacity", gauge="12 AWG", rule="nasa-single", conductors=count), "current", amps, rel=1e-12)
        for count, amps in ((1, 25.0), (7, 25 * 22 / 28), (14, 25 * 15 / 28), (15, 11.5))
    ]


def _iec(rule: str) -> Mapper:
    def mapper(record: Record) -> list[Check]:
        checks = [
            Check(call("ampacity", gauge=f"{size} mm2", rule=rule, method=method), "current", amps)
            for method, rows in record["expected"].items()
            if method != "ambient_factor_pvc"
            for size, amps in rows.items()
        ]
        factors = record["expected"].get("ambient_factor_pvc", {})
        return checks + [
            Check(call("ampacity", gauge="4 mm2", rule=rule, ambient=f"{ambient} degC"), "ambient-factor", factor)
            for ambient, factor in factors.items()
        ]

    return mapper


def _group(record: Record) -> list[Check]:
    return [
        Check(call("ampacity", gauge="4 mm2", rule="iec-60364", conductors=count), "bundle-factor", factor)
        for count, factor in record["expected"].items()
    ]


def _iec_example(record: Record) -> list[Check]:
    given = record["inputs"]
    texts = {"gauge": f"{given['mm2']} mm2", "rule": "iec-60364", "method": given["method"]}
    plain = call("ampacity", **texts, ambient=typed(given["Ta"]))
    based = call("ampacity", **texts, ambient=typed(given["Ta"]), base_current=typed(given["I30"]))
    return [expect(record, "I", plain, "current"), expect(record, "I", based, "current")]


MAPPERS: dict[str, Mapper] = {
    r"awg_formula": _formula, r"awg_table": _table, r"awg_r_\d+|nec_t8_calc_\d+": _per_length, r"cu_rho": _copper,
    r"iec60228_kt_\d+": _to_20, r"iec60228": _largest, r"stranded_chart": _stranded, r"nec_ch9_t8": _warm_table,
    r"bird_3_05": _section, r"bird_3_08": _winding, r"asn_400ft": _by_mils, r"vdrop_k_\d+": _drop_by_mils,
    r"vdrop_calc_\d+": _drop, r"vdrop_methods": _drop_methods,
    r"nec_310_16": _nec, r"nec_400_5": _cord, r"nec_amb": _ambient_table, r"nec_amb_\d+": _ambient,
    r"nec_bundle": _bundle_table, r"nec_bundle_ex1|nec_amb_ex": _nec_example, r"nec_240_4d": _overcurrent,
    r"nasa_wire": _nasa, r"nasa_20": _nasa_example, r"mil975_formula": _share_of_single,
    r"iec60364": _iec("iec-60364"), r"iec60204": _iec("iec-60204"), r"iec60364_group": _group,
    r"iec60364_\d+": _iec_example,
}  # fmt: skip

REASONS = {
    r"mil_bundle|mil5088b": "disagree with one another and with the NASA table, which is the one offered",
    r"fuse_.*": "choosing a fuse is no calculator of the catalogue",
}
"""Records that are no calculator's business, with why."""
