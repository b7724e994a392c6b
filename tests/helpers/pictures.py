"""Drawings opened in a real renderer (resvg), as rows of grey pixels that can be measured."""

from __future__ import annotations

import re
import struct
import zlib

SCALE = 20
"""Pixels for each mm."""


def picture(svg: str, x: float, y: float, width: float, height: float) -> list[bytes]:
    """A window of a drawing in mm as rows of grey pixels, white where nothing is drawn."""
    import resvg_py

    root = f'width="{width * SCALE:g}" height="{height * SCALE:g}" viewBox="{x:g} {y:g} {width:g} {height:g}"'
    cropped = re.sub(r'width="[\d.]+mm" height="[\d.]+mm" viewBox="[^"]+"', root, svg, count=1)
    return _rows(bytes(resvg_py.svg_to_bytes(svg_string=cropped, background="white")))


def _rows(png: bytes) -> list[bytes]:
    """Grey rows of an 8-bit RGBA picture (PNG, ISO/IEC 15948, filters of clause 9)."""
    wide, high = struct.unpack(">II", png[16:24])
    data, place = b"", 8
    while place < len(png):
        length = struct.unpack(">I", png[place : place + 4])[0]
        if png[place + 4 : place + 8] == b"IDAT":
            data += png[place + 8 : place + 8 + length]
        place += length + 12
    raw, step, before, rows = zlib.decompress(data), wide * 4, bytearray(wide * 4), []
    for number in range(high):
        kind, line = raw[number * (step + 1)], bytearray(raw[number * (step + 1) + 1 : (number + 1) * (step + 1)])
        for at in range(step):
            left = line[at - 4] if at >= 4 else 0
            corner = before[at - 4] if at >= 4 else 0
            up = before[at]
            near = min((left, up, corner), key=lambda each: abs(left + up - corner - each))
            line[at] = (line[at] + (0, left, up, (left + up) // 2, near)[kind]) & 255
        rows.append(bytes(line[::4]))
        before = line
    return rows


def extent(row: bytes) -> tuple[float, float]:
    """First and last place in a row that is darker than half, in mm: the middles of the two lines crossed."""
    dark = [place for place, grey in enumerate(row) if grey < 128]
    return (dark[0] + 0.5) / SCALE, (dark[-1] + 0.5) / SCALE
