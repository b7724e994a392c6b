"""Solder alloys: where they are liquid."""

from __future__ import annotations

from typing import Final

LIQUIDUS: Final = {
    "Sn63Pb37": 183.0,
    "Sn60Pb40": 191.0,
    "SAC305": 220.0,
    "Sn99.3Cu0.7": 227.0,
    "Sn96.5Ag3.5": 221.0,
    "Bi58Sn42": 138.0,
}
"""°C from which an alloy is liquid as a whole (J-STD-006 alloy tables; Sn60Pb40 is printed as 188 to 191, SAC305 as
219 to 221)."""
