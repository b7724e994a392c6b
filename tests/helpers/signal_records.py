"""How the reference records of time, signals, MIDI, USB and units are asked of the command line."""

from __future__ import annotations

from helpers.records import Check, Mapper, Record, call, expect, typed


def _get(record: Record, key: str) -> str:
    return typed(record["inputs"][key])


def _size(row: object) -> str:
    return f"{row} AWG"


# -- time and signals, MIDI, USB -------------------------------------------------------------------------------------


def _corner(record: Record) -> list[Check]:
    return [
        expect(
            record, "fc", call("rc", resistance=_get(record, "R"), capacitance=_get(record, "C")), "corner-frequency"
        )
    ]


def _empty(record: Record) -> list[Check]:
    asked = call(
        "rc", resistance=_get(record, "R"), capacitance=_get(record, "C"), supply=_get(record, "V0"),
        time=_get(record, "t"), direction="discharge",
    )  # fmt: skip
    return [
        expect(record, "V", asked, "voltage-at"),
        expect(record, "I_peak", asked, "peak-current"),
        expect(record, "W", asked, "energy"),
    ]


def _debounce(record: Record) -> list[Check]:
    asked = call(
        "debounce", resistance=_get(record, "R"), capacitance=_get(record, "C"), fraction=record["inputs"]["fraction"]
    )
    return [expect(record, "t", asked, "time-to")]


def _debounce_resistors(record: Record) -> list[Check]:
    given = {key: entry["value"] for key, entry in record["inputs"].items()}
    texts = {"capacitance": _get(record, "C"), "time": _get(record, "t")}
    falling, rising = 1 - given["V_fall"] / given["V"], given["V_rise_used"] / given["V"]
    return [
        expect(record, "R2", call("debounce", **texts, fraction=falling), "resistance"),
        expect(record, "R1_plus_R2", call("debounce", **texts, fraction=rising), "resistance"),
    ]


def _encoder(record: Record) -> list[Check]:
    found = record["expected"]
    asked = call(
        "debounce", resistance=typed(found["R_series"]), pull_up=typed(found["R_pullup"]),
        capacitance=typed(found["C"]), bounce=f"{found['bounce_ms_at_15rpm'][0]} ms",
    )  # fmt: skip
    return [
        expect(record, "tau_open", asked, "open-time-constant"),
        expect(record, "tau_close", asked, "close-time-constant"),
        Check(asked, "settled", "no"),
    ]


def _settling(record: Record) -> list[Check]:
    given = record["inputs"]
    asked = call(
        "adc", bits=given["N"], clock=_get(record, "f_adc"), cycles=given["cycles"],
        sample_capacitance=_get(record, "C_adc"), switch_resistance=_get(record, "R_adc"),
    )  # fmt: skip
    return [expect(record, "t_s", asked, "sample-time"), expect(record, "R_ain_max", asked, "max-source-resistance")]


def _lsb(record: Record) -> list[Check]:
    given = record["inputs"]
    reference = typed(given.get("Vref", given.get("VFS")))
    plain = call("adc", bits=given["N"], reference=reference)
    less = call("adc", bits=given["N"], reference=reference, convention="2^n-1")
    names = {
        "LSB": (plain, "lsb"), "by_1024": (plain, "lsb"), "by_1023": (less, "lsb"), "step": (less, "lsb"),
        "rms": (plain, "quantisation-noise"),
    }  # fmt: skip
    return [expect(record, key, *names[key]) for key in record["expected"]]


def _snr(record: Record) -> list[Check]:
    return [expect(record, "SNR", call("adc", bits=record["inputs"]["N"]), "snr")]


def _ktc(record: Record) -> list[Check]:
    asked = call("adc", bits=12, sample_capacitance=_get(record, "C"), temperature=_get(record, "T"))
    return [expect(record, "rms", asked, "sampling-noise")]


def _loop(record: Record) -> list[Check]:
    names = {
        "V": "supply",
        "Vled": "led-voltage",
        "R_total": "resistance",
        "V_driver_low": "driver-low",
        "I": "current",
    }
    asked = call("midi-loop", **{names[key]: typed(entry) for key, entry in record["inputs"].items()})
    outputs = {"R": "resistance", "I": "current"}
    return [expect(record, key, asked, outputs[key]) for key in record["expected"]]


def _usb_limits(record: Record) -> list[Check]:
    found = record["expected"]
    limits = {
        "bus-hub": found["usb2_unit_load_mA"], "100 mA": found["unconfigured_usb2_mA"],
        "500 mA": found["usb2_max_mA"], "900 mA": found["usb3_max_mA"],
        "C 1.5 A": found["typec_A"][0] * 1000, "C 3 A": found["typec_A"][1] * 1000,
    }  # fmt: skip
    return [
        Check(call("usb-budget", port=port, loads="10 mA"), "limit", limit, "mA", rel=1e-12)
        for port, limit in limits.items()
    ]


