"""Each mistake a builder can make in a design file, sown into the shipped desk, and the sentence that must be told."""

from __future__ import annotations

import re

import pytest

from benchtui.content.nodes import compose
from benchtui.design import load_design, read_design
from benchtui.design.checks import findings, problems
from benchtui.design.checks.space import Box
from benchtui.design.cuts import cuts
from benchtui.design.legends import legends
from benchtui.design.model import Design
from benchtui.paths import shipped

DESK = shipped("procedures") / "hollin-cue-desk" / "design.yaml"
TEXT = DESK.read_text(encoding="utf-8")

# (what is done wrong, pattern, replacement, the whole message). The first match of the pattern is replaced.
MISTAKES = [
    ("pin used twice", r"X2: D6", "X2: D5",
     "board pin D5 is used twice: line X1 of matrix X and line X2 of matrix X"),
    ("boot pin", r"rows: \{X1: D5", "rows: {X1: D0",
     "board pin D0 is kept (boot select), and line X1 of matrix X uses it"),
    ("USB pin", r"columns: \{Y1: D9", "columns: {Y1: D30",
     "board pin D30 is kept (USB data), and line Y1 of matrix X uses it"),
    ("analogue on a digital pin", r"to: A1, pull-down", "to: D29, pull-down",
     "board pin D29 is digital only, and J5 pin 3 needs analogue"),
    ("common of the multiplexer", r"common: A0", "common: D29",
     "board pin D29 is digital only, and the common of M1 needs analogue"),
    ("channel twice", r"to: M1 1,", "to: M1 0,",
     "channel M1 0 is used twice: J1 pin 3 and J1 pin 4"),
    ("too few select lines", r"selects: \[D1, D2, D3, D4\]", "selects: [D1, D2, D3]",
     "multiplexer M1 has 3 select lines, and 16 channels need 4"),
    ("connector too small", r"part: plug-12", "part: plug-10",
     "connector J1 lists 12 pins, and its part has 10"),
    ("two wires in a crimp", r'(K2: .*)signal: "4"', r'\1signal: "3"',
     "J2 pin 3 has two wires: K1 signal and K2 signal"),
    ("two buses in a crimp", r"(GL: .*)connector: J6, pin: \"1\"", r'\1connector: J5, pin: "1"',
     "J5 pin 1 has two wires: bus GE and bus GL"),
    ("a ring that ends where it begins", r"(GA: .*)topology: chain", r'\1topology: ring, back: "1"',
     "J1 pin 1 has two wires: bus GA and the way back of bus GA"),
    ("no input left", r"(?s)(A3: )\{can: \[analogue, digital\]\}(.*?\n)(  K6: .*?pins: \{signal: )\"8\"(.*?\n)",
     r'\1{can: [digital]}\2\3"8"\4  K7: {part: pot-9, legend: More, x: "310 mm", y: "210 mm", bank: B, '
     r'pins: {signal: "9"}, message: {controller: 46}}\n',
     "17 of 18 analogue channels, those of multiplexers included, are used, and 1 left for a spare"),
    ("no pin left", r"(?s)(A3: \{can: \[analogue), digital(\]\}.*?)    D29: \{can: \[digital\]\}\n", r"\1\2",
     "27 of 27 digital pins are used, and 0 left for a spare"),
    ("open inputs", r"common: A0,", "common: A0, spare: open,",
     "multiplexer M1 leaves 2 of its 16 inputs open"),
    ("leads nowhere", r'(K2: .*)signal: "4"', r'\1signal: "10"',
     "control K2: its signal goes to J2 pin 10, which is spare"),
    ("same crossing", r"(B2: .*)column: Y2", r"\1column: Y1",
     "controls B1 and B2 sit at the same crossing X1 Y1"),
    ("5 V into a 3.3 V pin", r'rail: "3.3 V ±2 %"', 'rail: "5 V ±5 %"',
     "the rail may reach 5.25 V, and a pin stands 3.6 V"),
    ("multiplexer out of range", r"common: A0,", 'common: A0, supply: "9 V",',
     "multiplexer M1 is fed 9 V, and it takes 2 V to 6 V"),
    ("multiplexer below its signals", r"common: A0,", 'common: A0, supply: "2.5 V",',
     "multiplexer M1 is fed 2.5 V, less than the 3.3 V of its signals"),
    ("select lines out of reach", r"common: A0,", 'common: A0, supply: "5 V ±5 %",',
     "multiplexer M1: a select line reads high from 3.67 V, and the board gives 3.23 V"),
    ("source resistance", r'ohms: "10 kohm ±20 %"', 'ohms: "100 kohm ±20 %"',
     "control F1: source resistance up to 30.3 kΩ at mid-travel, and the converter reads rightly up to 10 kΩ"),
    ("hot element", r'power: "0.2 W"', 'power: "1 mW"',
     "control F1: its element turns 1.42 mW into heat, and stands 1 mW"),
    ("ribbon behind the multiplexer", r'"3": \{to: A1, pull-down', '"3": {to: M1 14, pull-down',
     "control R1: a ribbon behind a multiplexer copies the channel before it while untouched"),
    ("no pull-down", r"to: A1, pull-down: r-100k, ", "to: A1, ",
     "control R1: nothing pulls it down, so its value wanders while untouched"),
    ("pull-down without capacitor", r"to: A1, pull-down: r-100k, capacitor: c-100n", "to: A1, pull-down: r-100k",
     "control R1: untouched, its pull-down of 100 kΩ is the source resistance, and the converter reads rightly up to "
     "10 kΩ"),
    ("no limiter", r"(R1: .*)limiter: r-220, ", r"\1",
     "control R1: two fingers, one at each end, short its supply to ground"),
    ("matrix without diodes", r"    diode: diode\n", "",
     "matrix X has no diodes: three buttons held make a fourth appear"),
    ("wetting current", r'"1": \{to: X1, pull-up: r-10k\}', '"1": {to: X1, pull-up: r-100k}',
     "control B1: its contact carries 24.6 µA, and is guaranteed from 100 µA"),
    ("pull-up too strong", r"least: \"0.1 mA\"\n      most: \"50 mA\"", 'most: "0.2 mA"',
     "control B1: its contact carries up to 354 µA, and stands 200 µA"),
    ("pressed is not low", r'forward: "0.65 V ±0.1 V"', 'forward: "1.2 V ±0.2 V"',
     "control B1: pressed, its input may stay at 1.34 V, and the board reads low below 970 mV"),
    ("lamp without resistor", r'"2": \{to: D21, through: r-270\}', '"2": D21',
     "control L1: nothing limits the current of this lamp"),
    ("blue lamp on 3.3 V", r'forward: "2 V ±0.2 V"', 'forward: "3 V ±0.2 V"',
     "control L1: 34 mV of the rail is left for its resistor, too little to set the current"),
    ("lamp pin current", r'ohms: "270 ohm ±5 %"', 'ohms: "100 ohm ±5 %"',
     "control L1: its lamp draws up to 13.2 mA, and a pin gives 8 mA"),
    ("chip current", r'chip: "60 mA"', 'chip: "30 mA"',
     "all lamps draw up to 47.3 mA, and the chip gives 30 mA in all"),
    ("lamp's own limit", r'most: "20 mA"', 'most: "5 mA"',
     "control L1: its lamp draws up to 5.91 mA, and stands 5 mA"),
    ("regulator", r'regulator: "500 mA"', 'regulator: "30 mA"',
     "everything outside the board draws up to 53.9 mA, and its rail gives 30 mA"),
    ("bus-powered hub", r"port: 500-mA", "port: bus-hub",
     "the unit draws up to 112 mA, and a bus-powered hub gives 100 mA"),
    ("declared too little", r'declared: "200 mA"', 'declared: "100 mA"',
     "the unit draws up to 112 mA, and tells the computer 100 mA"),
    ("declared too much", r'declared: "200 mA"', 'declared: "900 mA"',
     "the unit asks for 900 mA, and a USB 2.0 port that has granted it grants 500 mA at most"),
    ("long thin lead", r'lead-gauge: "24 AWG"\n  lead-length: "1.5 m"', 'lead-gauge: "28 AWG"\n  lead-length: "10 m"',
     "the lead may leave 4.26 V at the board, and it needs 4.4 V"),
    ("wire too thin for the current", r'current: "2 A", outside', 'current: "1 mA", outside',
     "bus GA carries up to 3.37 mA, and its wire stands 1 mA"),
    ("contact rating", r'ways: 12, current: "2 A"', 'ways: 12, current: "2 mA"',
     "bus GA carries up to 3.37 mA through J1 pin 1, and a contact stands 2 mA"),
    ("crimp and wire", r'thinnest: "28 AWG", thickest: "22 AWG"', 'thinnest: "22 AWG", thickest: "18 AWG"',
     "connector J2: its crimp takes 22 AWG to 18 AWG, and wire of 24 AWG goes in"),
    ("lamps on the thin ground of the faders",
     r'(wire-24: .*ohms: ")0\.0859([\s\S]*J6, ground: )GL', r"\g<1>0.21\g<2>GA",
     "bank A: its ground, which it shares with lamps, lifts the lowest value by up to 1.2 steps of 127"),
    ("same message", r"(F2: .*)controller: 21", r"\1controller: 20",
     "controls F1 and F2 both send controller 20 on channel 1"),
    ("fine half in use", r"(F1: .*)controller: 20\}", r"\1controller: 8, fine: yes}",
     "controls K1 and F1 both send controller 40 on channel 1"),
    ("no message", r"(F2: .*)message: \{controller: 21\}, ", r"\1", "control F2 sends no message"),
    ("two kinds in one", r"(F2: .*)controller: 21", r"\1controller: 21, note: 5",
     "control F2: a message is one of controller, note, program, pitch-bend and pressure, and this is 2 of them"),
    ("channel", r"(F2: .*)controller: 21", r"\1controller: 21, channel: 17", "control F2: there is no channel 17"),
    ("number", r"(F2: .*)controller: 21", r"\1controller: 200", "control F2: there is no controller 200"),
    ("values", r"(F2: .*)controller: 21", r"\1controller: 21, high: 300",
     "control F2: its values run from 0 to 300"),
    ("no fine half", r"(F2: .*)controller: 21", r"\1controller: 90, fine: yes",
     "control F2: controller 90 has no fine half, for only 0 to 31 have one"),
    ("mode message", r"(F2: .*)controller: 21", r"\1controller: 123",
     "control F2: controller 123 is a mode message (123 is all notes off)"),
    ("number with a meaning", r"(F2: .*)controller: 21", r"\1controller: 64",
     "control F2: controller 64 means hold pedal to many receivers"),
    ("short bushing", r'bushing: "7 mm"', 'bushing: "5 mm"',
     "part pot-9 (K1): its bushing is 5 mm long, and panel 3.1 mm + washers 1.2 mm + nut 2 mm need 6.3 mm"),
    ("hole too small for the thread", r'hole: "7.2 mm"', 'hole: "7 mm"',
     "part pot-9 (K1): a hole of 7 mm for a thread M7x0.75 leaves 0 mm of play"),
    ("fader screw too long", r'screw-length: "6 mm"', 'screw-length: "8 mm"',
     "part fader-60 (F1): a screw of 8 mm is too long; over 6.4 mm it jams what moves"),
    ("fader screw too short", r'screw-length: "6 mm"', 'screw-length: "4 mm"',
     "part fader-60 (F1): a screw of 4 mm reaches 0.4 mm into the part, and 1.5 mm is the least"),
    ("bezel for a thinner sheet", r'panel-most: "3.5 mm"', 'panel-most: "2 mm"',
     "part lamp-amber (L1): it snaps into 1 mm to 2 mm, and the panel is 2.9 mm to 3.1 mm"),
    ("flat case", r'behind: "45 mm"', 'behind: "22 mm"',
     "part button-12 (B1): it reaches 24 mm behind the panel, and with 5 mm of air 22 mm is too little"),
    ("short slot", r'slot-height: "66 mm"', 'slot-height: "60 mm"',
     "part fader-60 (F1): a slot of 60 mm is too short for 60 mm of travel with the lever"),
    ("torque above the limit", r'torque-limit: "0.59 N m"', 'torque-limit: "0.4 N m"',
     "part pot-9 (K1): it is tightened to 0.5 N·m, and stands 0.4 N·m"),
    ("no torque", r'      torque-limit: "0.59 N m"\n      torque: "0.5 N m"\n', "",
     "part pot-9 (K1): it has a nut, and no torque is given"),
    ("not for hand soldering", r'attempts: 2, rest: "30 s", source: "maker\'s data sheet, 9 mm',
     'by-hand: no, source: "maker\'s data sheet, 9 mm',
     "part pot-9 (K1): its sheet does not allow soldering by hand"),
    ("alloy hotter than the part", r"alloy: Sn63Pb37", "alloy: Sn99.3Cu0.7",
     "part pot-9 (K1): it stands a tip of 300 °C, and Sn99.3Cu0.7 wants 307 °C to wet in time"),
    ("lead that the design denies", r"(alloy: Sn63Pb37[\s\S]*?)lead: yes", r"\1lead: no",
     "the solder Sn63Pb37 holds lead, and `lead:` says no"),
    ("lead that is not there", r"alloy: Sn63Pb37", "alloy: SAC305",
     "the solder SAC305 holds no lead, and `lead:` says yes"),
    ("an alloy that does not tell", r"alloy: Sn63Pb37", "alloy: 60/40",
     'the name of the alloy, "60/40", does not say whether it holds lead'),
    ("iron too hot", r'setting: "320 degC"', 'setting: "420 degC"',
     "the iron is set to 420 °C, and 400 °C is the most"),
    ("iron too cold", r'setting: "320 degC"', 'setting: "250 degC"',
     "the iron is set to 250 °C, and Sn63Pb37 wants 263 °C to wet in time"),
    ("lead in a unit for sale", r"for-sale: no", "for-sale: yes",
     "the design is for sale, and its solder Sn63Pb37 holds lead"),
    ("a bond without a wire", r"  bond-wire: .*\n", "",
     "the panel is bonded at P5, and neither the wire nor what fixes it is given"),
    ("no bond", r"  bond: P5\n  bond-wire: .*\n", "", "the panel is aluminium, and nothing bonds it to ground"),
    ("fingers", r'(K2: .*)x: "85 mm"', r'\1x: "70 mm"',
     "controls K1 and K2 are 12 mm apart, and 25 mm is advised for a finger"),
    ("knobs overlap", r'(K2: .*)x: "85 mm"', r'\1x: "56 mm"',
     "controls K1 and K2 overlap on the front by 2 mm"),
    ("bodies overlap", r'(F2: .*)x: "72 mm"', r'\1x: "48 mm"',
     "controls F1 and F2 overlap behind the panel by 1 mm"),
    ("over the edge", r'(B4: .*)x: "405 mm"', r'\1x: "436 mm"',
     "control B4 reaches over the edge of the panel"),
    ("hole near the edge", r'id: P1, x: "8 mm"', 'id: P1, x: "3 mm"',
     "the hole P1 is 1.3 mm from the edge of the panel, and 4.5 mm is the least"),
    ("hole too small to cut", r'diameter: "2.4 mm", what: keyway', 'diameter: "1 mm", what: keyway',
     "the keyway washer hole of T1 is 1 mm wide, and 2.1 mm is the least in this sheet"),
    ("thin web", r'id: P5, x: "220 mm", y: "280 mm"', 'id: P5, x: "229 mm", y: "186 mm"',
     "0 mm of sheet is left between the screw hole of F7 and the hole P5, and 3 mm is the least"),
    ("nothing holds the fader",
     r'(?s)      holes:\n        - \{dy: "-40 mm".*?what: screw\}\n        - \{dy: "40 mm".*?what: screw\}\n'
     r'(.*?)      screw: M3\n      screw-length: "6 mm"\n', r"\1",
     "part fader-60 (F1): nothing says what holds it to the panel"),
    ("screws without holes",
     r'(?s)      holes:\n        - \{dy: "-40 mm".*?what: screw\}\n        - \{dy: "40 mm".*?what: screw\}\n', "",
     "part fader-60 (F1): M3 screws hold it, and it has no holes for them"),
    ("holes without a screw", r"      screw: M3\n", "",
     "part fader-60 (F1): it has screw holes, and no screw is given"),
    ("screw of any length", r'      tapped: "3.5 mm"\n', "",
     "part fader-60 (F1): how far its screw reaches in is not known"),
    ("nothing holds the ribbon", r"      adhesive: yes\n", "",
     "part ribbon-200 (R1): nothing says what holds it to the panel"),
    ("bushing without a hole", r'      hole: "7.2 mm"\n', "",
     "part pot-9 (K1): it has a bushing, and no hole for it"),
    ("fader without a slot", r'      slot-width: "3.2 mm"\n      slot-height: "66 mm"\n', "",
     "part fader-60 (F1): a fader has no slot for its lever"),
    ("the same legend", r"legend: Right lantern,", "legend: left  Lantern,",
     'controls F1 and F2 both bear the legend "left  Lantern"'),
    ("wire of a wrong resistance", r'ohms: "0\.0859 ohm/m', 'ohms: "8.59 ohm/m',
     "part wire-24: 24 AWG of copper has 84.2 mΩ/m, and its `ohms:` says 8.59 Ω/m"),
    ("end stop above the element", r'residual: "50 ohm"', 'residual: "20 kohm"',
     "part pot-9: up to 20 kΩ is left at its end stops, and 1 kΩ is the most for an element of 10 kΩ"),
    ("pull-down that loads the ribbon", r'(r-100k: .*ohms: ")100 kohm', r"\g<1>1 kohm",
     "control R1: its pull-down of 1 kΩ shifts the middle of its travel by 39 %, and 3 % is the most"),
    ("capacitor a thousand times too large", r'farads: "100 nF', 'farads: "100 uF',
     "control K1: its capacitor of 100 µF holds its value back by 336 ms, and 10 ms is the most"),
    ("tab hole in the main hole", r'dx: "-6 mm"', 'dx: "-2 mm"',
     "the tab hole of K1 reaches 3 mm into the hole of K1"),
    ("two ends on one lug", r'contact: \{lug: "1", name: closed with', 'contact: {lug: "2", name: closed with',
     'part toggle-6: its common and its contact are both lug "2"'),
    ("two wires of one colour", r"colours: \[yellow, green\]", "colours: [yellow]",
     "connector J5: the wires of pins 3 and 4 are both yellow"),
    ("three wires of one colour", r"(A: .*)colours: \[brown, orange, yellow, green,", r"\1colours: [red, orange, red,",
     "connector J1: the wires of pins 2, 3, 5 and 10 are all red"),
    ("plug beside the panel", r'x: "60 mm"\n    y: "270 mm"', 'x: "900 mm"\n    y: "270 mm"',
     "connector J1 lies at 900 mm, 270 mm, and the panel is 440 mm by 290 mm"),
    ("torque without a limit", r'      torque-limit: "0.59 N m"\n', "",
     "part pot-9 (K1): it is tightened to 0.5 N·m, and how much it stands is not given"),
    ("a part that nothing takes", r"  label: \{kind: hardware", r"  tag: {kind: hardware, title: tag}\n\g<0>",
     "part tag: nothing takes it, so the bill does not order it"),
    ("a legend longer than its room", r"legend: Surf,", "legend: Thunder-over-the-wide-saltmarsh-at-night,",
     'the legend "Thunder-over-the-wide-saltmarsh-at-night" of B8 lies across the legend of B7, and there is no room '
     "for it above or beside"),
    ("hole off the panel", r'id: P1, x: "8 mm"', 'id: P1, x: "1 mm"',
     "the hole P1 runs over the edge of the panel"),
    ("a title that orders another panel", r"panel, 440 × 290 × 3 mm", "panel, 440 × 300 × 3 mm",
     'the bill orders "panel, 440 × 300 × 3 mm aluminium, cut and deburred", and the panel is 440 mm by 290 mm'),
    ("no size on the front", r'      front-width: "11 mm"\n      front-height: "24 mm"\n', "",
     "part fader-60 (F1): how large it is on the front is not known, so nobody checks whether a finger fits beside it"),
]  # fmt: skip


