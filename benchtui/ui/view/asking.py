"""Questions asked of many units at once: where a lot, part or firmware went, and what a meter has measured."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from benchtui.jobs.run_where import reading_said
from benchtui.ui.view.ages import clock_time
from benchtui.ui.view.rows import Row
from benchtui.ui.view.text import BLANK, line, wrap

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from benchtui.jobs.readings import Meter
    from benchtui.jobs.run_where import Use
    from benchtui.record.event import Event
    from benchtui.ui.view.text import Line


def asking_rows(fitted: Iterable[Event], loaded: Iterable[Event], meters: Iterable[Meter]) -> list[Row]:
    """Everything that can be asked for.

    Args:
        fitted: Events of parts that were fitted.
        loaded: Events of firmware that was loaded.
        meters: Meters of the bench.
    """
    counts: dict[str, Counter[str]] = {"lot": Counter(), "serial": Counter(), "part": Counter()}
    words: dict[tuple[str, str], str] = {}
    for event in fitted:
        for name, counter in counts.items():
            value = str(event.data.get(name, ""))
            if value:
                counter[value] += 1
                words[name, value] = f"{event.data.get('part', '')} {event.data.get('place', '')}"
    rows: list[Row] = []
    for name, title, text in (
        ("lot", "Where a lot went", "Lot {}"),
        ("serial", "Where a part went, by its serial number", "Serial number {}"),
        ("part", "Where parts of a kind went", "{}"),
    ):
        rows.append(Row(text=title, right="" if counts[name] else "none yet: f at a step keeps one"))
        rows += [
            Row(id=f"{name}:{value}", text=text.format(value), right=f"{count} fitted", words=words[name, value])
            for value, count in sorted(counts[name].items())
        ]
    versions = sorted({str(event.data.get("version", "")) for event in loaded})
    rows.append(Row(text="Which units run a firmware", right="" if versions else "none yet: w on the page of a unit"))
    rows += [Row(id=f"firmware:{version}", text=f"Firmware {version}") for version in versions]
    known = list(meters)
    rows.append(
        Row(
            text="Every reading taken with a meter, since a date",
            right="" if known else "none yet: m at the bench",
        )
    )
    rows += [
        Row(
            id=f"meter:{meter.id}",
            text=meter.name or meter.id,
            right=f"calibrated until {meter.due}" if meter.due else "",
        )
        for meter in known
    ]
    return rows


def use_lines(uses: Sequence[Use], width: int) -> list[Line]:
    """Where parts or firmware went, with the units first: they are what has to be called back."""
    units = list(dict.fromkeys(use.unit for use in uses))
    lines = wrap(_units(units), width, role="strong")
    lines.append(BLANK)
    for use in uses:
        gone = f", taken out {clock_time(use.removed)}" if use.removed else ""
        fitted = f", fitted {clock_time(use.time)}" if use.time else ""
        where = f"{use.place}: " if use.place else ""
        lines += wrap(f"{where}{use.what}{fitted}{gone}", width, first=f"  {use.unit}  ", rest="    ")
    return lines


def reading_lines(readings: Sequence[Event], width: int) -> list[Line]:
    """What a meter has measured, with the units first: their readings are in doubt when the meter is."""
    units = list(dict.fromkeys(event.unit for event in readings if event.unit))
    count = f"{len(readings)} reading{'s' if len(readings) != 1 else ''}"
    lines = wrap(f"{count}. {_units(units)}", width, role="strong")
    lines.append(BLANK)
    for event in readings:
        text = f"{event.unit or 'no unit'}  {reading_said(event)} (job {event.job})"
        lines += wrap(text, width, first=f"  {clock_time(event.time)}  ", rest="    ")
    return lines if readings else [line("no reading was taken with it since then")]


def _units(units: Sequence[str]) -> str:
    count = f"{len(units)} unit{'s' if len(units) != 1 else ''}"
    return f"{count}: {', '.join(units)}." if units else "No unit."
