"""What a competent person really sees under the faults that no circuit tells, and which repair really mends a fault.

Common practice, written down from the trade and independently of the program's own likelihoods, so that a simulated
hunt does not flatter the program. Such a fault has a few cases ("the lead carries power but no data"); in each case a
test has one answer, or a few with their shares. What is not named comes out healthy.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

Seen = str | Mapping[str, float]
"""An outcome, or outcomes with their shares; what is missing from 1 is the healthy outcome."""


@dataclass(frozen=True, slots=True)
class Case:
    """One way in which a fault is there.

    Attributes:
        share: How often the fault takes this form.
        sees: Test to what is seen.
        mute: No message comes from the control, so that what asks for messages cannot be answered.
    """

    share: float
    sees: Mapping[str, Seen] = field(default_factory=dict)
    mute: bool = False


DEAD: Final[Mapping[str, Seen]] = {"T01": "absent", "T04": "silent", "T40": "dark"}
BOARD_SIDE: Final[Mapping[str, Seen]] = {"T17": "wrong", "T18": "stays"}
INSIDE: Final[Mapping[str, Seen]] = {"T27": {"clears": 0.97}}

CASES: Final[Mapping[str, tuple[Case, ...]]] = {
    "F01": (
        Case(0.6, {**DEAD, "T02": "clears", "T10": {"little": 0.3}, "T07": {"moves": 0.15}}, mute=True),
        Case(0.4, {**DEAD, "T02": "clears", "T10": "little", "T09": "low", "T07": {"moves": 0.4}}, mute=True),
    ),
    "F02": (Case(1.0, {**DEAD, "T02": "clears", "T10": "little", "T09": "low"}, mute=True),),
    "F03": (
        Case(0.6, {**DEAD, "T03": "clears", "T09": "low", "T10": "little"}, mute=True),
        Case(0.4, {"T03": "clears", "T09": "low", "T29": {"drops": 0.6}, "T01": {"absent": 0.3}}),
    ),
    "F04": (
        Case(
            0.65,
            {
                **DEAD,
                **INSIDE,
                "T07": {"moves": 0.93, "one-way": 0.05},
                "T02": {"clears": 0.2},
                "T03": {"clears": 0.15},
                "T10": {"little": 0.7},
                "T09": {"low": 0.7},
                "T24": {"defect": 0.75},
                "T08": {"blips": 0.5},
            },
            mute=True,
        ),
        Case(0.35, {**INSIDE, "T07": "moves", "T08": {"blips": 0.6}, "T24": {"defect": 0.75}}),
    ),
    "F05": (
        Case(
            1.0,
            {
                **DEAD,
                **INSIDE,
                "T10": {"much": 0.6, "little": 0.4},
                "T09": "low",
                "T11": "low",
                "T44": "low",
                "T24": {"defect": 0.6},
                "T08": {"blips": 0.2},
            },
            mute=True,
        ),
    ),
    "F53": (
        Case(
            1.0,
            {
                **DEAD,
                **INSIDE,
                "T10": {"much": 0.6, "little": 0.4},
                "T09": "low",
                "T11": "low",
                "T44": "low",
                "T12": "stuck",
                "T13": "stuck",
                "T14": "supply",
                "T17": "wrong",
                "T18": "stays",
                "T32": {"odd": 0.5, "stays-low": 0.5},
                "T24": {"defect": 0.7},
            },
            mute=True,
        ),
    ),
    "F06": (
        Case(
            0.5,
            {
                **DEAD,
                **INSIDE,
                "T01": {"other-name": 0.7, "absent": 0.2},
                "T26": {"clears": 0.96},
                "T10": {"little": 0.1},
            },
            mute=True,
        ),
        Case(0.5, {**INSIDE, "T04": {"silent": 0.7}, "T31": {"differs": 0.3}, "T26": {"clears": 0.95}}),
    ),
    "F07": (
        Case(
            1.0,
            {
                "T04": {"busy": 0.45, "messages": 0.55},
                "T05": {"port": 0.93, "some": 0.05},
                "T03": {"clears": 0.15},
                "T02": {"clears": 0.1},
                "T27": {"clears": 0.1},
            },
        ),
    ),
    "F08": (
        Case(
            1.0,
            {**DEAD, **INSIDE, "T10": {"little": 0.6, "much": 0.3}, "T44": {"low": 0.2}, "T24": {"defect": 0.25}},
            mute=True,
        ),
    ),
    "F09": (
        Case(
            1.0,
            {
                "T01": {"absent": 0.15},
                "T09": {"low": 0.85},
                "T29": {"drops": 0.7},
                "T02": {"clears": 0.65},
                "T03": {"clears": 0.35},
                "T27": {"clears": 0.3},
                "T10": {"much": 0.3},
            },
        ),
    ),
    "F10": (
        Case(
            0.5,
            {
                "T01": {"absent": 0.5},
                "T04": "silent",
                "T40": "dark",
                "T02": {"clears": 0.9},
                "T03": {"clears": 0.9},
                "T05": {"port": 0.25},
                "T27": {"clears": 0.8},
                "T26": {"clears": 0.8},
            },
            mute=True,
        ),
        Case(0.5),  # it works just now
    ),
    "F47": (
        Case(
            1.0,
            {
                **DEAD,
                "T01": {"absent": 0.6},
                "T02": {"clears": 0.8},
                "T03": {"clears": 0.85},
                "T05": {"suspend": 0.9, "some": 0.08},
                "T07": {"moves": 0.25},
                "T10": {"little": 0.9},
                "T09": {"low": 0.3},
                "T27": {"clears": 0.6},
            },
            mute=True,
        ),
    ),
    "F48": (
        Case(
            0.5,
            {**DEAD, "T05": {"other-unit": 0.92, "some": 0.06}, "T27": {"clears": 0.4}, "T03": {"clears": 0.1}},
            mute=True,
        ),
        Case(0.5, {"T05": {"other-unit": 0.92, "some": 0.06}, "T27": {"clears": 0.4}, "T31": {"differs": 0.1}}),
    ),
    "F50": (
        Case(
            0.85,
            {
                **DEAD,
                **INSIDE,
                "T07": {"one-way": 0.95, "moves": 0.03},
                "T02": {"clears": 0.97},
                "T10": "little",
                "T09": "low",
                "T24": {"defect": 0.3},
            },
            mute=True,
        ),
        Case(0.15, {**INSIDE, "T07": {"one-way": 0.95}, "T24": {"defect": 0.3}}),
    ),
    "F16": (
        Case(
            0.6,
            {
                **BOARD_SIDE,
                **INSIDE,
                "T04": "silent",
                "T32": {"stays-low": 0.5, "odd": 0.5},
                "T23": {"repeats": 0.2},
                "T36": {"chatters": 0.3},
            },
            mute=True,
        ),
        Case(
            0.4,
            {
                **BOARD_SIDE,
                **INSIDE,
                "T32": "odd",
                "T19": {"several": 0.9},
                "T23": {"repeats": 0.6},
                "T36": {"chatters": 0.7},
                "T38": {"jumps": 0.6},
                "T31": {"differs": 0.5},
            },
        ),
    ),
    "F19": (
        Case(
            1.0,
            {
                **BOARD_SIDE,
                "T31": {"differs": 0.98},
                "T26": {"clears": 0.95},
                "T27": {"clears": 0.6},
                "T40": {"another": 0.5, "dark": 0.3},
            },
        ),
    ),
    "F23": (
        Case(
            1.0,
            {
                **INSIDE,
                "T38": {"jumps": 0.9},
                "T30": {"better": 0.55},
                "T32": {"odd": 0.25},
                "T36": {"chatters": 0.3},
                "T12": {"jumps": 0.55},
                "T13": {"jumps": 0.5},
                "T16": {"high": 0.1},
                "T34": {"off": 0.1},
                "T08": {"blips": 0.15},
            },
        ),
    ),
    "F28": (Case(1.0, {"T34": {"off": 0.97}, "T12": {"wrong": 0.95}, "T13": {"wrong": 0.95}, "T27": {"clears": 0.6}}),),
    "F29": (
        Case(
            1.0,
            {
                **INSIDE,
                "T25": "turns",
                "T32": {"short-low": 0.2, "short-high": 0.1},
                "T08": {"blips": 0.6},
                "T15": {"bad": 0.25},
                "T24": {"defect": 0.5},
                "T37": {"double": 0.1},
                "T36": {"chatters": 0.15},
            },
        ),
    ),
    "F31": (
        Case(
            1.0,
            {
                **INSIDE,
                "T39": {"high": 0.9},
                "T30": {"better": 0.7},
                "T37": {"double": 0.35, "missing": 0.5},
                "T04": {"silent": 0.35},
                # Trade notes 3.2: needs several presses, or drops while held: of an encoder, counts are lost.
                "T42": {"fewer": 0.35, "back": 0.2},
                "T12": {"jumps": 0.3},
                "T13": {"jumps": 0.3},
            },
        ),
    ),
    # One press, two messages (trade notes 3.2): of an encoder, counts too many, or not the same each time.
    "F32": (Case(1.0, {"T37": {"double": 0.96}, "T42": {"more": 0.3, "back": 0.2}, "T27": {"clears": 0.3}}),),
    "F36": (
        Case(
            1.0,
            {
                "T33": {"reversed": 0.8},
                # Turns backwards or leaps (trade notes 3.2): of the wrong relative format, one way counts as the other.
                "T42": {"one-way": 0.3, "more": 0.1},
                "T31": {"differs": 0.3},
                "T26": {"clears": 0.35},
                "T27": {"clears": 0.4},
            },
        ),
    ),
    "F38": (
        Case(
            0.7,
            {
                **INSIDE,
                "T35": "fixed",
                "T32": {"odd": 0.8, "stays-low": 0.1, "stays-high": 0.1},
                "T04": {"silent": 0.6},
                "T38": {"jumps": 0.4},
                "T24": {"defect": 0.5},
                "T12": "stuck",
                "T13": "stuck",
                "T16": {"low": 0.3},
            },
        ),
        Case(
            0.3,
            {
                **INSIDE,
                "T38": "jumps",
                "T32": {"short-high": 0.4, "short-low": 0.3},
                "T24": {"defect": 0.5},
                "T12": {"wrong": 0.6},
                "T13": {"wrong": 0.6},
                "T16": {"high": 0.2},
            },
        ),
    ),
    "F40": (
        Case(
            1.0,
            {
                **BOARD_SIDE,
                **INSIDE,
                "T04": {"silent": 0.95},
                "T32": {"stays-low": 0.4, "stays-high": 0.3, "odd": 0.3},
                "T36": {"chatters": 0.2},
                "T40": "dark",
                "T42": "still",
                "T37": {"missing": 0.9},
                "T35": {"fixed": 0.3},
                "T43": {"bad": 0.2},
            },
            mute=True,
        ),
    ),
    "F41": (
        Case(
            1.0,
            {
                **BOARD_SIDE,
                "T31": {"differs": 0.98},
                "T19": {"twin": 0.2},
                "T26": {"clears": 0.92},
                "T40": {"another": 0.7, "dark": 0.2},
                "T27": {"clears": 0.6},
            },
        ),
    ),
    "F42": (
        Case(1.0, {"T36": {"chatters": 0.97}, "T29": {"shifts": 0.4}, "T13": {"jumps": 0.2}, "T27": {"clears": 0.3}}),
    ),
    "F43": (
        Case(
            0.4,
            {
                **BOARD_SIDE,
                **INSIDE,
                "T04": {"silent": 0.8},
                "T32": {"odd": 0.6, "stays-low": 0.2, "stays-high": 0.2},
                "T36": {"chatters": 0.5},
                "T28": {"changes": 0.9},
                "T08": {"blips": 0.5},
                "T40": "dark",
                "T42": "still",
                "T37": {"missing": 0.8},
                "T24": {"defect": 0.25},
            },
            mute=True,
        ),
        Case(
            0.6,
            {
                **INSIDE,
                "T17": {"wrong": 0.4},
                "T18": {"stays": 0.5},
                "T28": {"changes": 0.9},
                "T08": {"blips": 0.4},
                "T36": {"chatters": 0.2},
                "T24": {"defect": 0.25},
            },
        ),
    ),
    "F44": (
        Case(
            1.0,
            {
                **INSIDE,
                "T25": {"turns": 0.3},
                "T32": {"short-low": 0.12, "short-high": 0.12},
                "T34": {"off": 0.3},
                # The shaft stays behind the knob, so counts are missing.
                "T42": {"fewer": 0.15, "back": 0.15},
            },
        ),
    ),
}

ACTS: Final[Mapping[str, Mapping[str, Mapping[str, float]]]] = {
    "T08": {
        "blips": {
            "F20": 0.8,
            "F21": 0.8,
            "F22": 0.75,
            "F35": 0.75,
            "F11": 0.3,
            "F12": 0.3,
            "F17": 0.3,
            "F51": 0.3,
            "F13": 0.4,
            "F14": 0.6,
            "F25": 0.4,
            "F45": 0.4,
            "F24": 0.3,
            "F46": 0.15,
            "F30": 0.1,
            "F15": 0.15,
            "F18": 0.2,
            "F33": 0.1,
            "F37": 0.2,
        },
    },
    "T24": {
        "defect": {
            "F20": 0.65,
            "F21": 0.25,
            "F22": 0.45,
            "F35": 0.45,
            "F11": 0.4,
            "F12": 0.4,
            "F17": 0.4,
            "F51": 0.4,
            "F13": 0.35,
            "F14": 0.75,
            "F15": 0.25,
            "F18": 0.75,
            "F25": 0.45,
            "F26": 0.8,
            "F27": 0.7,
            "F30": 0.85,
            "F45": 0.75,
            "F33": 0.4,
            "F34": 0.5,
            "F37": 0.5,
            "F52": 0.5,
            "F39": 0.4,
            "F46": 0.2,
            "F49": 0.6,
        },
    },
    "T22": {
        "clears": {
            "F14": 0.95,
            "F22": 0.6,
            "F20": 0.15,
            "F21": 0.15,
            "F35": 0.2,
            "F11": 0.15,
            "F12": 0.15,
            "F17": 0.15,
            "F51": 0.15,
            "F45": 0.1,
        },
    },
    "T44": {"moves": {"F27": 0.9, "F45": 0.8}},
    # A channel that is cut off in its multiplexer is a damaged pin to whoever tries another control there.
    "T17": {"wrong": {"F40": 0.98, "F15": 0.98, "F18": 0.8, "F30": 0.8, "F45": 0.1}},
    "T18": {"stays": {"F40": 0.98, "F15": 0.98, "F18": 0.8, "F30": 0.8}},
    "T28": {"changes": {"F20": 0.3, "F21": 0.1, "F13": 0.2}},
    "T30": {"better": {"F46": 0.3, "F24": 0.1, "F20": 0.1, "F22": 0.1}},
    "T31": {"differs": {"F15": 0.5, "F18": 0.4, "F30": 0.2}},
    "T21": {"phantom": {"F34": 0.98, "F18": 0.7}},
    "T25": {"turns": {"F46": 0.05}},
    "T10": {"much": {"F27": 0.25, "F45": 0.1}},
    "T09": {"low": {"F27": 0.2, "F45": 0.1}},
}
"""What acts that no circuit follows show under faults that it does: tapping, a loupe, re-seating, swapping. The spare
unit works whatever is wrong inside this one."""

REMEDIES: Final[Mapping[str, Mapping[str, float]]] = {
    "F01": {"other-lead": 0.99},
    "F02": {"other-lead": 0.97, "cc-resistors": 0.95},
    "F03": {"other-port": 0.95},
    "F04": {"receptacle": 0.95},
    "F05": {"find-short": 0.9},
    "F53": {"find-short": 0.9},
    "F06": {"reload": 0.95},
    "F07": {"host-port": 0.96, "re-plug": 0.15},
    "F08": {"replace-board": 0.97},
    "F09": {"shorter-lead": 0.85, "other-port": 0.35, "other-lead": 0.5},
    "F10": {"re-plug": 0.95, "other-port": 0.4, "other-lead": 0.3},
    "F11": {"remake-common": 0.95, "second-common": 0.93},
    "F12": {"remake-common": 0.95, "second-common": 0.93},
    "F13": {"remake-common": 0.93, "second-common": 0.9, "seat-connector": 0.15},
    "F14": {"seat-connector": 0.96},
    "F15": {"multiplexer": 0.95},
    "F16": {"multiplexer": 0.95},
    "F17": {"matrix-line": 0.95},
    "F18": {"matrix-bridge": 0.95},
    "F19": {"reload": 0.95},
    "F20": {"re-terminate": 0.96},
    "F21": {"re-terminate": 0.96},
    "F22": {"re-terminate": 0.96},
    "F23": {"replace-control": 0.98, "clean": 0.7, "sweep-clean": 0.3},
    "F24": {"replace-control": 0.98},
    "F25": {"rewire-leg": 0.95},
    "F26": {"rewire-leg": 0.98},
    "F27": {"right-wiper": 0.97},
    "F28": {"replace-control": 0.98},
    "F29": {"tighten": 0.97},
    "F30": {"clear-bridge": 0.95},
    "F31": {"clean": 0.8, "replace-control": 0.98, "sweep-clean": 0.35},
    "F32": {"debounce": 0.9, "replace-control": 0.6},
    "F33": {"diode": 0.97},
    "F34": {"diode": 0.97},
    "F35": {"encoder-lead": 0.95, "re-terminate": 0.5},
    "F36": {"encoder-sense": 0.95, "reload": 0.3},
    "F37": {"pull-down": 0.96},
    "F38": {"replace-control": 0.97},
    "F39": {"lamp": 0.97},
    "F40": {"spare-pin": 0.95, "replace-board": 0.97},
    "F41": {"reload": 0.94},
    "F42": {"filter": 0.88},
    "F43": {"re-flow": 0.85, "replace-board": 0.9},
    "F44": {"knob": 0.98},
    "F45": {"clear-short": 0.93},
    "F46": {"free-cap": 0.55, "replace-control": 0.98},
    "F47": {"no-suspend": 0.97, "re-plug": 0.6},
    "F48": {"own-serial": 0.97},
    "F49": {"replace-control": 0.98},
    "F50": {"cc-resistors": 0.97, "other-lead": 0.9},
    "F51": {"remake-common": 0.95, "second-common": 0.93},
    "F52": {"pull-down": 0.96},
}
"""Chance that a repair, done with care, makes the input work."""

REPORTS: Final[Mapping[str, Mapping[str, float]]] = {
    # The whole unit.
    "F01": {"unit-dead": 8, "drops-when-moved": 1, "silent-in-show": 1, "not-at-venue": 1},
    "F02": {"unit-dead": 6, "not-at-venue": 4},
    "F03": {"not-at-venue": 6, "unit-dead": 4},
    "F04": {"drops-when-moved": 6, "unit-dead": 4},
    "F05": {"unit-dead": 1},
    "F53": {"bank-dead": 7, "control-dead": 3},
    "F06": {"unit-dead": 7, "silent-in-show": 3},
    "F07": {"silent-in-show": 7, "unit-dead": 2, "not-at-venue": 2},
    "F08": {"unit-dead": 1},
    "F09": {"not-at-venue": 7, "unit-dead": 2, "drops-when-moved": 1},
    "F10": {"not-at-venue": 7, "unit-dead": 3},
    "F47": {"unit-dead": 6, "silent-in-show": 3, "not-at-venue": 1},
    "F48": {"not-at-venue": 6, "unit-dead": 3, "silent-in-show": 1},
    "F50": {"unit-dead": 5, "drops-when-moved": 2, "not-at-venue": 3},
    # Banks.
    "F11": {"bank-dead": 9, "drops-when-moved": 1},
    "F12": {"bank-dead": 9, "drops-when-moved": 1},
    "F13": {"wrong-range": 8, "jumpy": 1, "bank-dead": 1},
    "F14": {"bank-dead": 8, "drops-when-moved": 2},
    "F15": {"wrong-one": 6, "bank-dead": 4},
    "F16": {"bank-dead": 8, "jumpy": 2},
    "F17": {"bank-dead": 9, "drops-when-moved": 1},
    "F18": {"wrong-one": 8, "phantom-presses": 2},
    "F19": {"silent-in-show": 4, "wrong-one": 4, "bank-dead": 2},
    "F51": {"bank-dead": 9, "drops-when-moved": 1},
    "F52": {"phantom-presses": 7, "bank-dead": 3},
    # Single controls.
    "F20": {"control-dead": 3, "jumpy": 3, "drops-when-moved": 3, "lamp-dark": 3},
    "F21": {"control-dead": 4, "jumpy": 2, "drops-when-moved": 3, "lamp-dark": 4},
    "F22": {"control-dead": 3, "jumpy": 2, "drops-when-moved": 4, "lamp-dark": 3},
    "F23": {"jumpy": 9, "control-dead": 1},
    "F24": {"jumpy": 5, "control-dead": 5},
    "F25": {"control-dead": 9, "drops-when-moved": 1},
    "F26": {"reversed": 1},
    "F27": {"control-dead": 1},
    "F28": {"wrong-range": 1},
    "F29": {"wrong-range": 4, "drops-when-moved": 3, "jumpy": 2, "control-dead": 1},
    "F30": {"wrong-one": 8, "wrong-range": 1, "jumpy": 1},
    "F31": {"control-dead": 6, "double-triggers": 4, "counts-double": 6},
    "F32": {"double-triggers": 1, "counts-double": 1},
    "F33": {"control-dead": 1},
    "F34": {"phantom-presses": 4, "ghost-press": 4, "wrong-one": 2},
    "F35": {"control-dead": 5, "jumpy": 2, "counts-double": 1, "drops-when-moved": 2},
    "F36": {"reversed": 8, "wrong-one": 2},
    "F37": {"phantom-presses": 5, "jumpy": 5},
    "F38": {"phantom-presses": 6, "control-dead": 4},
    "F39": {"lamp-dark": 1},
    "F40": {"control-dead": 1, "lamp-dark": 1},
    "F41": {"wrong-one": 6, "silent-in-show": 3, "control-dead": 1, "lamp-dark": 4},
    "F42": {"jumpy": 1},
    "F43": {"drops-when-moved": 3, "control-dead": 4, "jumpy": 3, "lamp-dark": 4},
    "F44": {"wrong-range": 8, "jumpy": 1, "control-dead": 1},
    "F45": {"control-dead": 8, "phantom-presses": 2},
    "F46": {"phantom-presses": 5, "control-dead": 5},
    "F49": {"jumpy": 5, "wrong-range": 5},
}
"""What the player reports, in shares; only what fits the kind of control counts."""

PASSING: Final = frozenset({"jumpy", "double-triggers", "counts-double", "drops-when-moved"})
"""Reports of something that comes and goes: nobody makes them of a lead that is open for good."""
