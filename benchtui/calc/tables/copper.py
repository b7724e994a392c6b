"""Copper wire: resistivity, temperature coefficient, and the largest resistances IEC 60228 allows."""

from __future__ import annotations

from typing import Final

RESISTIVITY: Final = 17.241e-9
"""Ω·m of annealed copper at 20 °C (International Annealed Copper Standard, NBS Handbook 100, 1966; figure from memory,
confirmed against a 44-row wire table to 0.3 %)."""

COEFFICIENT: Final = 0.00393
"""1/K of annealed copper, referred to 20 °C (same source; IEC 60228 rounds it to 0.004)."""

REFERENCE: Final = 20.0
"""°C that both figures belong to."""

STRANDED: Final = 1.02
"""Strands lie in a helix and are about so much longer than the wire: stranded against solid rows of NEC chapter 9
Table 8 (from memory)."""

SOURCE: Final = "annealed copper at 20 °C: 17.241 nΩ·m and 0.00393/K, NBS Handbook 100 (1966); figures from memory"
GAUGE_SOURCE: Final = "AWG sizes: ASTM B258, d = 0.127 mm × 92^((36 − n) / 39)"

# IEC 60228:2004 Tables 2 and 3, largest resistance at 20 °C in ohm/km by nominal size in mm². The two quotations seen
# agree; class 5 rows 0.5 and 0.75 are from a secondary page and memory. At 50 mm² class 5 does lie below class 2.
IEC_60228: Final[dict[str, dict[float, float]]] = {
    "class-2": {0.5: 36.0, 0.75: 24.5, 1: 18.1, 1.5: 12.1, 2.5: 7.41, 4: 4.61, 6: 3.08, 10: 1.83, 16: 1.15, 25: 0.727,
                35: 0.524, 50: 0.387},
    "class-2-tinned": {0.5: 36.7, 0.75: 24.8, 1: 18.2, 1.5: 12.2, 2.5: 7.56, 4: 4.7, 6: 3.11, 10: 1.84, 16: 1.16,
                       25: 0.734, 35: 0.529, 50: 0.391},
    "class-5": {0.5: 39.0, 0.75: 26.0, 1: 19.5, 1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.3, 10: 1.91, 16: 1.21, 25: 0.78,
                35: 0.554, 50: 0.386},
    "class-5-tinned": {0.5: 40.1, 0.75: 26.7, 1: 20.0, 1.5: 13.7, 2.5: 8.21, 4: 5.09, 6: 3.39, 10: 1.95, 16: 1.24,
                       25: 0.795, 35: 0.565, 50: 0.393},
}  # fmt: skip
IEC_60228_SOURCE: Final = "largest resistance per km: IEC 60228:2004 Tables 2 and 3 (class 5 below 1 mm² from memory)"
