"""What all controls show, said in one line, and what it says about the faults of a bank.

    F1 to F8 read 0,0,2,2,4,4,6,6      copies: a select line of the multiplexer
    none of them reaches zero          a resistive ground; "... reaches the top" a resistive V+
    moving F3 moves F4                 a bridge, a copy or a doubled number
    F1 to F8 stay at 0                 V+ open; "stay at 127" ground open
    from F4 on they stay at 0          the link of the chain just before F4
    F5 to F8 are dead                  a connector, or whatever these share
    B1, B2 and B5 held, B6 shows       the shorted diode of the button at the opposite corner

A line is read without a model; what it means for one is worked out from the answers it gives to tests of that model,
and, where the design knows which channel of a multiplexer each control has, from the pattern itself.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Final, Literal, NoReturn

from benchtui.errors import JobError

if TYPE_CHECKING:
    from collections.abc import Sequence

LOWEST, HIGHEST = 3, 124
"""Values of 0 to 127 that count as an end: residual ohms and the last bit. Common practice."""

MIDDLE: Final = 63
"""A value up to which a control stops short of its bottom, and above which of its top."""

MOST_CONTROLS: Final = 256
"""More controls than this in one line are a slip of the keys."""

Shape = Literal[
    "readings", "short-low", "short-high", "moves", "same", "stays-low", "stays-high", "wanders", "dead", "held"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """A line as it was understood.

    Attributes:
        shape: What sort of thing was said.
        controls: Controls it is about, in order; empty for "them all". Of "held" those that are held.
        values: Value of each control, for readings.
        follower: Control that moves when the first one is moved, or shows while others are held.
        words: What was understood, to be shown back.
    """

    shape: Shape
    controls: tuple[str, ...] = ()
    values: tuple[int, ...] = ()
    follower: str = ""
    words: str


_ID = r"[A-Za-z]+[-_]?\d+"
_SUBJECT = rf"{_ID}(?:\s*(?:to|-|–|\.\.)\s*{_ID}|(?:\s*(?:,|and|,\s*and)\s*{_ID})*)"
_SEVERAL = rf"{_ID}(?:\s*(?:,\s*and|,|\+|and)\s*{_ID})+"
_SHOWS = r"(?:shows?|appears?|reports?|fires?|speaks?|lights?|sounds?|sends?|comes?)"
_END = r"(zero|0|the bottom|bottom|127|the top|top|full|maximum|minimum)"
_NOT = r"(?:not|n't|never)"
_WORK = r"(?:work|move|do anything|do a thing|respond|answer|send|react|speak)\w*"

_RANGE: Final = re.compile(rf"^\s*({_ID})\s*(?:to|-|–|\.\.)\s*({_ID})\b[\s:,]*", re.I)
_LIST: Final = re.compile(rf"^\s*({_ID}(?:\s*(?:,\s*and|,|and)\s*{_ID})*)\b[\s:,]*", re.I)
_MOVERS: Final = (
    re.compile(rf"^(?:moving|sweeping|turning)\s+({_ID})\s*,?\s*(?:also\s+)?moves?\s+({_ID})\b", re.I),
    re.compile(rf"^(?:when|if)\s+i\s+(?:move|sweep|turn)\s+({_ID})\s*,?\s*({_ID})\s+(?:also\s+)?moves?\b", re.I),
    re.compile(
        rf"^(?:when|if)\s+i\s+(?:move|sweep|turn)\s+({_ID})\s*,?\s*(?:it\s+)?(?:also\s+)?moves?\s+({_ID})\b", re.I
    ),
    re.compile(rf"^({_ID})\s+(?:also\s+)?moves?\s+({_ID})\b", re.I),
)
_FOLLOWS: Final = re.compile(rf"^({_ID})\s+(?:copies|follows|mirrors|repeats)\s+({_ID})\b", re.I)
_HELD: Final = (
    re.compile(
        rf"^(?:with\s+)?({_SEVERAL})\s+(?:are\s+|all\s+)*(?:held|pressed|down)\b\W*(?:(?:then|and)\s+)*({_ID})\s+(?:also\s+)?{_SHOWS}\b",
        re.I,
    ),
    re.compile(
        rf"^(?:(?:when|if|while)\s+)?(?:i\s+)?(?:hold|press)(?:ing)?\s+({_SEVERAL})\W+(?:(?:then|and)\s+)*({_ID})\s+(?:also\s+)?{_SHOWS}\b",
        re.I,
    ),
    re.compile(rf"^(?:hold|press)ing\s+({_SEVERAL})\s+(?:also\s+)?(?:shows?|fires?|sends?)\s+({_ID})\b", re.I),
)
_SAME: Final = re.compile(
    rf"^({_ID})\s+and\s+({_ID})\s+(?:always\s+)?(?:(?:show|read|send|have)\s+the\s+same|move\s+together)\b", re.I
)
_NONE: Final = re.compile(
    rf"^(?:none|no one|no [a-z]+s?|nothing|not one)\b.*\b(?:reach|get|go|come)\w*\b.*?\b{_END}\b", re.I
)
_NONE_WORKS: Final = re.compile(rf"^(?:none|no one|nothing|not one)\b.*?\b{_WORK}\b(.*)", re.I)
_NOTHING_FROM: Final = re.compile(rf"^nothing\s+(?:comes\s+)?from\s+({_SUBJECT})\s*$", re.I)
_FINE: Final = (
    r"(?:do\s+|does\s+)?(?:all\s+)?(?:works?|(?:are|is)\s+(?:fine|well|ok|good|all right)"
    rf"|moves?(?=\s*[,;]|\s+(?:and|but)\b)|reach(?:es)?\s+(?:(?:both|their|its|the)\s+)*(?:ends?|{_END[1:-1]}))"
)
"""What is said of controls that work, before those that do not are named."""
_SOME_WORK: Final = re.compile(rf"^({_SUBJECT})\s+{_FINE}\s*[,;]?\s*(?:and|but)?\s*({_SUBJECT}\s+.*)$", re.I)
_OTHERS_WORK: Final = re.compile(
    rf"\s*[,;]\s*(?:and\s+|but\s+)?(?:{_SUBJECT}|the others?|the rest)\s+(?:do|does|{_FINE})$", re.I
)
_FROM_ON: Final = (
    re.compile(rf"^\s*from\s+({_ID})\s+(?:on|onwards?)\b[\s,:]*(?:they\s+|(?:they|it)\s+all\s+)?(.*)$", re.I),
    re.compile(rf"^\s*({_ID})\s+is\s+the\s+first\s+(?:one\s+)?(?:that\s+|which\s+|to\s+)?(.*)$", re.I),
)
_EACH_READS: Final = re.compile(rf"({_ID})\s*(?:reads?|shows?|sends?|is at|at|=|:)\s*(\d{{1,5}})\b", re.I)
_EVERY_OTHER: Final = re.compile(r"\bevery\s+(?:second|other|third|fourth|2nd|3rd)\b|\balternate\b", re.I)
_DENIED: Final = re.compile(rf"\b(?:are|is|do|does)\s*{_NOT}\s+(?:all\s+)?(?:dead|silent|stuck|stay|copy)", re.I)
_EXCEPT: Final = re.compile(
    r"\b(?:except|apart from|other than)\b|\b(?:all|every\w*|none|no one|nothing|both)\b.*\bbut\b", re.I
)
_NOW_AND_THEN: Final = re.compile(r"\b(?:sometimes|at times|now and then|occasionally|once in a while)\b", re.I)
_NOT_SO: Final = re.compile(
    rf"\b(?:never|no longer)\s+(?:stay|stick|stuck|sit|hang|follow|cop|mirror|repeat|wander|jump|jitter|flicker|drift)"
    rf"|(?:\bnot|n't|\bnever|\bno longer)\s+(?:also\s+)?(?:moves?|follows?|cop(?:y|ies))\s+{_ID}",
    re.I,
)
_NONE_OF: Final = re.compile(rf"^(?:none|no one|not one|neither)\s+of\s+({_SUBJECT})\s+(.*)$", re.I)
_ONLY_REACHES: Final = re.compile(rf"\bonly\s+(?:reach|get|go|come)\w*\s+(?:up\s+)?(?:to\s+)?{_END}\s*$", re.I)
_ONLY_UP: Final = re.compile(
    r"\b(?:up|as far as|reach|above|beyond|past|more than|higher than)\b.*?\b(\d{1,3})\b", re.I
)
_ONLY_DOWN: Final = re.compile(r"\b(?:down|below|under|lower than|less than)\b.*?\b(\d{1,3})\b", re.I)
_LIMITED: Final = re.compile(r"\b(?:only|never|not)\b|n't\b", re.I)
_STOPS: Final = re.compile(r"\bstops?\s+(?:short\s+)?at\s+(\d{1,3})\b", re.I)
_READ: Final = re.compile(r"\bread(?:s|ing)?\b|\bshows?\b|\bsends?\b|^\s*\d", re.I)
_MOVED: Final = re.compile(r"\b(?:when|after|while|if|though|although|however)\b.*\bmov", re.I)
_STAY: Final = re.compile(
    rf"\b(?:stays?|stuck|sits?|hangs?|frozen|stick)\b.*?\b(?:at\s+)?({_END[1:-1]}|\d{{1,3}})\b", re.I
)
_AT: Final = re.compile(rf"\b(?:all\s+)?(?:at|on)\s+{_END}\s*$", re.I)
_DEAD: Final = re.compile(
    rf"\b(?:dead|silent|nothing)\b|(?:{_NOT}|\bno)\s+(?:longer\s+)?{_WORK}|(?:do|does)n't$|do(?:es)? not$", re.I
)
_WANDER: Final = re.compile(r"\b(?:wander|jump|jitter|flicker|drift|chatter)\w*", re.I)
_LOW_WORDS: Final = {"zero", "0", "the bottom", "bottom", "minimum"}


def read_pattern(text: str, known: Sequence[str] = ()) -> Pattern:
    """Understand one line.

    Args:
        text: What the builder says.
        known: Ids of the controls of the design; a name that is not among them is refused.

    Raises:
        JobError: The line is not understood, says what is not so, or names a control that does not exist.
    """
    line = " ".join(text.replace("’", "'").split()).rstrip(".")
    if _EVERY_OTHER.search(line):
        raise JobError("it is not clear which ones", hint='name them: "F2, F4, F6 and F8 are dead"')
    if _DENIED.search(line):
        raise JobError("that line says what is not so", hint='say what they show: "F1 to F8 stay at 0"')
    _refuse_exceptions(line)
    for rule in _HELD:
        if match := rule.match(line):
            held = tuple(_known(name, known) for name in re.findall(_ID, match[1], re.I))
            return _held(held, _known(match[2], known))
    for rule in _MOVERS:
        if match := rule.match(line):
            return _moves(*(_known(each, known) for each in match.groups()))
    if match := _FOLLOWS.match(line):
        follower, mover = (_known(each, known) for each in match.groups())
        return _moves(mover, follower)
    if match := _SAME.match(line):
        one, other = (_known(each, known) for each in match.groups())
        return Pattern(shape="same", controls=(one, other), words=f"{one} and {other} always show the same")
    if match := _NONE_OF.match(line):
        return _none_of(_controls(match[1], known)[0], match[2])
    if match := _NONE.match(line):
        return _short((), low=match[1].lower() in _LOW_WORDS)
    if match := _NOTHING_FROM.match(line):
        line = f"{match[1]} are dead"
    elif match := _NONE_WORKS.match(line):
        line = f"all {match[1]}" if re.search(_END, match[1]) else "all dead"
        line = re.sub(r"\b(?:show|read|are)\b", "stay", line)
    elif match := _SOME_WORK.match(line):
        line = match[2]
    if len(each := _EACH_READS.findall(line)) > 1:
        return _readings(tuple(_known(name, known) for name, _ in each), " ".join(value for _, value in each), line)
    controls, rest = _controls(_OTHERS_WORK.sub("", line), known)
    if more := [name for name in re.findall(rf"\b{_ID}\b", rest) if name.upper() in {id.upper() for id in known}]:
        raise JobError(
            f"that line is about {more[0]} as well", hint="say a line for each: what these show, then the others"
        )
    return _said_of(controls, rest)


def first_of_chain(text: str) -> tuple[str, str] | None:
    """The first control of a chain that shows it, and what it shows; None for a line that names them all.

    "from F4 on they stay at 0" and "F4 is the first that stays at 0" say the same.
    """
    for rule in _FROM_ON:
        if match := rule.match(" ".join(text.split()).rstrip(".")):
            return match[1], match[2]
    return None


def _refuse_exceptions(line: str) -> None:
    """Refuse a line that is read as its opposite where a word is passed over."""
    if _EXCEPT.search(line):
        raise JobError("it is not clear which ones", hint='name those that show it: "F1, F2 and F4 are dead"')
    if _NOW_AND_THEN.search(line):
        raise JobError("what is there now and then is no pattern", hint="say what they show while it is there")
    if _NOT_SO.search(line):
        raise JobError("that line says what is not so", hint='say what they show: "F1 to F8 stay at 0"')


def _none_of(controls: tuple[str, ...], rest: str) -> Pattern:
    """What is said of none of some controls."""
    if match := re.search(rf"\b(?:reach|get|go|come)\w*\b.*?\b{_END}\b", rest, re.I):
        return _short(controls, low=match[1].lower() in _LOW_WORDS)
    if re.search(rf"\b{_WORK}\b", rest, re.I) and not re.search(_END, rest):
        return _dead(controls)
    raise JobError("that line is not understood", hint='say what they show: "F1 to F4 are dead"')


def _dead(controls: tuple[str, ...]) -> Pattern:
    return Pattern(shape="dead", controls=controls, words=f"{_span(controls)} {_verb(controls, 'is', 'are')} dead")


def _said_of(controls: tuple[str, ...], rest: str) -> Pattern:
    """What is said of some controls, or of all."""
    if match := _STAY.search(rest):
        if (
            len(
                {value.lower() for value in re.findall(rf"\b(?:{_END[1:-1]}|\d{{1,3}})\b", rest[match.start() :], re.I)}
            )
            > 1
        ):
            raise JobError("that line has two values", hint='say one line for each: "F1 stays at 0", "F2 stays at 127"')
        return _stays(controls, match[1])
    if (match := _AT.search(rest)) and (controls or "all" in rest.lower()):
        _parked(match[1])
    if (match := _STOPS.search(rest)) and LOWEST < int(match[1]) < HIGHEST:
        return _short(controls, low=int(match[1]) <= MIDDLE)
    if match := _ONLY_REACHES.search(rest):
        return _stays(controls, match[1])
    if _LIMITED.search(rest):
        if match := _ONLY_DOWN.search(rest):
            return _stays(controls, match[1]) if int(match[1]) >= HIGHEST else _short(controls, low=True)
        if match := re.search(rf"\b(?:reach|get|go|come)\w*\s+(?:to\s+)?{_END}\b", rest, re.I):
            return _short(controls, low=match[1].lower() in _LOW_WORDS)
        if (match := _ONLY_UP.search(rest)) and int(match[1]) <= LOWEST:
            return _stays(controls, match[1])
        if (match := _ONLY_UP.search(rest)) and int(match[1]) < HIGHEST:
            return _short(controls, low=False)
        if match := re.search(rf"\b(?:reach|get|go|come)\w*\b.*?{_END}", rest, re.I):
            return _short(controls, low=match[1].lower() in _LOW_WORDS)
    if _DEAD.search(rest):
        return _dead(controls)
    if _WANDER.search(rest):
        words = f"{_span(controls)} {_verb(controls, 'wanders', 'wander')}"
        return Pattern(shape="wanders", controls=controls, words=words)
    if _READ.search(rest):
        return _readings(controls, rest, rest)
    raise JobError(
        "that line is not understood",
        hint='say it like "F1 to F8 read 0,0,2,2,4,4,6,6", "none of them reaches zero" or "moving F3 moves F4"',
    )


def _moves(mover: str, follower: str) -> Pattern:
    return Pattern(
        shape="moves", controls=(mover,), follower=follower, words=f"moving {mover} moves {follower} as well"
    )


def _held(held: tuple[str, ...], shown: str) -> Pattern:
    if shown in held:
        raise JobError(f"{shown} is one of those that are held", hint="name the one that shows and is not held")
    return Pattern(shape="held", controls=held, follower=shown, words=f"{_span(held)} held, {shown} shows")


def _short(controls: tuple[str, ...], *, low: bool) -> Pattern:
    end = "bottom" if low else "top"
    who = f"{_span(controls)} {_verb(controls, 'does', 'do')} not reach" if controls else "none of them reaches"
    return Pattern(shape="short-low" if low else "short-high", controls=controls, words=f"{who} the {end}")


def _stays(controls: tuple[str, ...], where: str) -> Pattern:
    word = where.lower()
    low = word in _LOW_WORDS or (word.isdecimal() and int(word) <= LOWEST)
    if word.isdecimal() and LOWEST < int(word) < HIGHEST:
        return Pattern(
            shape="wanders",
            controls=controls,
            words=f"{_span(controls)} {_verb(controls, 'stays', 'stay')} in between, at {word}",
        )
    end = "bottom" if low else "top"
    words = f"{_span(controls)} {_verb(controls, 'stays', 'stay')} at the {end}"
    return Pattern(shape="stays-low" if low else "stays-high", controls=controls, words=words)


def _parked(where: str) -> NoReturn:
    raise JobError(
        f"a control that is parked there reads {where} too",
        hint=f'move them all: if they stay, say "they all stay at {where}"',
    )


def _controls(line: str, known: Sequence[str]) -> tuple[tuple[str, ...], str]:
    """The controls a line begins with, and the rest of it."""
    if match := _RANGE.match(line):
        first, last = match.groups()
        return _range(first, last, known), line[match.end() :]
    if match := _LIST.match(line):
        names = re.findall(_ID, match[1], re.I)
        return tuple(_known(name, known) for name in names), line[match.end() :]
    if re.match(r"^\s*(?:all|they|every|both)\b", line, re.I):
        return (), line
    raise JobError("that line names no control", hint='begin it with the controls: "F1 to F8 ..."')


def _range(first: str, last: str, known: Sequence[str]) -> tuple[str, ...]:
    stem, low = re.match(r"(.*?)(\d+)$", first).groups()  # type: ignore[union-attr]  # the pattern of an id ends so
    other, high = re.match(r"(.*?)(\d+)$", last).groups()  # type: ignore[union-attr]
    if stem.lower() != other.lower() or int(low) >= int(high) or int(high) - int(low) >= MOST_CONTROLS:
        raise JobError(f"{first} to {last} is no row of controls", hint='write it like "F1 to F8"')
    width = len(low) if low.startswith("0") else 0
    return tuple(_known(f"{stem}{number:0{width}d}", known) for number in range(int(low), int(high) + 1))


def _known(name: str, known: Sequence[str]) -> str:
    for id in known:
        if id.lower() == name.lower():
            return id
    if known:
        raise JobError(f"there is no control {name}")
    return name


def _readings(controls: tuple[str, ...], values_text: str, said: str) -> Pattern:
    values = tuple(int(each) for each in re.findall(r"\d{1,5}", values_text))
    if len(values) == 1 and len(controls) != 1:
        values *= max(len(controls), 2)  # one value for them all
    elif not controls or len(values) != len(controls):
        raise JobError(
            f"{len(controls)} controls and {len(values)} values do not go together", hint="give one value for each"
        )
    if len(values) > 1 and len(set(values)) == 1:
        if _MOVED.search(said):
            return _stays(controls, str(values[0]))
        _parked(str(values[0]))
    listed = ", ".join(f"{control} {value}" for control, value in zip(controls, values, strict=True))
    return Pattern(shape="readings", controls=controls, values=values, words=listed)


def _span(controls: Sequence[str]) -> str:
    if not controls:
        return "all of them"
    if len(controls) == 1:
        return controls[0]
    in_a_row = _in_a_row(controls)
    return f"{controls[0]} to {controls[-1]}" if in_a_row else f"{', '.join(controls[:-1])} and {controls[-1]}"


def _verb(controls: Sequence[str], one: str, several: str) -> str:
    return one if len(controls) == 1 else several


def _in_a_row(controls: Sequence[str]) -> bool:
    numbers = [int(re.sub(r"\D", "", each)) for each in controls]
    return len(controls) > 2 and all(b - a == 1 for a, b in pairwise(numbers))
