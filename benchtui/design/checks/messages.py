"""Messages: in range, one meaning each, and none that means something else to the receiver."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.design.checks.finding import Finding

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.layout import Message
    from benchtui.design.model import Design

_SOURCE = "MIDI 1.0 specification, controller numbers (from memory)"
_MEANT = {
    0: "bank select", 32: "bank select", 6: "data entry", 38: "data entry", 64: "hold pedal",
    **dict.fromkeys((96, 97), "data increment"), **dict.fromkeys(range(98, 102), "parameter numbers"),
}  # fmt: skip


def findings(design: Design) -> Iterator[Finding]:
    """What is wrong with messages."""
    seen: dict[tuple[str, int, int], str] = {}
    for control in design.controls:
        own = [("", control.message)] if control.message else []
        if control.press is not None:
            own.append((" pressed", control.press))
        if control.kind != "lamp" and control.message is None:
            yield Finding(
                check="no-message",
                place=control.place,
                message=f"control {control.id} sends no message",
                hint="give it a `message:`",
                source="a control without a message does nothing",
            )
        for suffix, message in own:
            who = f"{control.id}{suffix}"
            yield from _range(design, who, message)
            for key in _keys(design, message):
                if key in seen and seen[key] != who:
                    yield Finding(
                        check="message-twice",
                        place=message.place,
                        message=f"controls {seen[key]} and {who} both send {_words(key)}",
                        hint="give each a number of its own",
                        source="common practice",
                    )
                seen.setdefault(key, who)


def _keys(design: Design, message: Message) -> Iterator[tuple[str, int, int]]:
    channel = message.channel or design.file.channel
    yield message.kind, channel, message.number
    if message.fine and message.controller is not None:
        yield message.kind, channel, message.number + 32


def _words(key: tuple[str, int, int]) -> str:
    kind, channel, number = key
    return f"{kind.replace('-', ' ')}{f' {number}' if number >= 0 else ''} on channel {channel}"


def _range(design: Design, who: str, message: Message) -> Iterator[Finding]:
    given = sum(
        1
        for one in (
            message.controller is not None,
            message.note is not None,
            message.program is not None,
            message.pitch_bend,
            message.pressure,
        )
        if one
    )
    if given != 1:
        yield Finding(
            check="message-kind",
            place=message.place,
            message=f"control {who}: a message is one of controller, note, program, pitch-bend and pressure, and this "
            f"is {given} of them",
            hint="give one",
            source=_SOURCE,
        )
        return
    channel = message.channel or design.file.channel
    if not 1 <= channel <= 16:
        yield Finding(
            check="message-channel",
            place=message.place,
            message=f"control {who}: there is no channel {channel}",
            hint="channels are 1 to 16",
            source=_SOURCE,
        )
    if message.number > 127 or (message.number < 0 and message.kind in ("controller", "note", "program")):
        yield Finding(
            check="message-number",
            place=message.place,
            message=f"control {who}: there is no {message.kind} {message.number}",
            hint="numbers are 0 to 127",
            source=_SOURCE,
        )
    if not (0 <= message.low <= 127 and 0 <= message.high <= 127) or message.low == message.high:
        yield Finding(
            check="message-values",
            place=message.place,
            message=f"control {who}: its values run from {message.low} to {message.high}",
            hint="two different values from 0 to 127",
            source=_SOURCE,
        )
    if message.controller is None:
        return
    if message.fine and message.controller > 31:
        yield Finding(
            check="message-fine",
            place=message.place,
            message=f"control {who}: controller {message.controller} has no fine half, for only 0 to 31 have one",
            hint="choose a number below 32",
            source=_SOURCE,
        )
    if 120 <= message.controller <= 127:
        yield Finding(
            check="message-mode",
            place=message.place,
            message=f"control {who}: controller {message.controller} is a mode message (123 is all notes off)",
            hint="choose a number below 120",
            source=_SOURCE,
        )
    elif message.controller in _MEANT:
        yield Finding(
            check="message-meant",
            level="warning",
            place=message.place,
            message=f"control {who}: controller {message.controller} means {_MEANT[message.controller]} to many "
            "receivers",
            hint="choose another, unless that is meant",
            source=_SOURCE,
        )