def _inrush(record: Record) -> list[Check]:
    return [
        expect(record, "Q_5V", call("usb-budget", port="500 mA", loads="1 mA", capacitance="10 uF"), "inrush-charge")
    ]


def _cable(record: Record) -> list[Check]:
    asked = call("usb-cable", resistance_per_length=_get(record, "r_per_m"), budget_resistance=_get(record, "R_budget"))
    by_gauge = call("usb-cable", gauge=_size(record["inputs"]["awg"]))
    return [expect(record, "L", asked, "length"), expect(record, "L", by_gauge, "length")]


def _cable_table(record: Record) -> list[Check]:
    return [
        Check(call("usb-cable", gauge=_size(gauge)), "length", length, rel=0.012)
        for gauge, length in record["expected"]["rows"].items()
    ]


def _usb_drop(record: Record) -> list[Check]:
    asked = call(
        "usb-cable", supply=_get(record, "V_source"), current=_get(record, "I"),
        budget_resistance=_get(record, "R_conductor"),
    )  # fmt: skip
    return [expect(record, "V_drop", asked, "drop"), expect(record, "V_device", asked, "far-voltage")]


def _sense(record: Record) -> list[Check]:
    names = {"I": "source-current", "Rd": "pull-down", "Rp": "pull-up", "V": "supply"}
    asked = call("usb-c-sense", **{names[key]: typed(entry) for key, entry in record["inputs"].items()})
    voltage = "V" if "V" in record["expected"] else "V_cc"
    said = record["expected"]["class"]
    words = said if isinstance(said, str) else f"{said['value']:g} {said['unit']}"
    return [expect(record, voltage, asked, "voltage"), Check(asked, "advertised", words)]


def _sense_table(record: Record) -> list[Check]:
    checks = []
    for name, words in (("default", "default"), ("1A5", "1.5 A"), ("3A0", "3 A")):
        row = record["expected"][name]
        for current in (1 - row["tol_pc"] / 100, 1.0, 1 + row["tol_pc"] / 100):
            asked = call("usb-c-sense", pull_down="5.1k", source_current=f"{row['I_uA'] * current!r} uA")
            checks.append(Check(asked, "advertised", words))
        for supply, key in (("3.3 V", "Rp_3V3_k"), ("5 V", "Rp_5V_k")):
            asked = call("usb-c-sense", pull_down="5.1k", supply=supply, pull_up=f"{row[key]} kohm")
            checks.append(Check(asked, "advertised", words))
    return checks


# -- units -----------------------------------------------------------------------------------------------------------

_SI = {"m2": "m**2"}


def _one(record: Record) -> list[Check]:
    unit, found = record["inputs"]["unit"].partition(" (")[0], record["expected"]["value"]
    asked = call("convert", value=f"1 {unit}", to=_SI.get(found["unit"], found["unit"]))
    return [Check(asked, "value", found["value"])]


def _converted(record: Record) -> list[Check]:
    source, _, target = record["quantity"].partition(" ")[2].partition(" to ")
    asked = call("convert", value=f"{record['inputs']['x']} {source}", to=target)
    return [Check(asked, "value", record["expected"]["y"]["value"])]


def _temperatures(record: Record) -> list[Check]:
    assert "degC = (degF-32)*5/9" in record["quantity"]
    return [
        Check(call("convert", value=f"{fahrenheit} degF", to="degC"), "value", (fahrenheit - 32) * 5 / 9, rel=1e-12)
        for fahrenheit in (-40, 68, 212)
    ] + [Check(call("convert", value="25 degC", to="K"), "value", 298.15, rel=1e-12)]


MAPPERS: dict[str, Mapper] = {
    r"rc_fc_\d+": _corner, r"rc_rashid_2_4": _empty, r"debounce_\d+": _debounce,
    r"debounce_ganssle": _debounce_resistors, r"enc_filter": _encoder,
    r"adc_stm32_.*": _settling, r"adc_snr_\d+": _snr, r"adc_ktc": _ktc, r"adc_(lsb|conv|qnoise).*": _lsb,
    r"midi_(total_r|loop_\d+)": _loop,
    r"usb_limits": _usb_limits, r"usb_inrush": _inrush, r"usb_cable_len_\d+": _cable, r"usb_cable_gauge": _cable_table,
    r"usb_drop": _usb_drop, r"typec_rp": _sense_table, r"typec_(cc|rp)_\d+": _sense,
    r"unit_conv_\d+": _converted, r"unit_temp": _temperatures, r"unit_\d+": _one,
}  # fmt: skip

REASONS = {
    r"debounce_formula": "the formula in words; its numbers are debounce_ganssle and debounce_1 to 3",
    r"adc_src|ribbon": "figures of parts and boards: kept in design data",
    r"usb_suspend": "two editions in words; usb-budget shows both in a note",
    r"usb_44ohm|typec_drop": "a limit of the standard with no sum of its own",
    r"midi_(elec|byte|status|bend|cc|switch|msg_.*)": "the wire protocol: live input messages, no sum",
}
"""Records that are no calculator's business, with why."""
