"""Text to amount and back: what a person types at a bench, with its unit and tolerance.

Importing this package does not import pint; the first unit that needs more than metric arithmetic does.
"""

from benchtui.units.amount import Amount as Amount
from benchtui.units.amount import exact as exact
from benchtui.units.conversion import convert as convert
from benchtui.units.conversion import convert_value as convert_value
from benchtui.units.kinds import KINDS as KINDS
from benchtui.units.kinds import Kind as Kind
from benchtui.units.parse import parse as parse
from benchtui.units.show import format_band as format_band
from benchtui.units.show import format_number as format_number
from benchtui.units.show import format_value as format_value
from benchtui.units.show import format_worst as format_worst

__all__ = [
    "KINDS",
    "Amount",
    "Kind",
    "convert",
    "convert_value",
    "exact",
    "format_band",
    "format_number",
    "format_value",
    "format_worst",
    "parse",
]
