"""The command: its listing, its descriptions, its report, and what the catalogue promises."""

from __future__ import annotations

import random
import string

import pytest
from helpers.calculate import ask
from helpers.calculator_examples import EXAMPLES

from benchtui.calc import catalogue
from benchtui.calc.run import run
from benchtui.calc_command import description, listing, main, report
from benchtui.errors import CalcError
from benchtui.units import KINDS

PROMISED = {
    "divider": ("supply top? bottom? load? target? series?",
                "output ratio current source-resistance top-power bottom-power top bottom"),
    "pot": ("supply? element travel? load? residual? steps?",
            "output error worst-error worst-travel lowest-code highest-code"),
    "shared-ground": ("controls element joint steps?", "lowest-code"),
    "led": ("supply forward-voltage current leds? strings? series? pin-limit?",
            "resistor preferred actual-current resistor-power rating"),
    "derating": ("rated-power ambient slope? full-power-temperature? zero-power-temperature?", "allowed-power"),
    "pull-up": ("supply vih leakage sink-current vol? capacitance? rise-time? wetting-current?",
                "minimum maximum feasible preferred contact-current"),
    "i2c-pull-up": ("supply capacitance mode? vol? sink-current? rise-time?", "minimum maximum feasible preferred"),
    "wire": ("gauge? length? current? supply? temperature? strands? max-drop? resistivity?",
             "diameter area resistance-per-length resistance drop drop-percent far-voltage loss gauge length"),
    "temperature-resistance": ("resistance from to coefficient?", "resistance-at factor"),
    "ampacity": ("gauge rule insulation? ambient? conductors? method? base-current?",
                 "current ambient-factor bundle-factor overcurrent-limit"),
    "torque": ("thread class? proof? yield? utilisation? nut-factor? thread-friction? head-friction? bearing-diameter? "
               "preload? torque? scatter? torsion? part-limit?",
               "stress-area proof-load ultimate-load preload preload-min preload-max torque nut-factor"),
    "thread-strip": ("thread engagement? shear-strength?", "internal-area external-area strip-force engagement"),
    "resistor-marking": ("code? bands? value? tolerance?", "resistance tolerance minimum maximum code bands"),
    "preferred": ("value series", "nearest next-up next-down error"),
    "rc": ("resistance capacitance supply? time? fraction?", "time-constant corner-frequency voltage-at time-to"),
    "debounce": ("resistance capacitance fraction? bounce? pull-up?", "time-to settled"),
    "adc": ("bits reference convention? clock? cycles? sample-capacitance? switch-resistance? source-resistance?",
            "lsb sample-time max-source-resistance snr settling-error"),
    "thermal-noise": ("resistance bandwidth temperature", "rms"),
    "usb-budget": ("port loads capacitance?", "total left inrush-charge verdict"),
    "usb-cable": ("gauge? resistance-per-length? budget-resistance? current? min-voltage?", "length drop"),
    "usb-c-sense": ("pull-down source-current? pull-up? supply?", "voltage advertised"),
    "midi-loop": ("supply led-voltage resistance? driver-low? current?", "current resistance"),
    "discharge": ("capacitance resistance from to", "time"),
    "battery": ("voltage capacity load?", "energy runtime flight-rule"),
    "sound-exposure": ("level rule", "allowed-time"),
    "tip-temperature": ("melting joint-margin? reserve? part-limit?", "setting"),
    "tolerance-fit": ("panel washers nut bushing-length", "thread-left fits"),
    "spares": ("rate time quantity? confidence? spares?", "spares confidence expected"),
    "soak": ("reliability? confidence? failure-share? risk? mtbf?", "runs time"),
    "convert": ("value to", "value"),
}  # fmt: skip
"""Keys other programs and data files rely on."""


def test_the_catalogue_is_complete() -> None:
    assert set(catalogue.names()) == set(PROMISED)


@pytest.mark.parametrize("name", PROMISED)
def test_the_promised_keys_are_there(name: str) -> None:
    calculator = catalogue.get(name)
    inputs, outputs = PROMISED[name]
    have = {entry.key: entry for entry in calculator.inputs}
    for key in inputs.split():
        assert key.rstrip("?") in have
        if key.endswith("?"):
            assert not have[key.rstrip("?")].required
    assert set(outputs.split()) <= {entry.key for entry in calculator.outputs}