def test_a_lamp_may_bear_the_legend_of_its_control() -> None:
    assert findings(sown(r"legend: Left lantern live", "legend: Left lantern")) == ()


def test_a_legend_goes_where_no_slot_of_a_neighbour_is() -> None:
    """The toggle T1 moved to just above the slot and the screw of a fader: its legend stands beside it instead."""
    moved = sown(r'(T1: .*)x: "315 mm", y: "180 mm"', r'\1x: "104 mm", y: "92 mm"')
    legend = next(each for each in legends(moved) if each.control == "T1")
    assert not legend.across
    assert legend.box.x > 104 + 5  # under it the screw of F3 would come through
    assert all(legend.box.gap(Box(cut.x, cut.y, cut.width, cut.height)) > 0 for cut in cuts(moved))
    shipped_desk = load_design(DESK)
    boxes = [Box(cut.x, cut.y, cut.width, cut.height) for cut in cuts(shipped_desk)]
    for each in legends(shipped_desk):
        assert not each.across
        assert min(each.box.gap(box) for box in boxes) > 0


def sown(pattern: str, replacement: str) -> Design:
    """The desk with one mistake in it."""
    text, count = re.subn(pattern, replacement, TEXT, count=1)
    assert count == 1, f"{pattern!r} is not in the design"
    node, syntax = compose(text, file="design.yaml")
    assert node is not None and not syntax
    design, shape = read_design(node, file="design.yaml")
    assert design is not None, shape
    return design


@pytest.mark.parametrize(
    ("pattern", "replacement", "message"), [row[1:] for row in MISTAKES], ids=[r[0] for r in MISTAKES]
)
def test_each_mistake_is_found(pattern: str, replacement: str, message: str) -> None:
    found = findings(sown(pattern, replacement))
    assert message in [finding.message for finding in found]
    assert all(finding.hint and finding.source and finding.place.line for finding in found)


def test_there_are_at_least_forty_mistakes() -> None:
    assert len(MISTAKES) >= 40
    assert len({row[-1] for row in MISTAKES}) == len(MISTAKES)


def test_the_shipped_design_has_none() -> None:
    assert findings(load_design(DESK)) == ()


def test_only_problems_fail_a_check() -> None:
    """Finger spacing warns with the figure and never blocks (MIL-STD-1472, NUREG-0700)."""
    crowded = sown(r'(K2: .*)x: "85 mm"', r'\1x: "70 mm"')
    assert problems(crowded) == []
    assert [finding.level for finding in findings(crowded)] == ["warning"]
