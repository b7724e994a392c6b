"""The demo desks with one injected fault each, all of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from helpers.desks_of_faders import OF_FADERS
from helpers.desks_of_others import OF_OTHERS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from helpers.faulty_desk import FaultyDesk

DESKS: Sequence[FaultyDesk] = (*OF_FADERS, *OF_OTHERS)
"""Each desk with one injected fault."""