@pytest.mark.parametrize("name", PROMISED)
def test_a_calculator_explains_itself(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    calculator = catalogue.get(name)
    assert main([name]) == 0
    text = description(calculator)
    assert capsys.readouterr().out.strip() == text
    assert all(len(line) <= 80 for line in text.splitlines())
    assert calculator.formula in " ".join(text.split())
    for entry in calculator.inputs:
        assert entry.key in text
        kinds = entry.kind.removeprefix("sum:").split("|")
        assert entry.kind in ("choice", "word") or all(kind in KINDS for kind in kinds)
        assert len(entry.help) <= 48, entry.help


@pytest.mark.parametrize(("name", "texts"), EXAMPLES, ids=lambda value: str(value)[:60])
def test_every_answer_has_working_and_a_source(name: str, texts: dict[str, str]) -> None:
    calculator = catalogue.get(name)
    result = run(calculator, texts)
    assert result.working
    assert result.sources and all(result.sources)
    lines = report(calculator, result).splitlines()
    assert all(len(line) <= 80 for line in lines if " " in line.strip())
    text = " ".join(" ".join(lines).split())
    for key, value in result.outputs.items():
        assert f" {key} " in text and value.text in text
    for verdict in result.verdicts:
        assert verdict.text.endswith(".") and "nan" not in verdict.text


def test_bare_command_lists_all(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 0
    printed = capsys.readouterr().out
    assert printed.strip() == listing().strip()
    assert all(f"  {name} " in printed for name in catalogue.names())
    assert main(["--help"]) == 0
    assert "benchtui calc NAME key=value" in capsys.readouterr().out


def test_arguments_of_the_wrong_form(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["divider", "5 V"]) == 2
    assert "is not of the form key=value" in capsys.readouterr().err
    assert main(["divider", "supply=5 V", "supply=6 V"]) == 2
    assert "supply: is given twice" in capsys.readouterr().err


def test_machine_readable_form() -> None:
    answer = ask("led", supply="3.3 V ±5 %", forward_voltage="2 V", current="5 mA")
    assert set(answer) >= {"calculator", "inputs", "outputs", "verdicts", "working", "sources"}
    assert answer["inputs"]["supply"] == {"text": "3.3 V ±5 %", "value": 3.3, "unit": "V"}
    assert answer["inputs"]["series"] == {"text": "E24"}
    assert set(answer["outputs"]["resistor"]) == {"value", "unit", "min", "max", "text"}
    assert set(answer["verdicts"][0]) == {"level", "text"}
    exact = ask("led", supply="3.3 V", forward_voltage="2 V", current="5 mA")
    assert all("min" not in value for value in exact["outputs"].values())
    assert ask("tolerance-fit", panel="3 mm", washers="0.5 mm", nut="2 mm", bushing_length="7 mm")["outputs"][
        "fits"
    ] == {"text": "yes"}


PIECES = [
    "5", "0", "-1", "1e9", "1e-30", "9**9**9", "nan", "inf", "4k7", "10k", "3,3", "V", "ohm", "A", "mA", "AWG", "mm²",
    " ", "±", "%", "5 %", "/", "to", "M3", "x", "E24", "yes", "[", "]", "[bold", "{", "}", "\\", "'", '"', "`", "$(",
    "Ω", "µ", "\x00", "\x1b[31m", "\u202e", "🦊", "٣", "½", "=", "--json", "red", "gold", "black", "K", "R47", "1/4-20",
    "degC", "K/W",
]  # fmt: skip


def _hostile(draw: random.Random) -> str:
    kind = draw.randrange(4)
    if kind == 0:
        return "".join(draw.choice(PIECES) for _ in range(draw.randrange(1, 8)))
    if kind == 1:
        return "".join(draw.choice(string.printable) for _ in range(draw.randrange(0, 90)))
    if kind == 2:
        return "".join(chr(draw.randrange(1, 0x2FFF)) for _ in range(draw.randrange(0, 40)))
    text = draw.choice([value for _, texts in EXAMPLES for value in texts.values()])
    place = draw.randrange(len(text) + 1)
    return text[:place] + draw.choice(PIECES) + text[place:]


def _fuzz(count: int, seed: int) -> None:
    """Ordinary cases with some inputs replaced: an answer, or one sentence, never anything else."""
    draw = random.Random(seed)
    for _ in range(count):
        name, texts = draw.choice(EXAMPLES)
        calculator = catalogue.get(name)
        changed = dict(texts)
        for _ in range(draw.randrange(1, 3)):
            changed[draw.choice(calculator.inputs).key] = _hostile(draw)
        try:
            result = run(calculator, changed)
        except CalcError as error:
            assert error.message and "\n" not in str(error), changed
            assert len(str(error)) < 500
        else:
            assert report(calculator, result)
            assert result.as_json()["calculator"] == name


def test_hostile_text_gets_an_answer_or_one_sentence() -> None:
    _fuzz(2500, seed=1)


@pytest.mark.long
def test_ten_thousand_hostile_texts() -> None:
    for seed in range(5):
        _fuzz(10_000, seed=seed)


@pytest.mark.parametrize("name", sorted(PROMISED))
def test_extreme_numbers_get_an_answer_or_one_sentence(name: str) -> None:
    texts = next(texts for one, texts in EXAMPLES if one == name)
    calculator = catalogue.get(name)
    for key in texts:
        for extreme in ("0", "1e-300", "1e300", "-1", "1e18", "1e17", "1e-17"):
            unit = texts[key].lstrip("0123456789.")
            try:
                run(calculator, texts | {key: f"{extreme}{unit if unit[:1] == ' ' else ' ' + unit}"})
            except CalcError as error:
                assert error.message
