"""Words that a fault model uses and that are checked against a list: extents, kinds of control, power, features."""

from __future__ import annotations

from typing import Final, Literal

Scope = Literal["unit", "bank", "control", "kind"]
Power = Literal["on", "off", "either"]
SCOPES: Final = ("unit", "bank", "control", "kind")
KINDS: Final = ("pot", "fader", "ribbon", "button-direct", "button-matrix", "toggle", "encoder", "lamp")
PRESSED: Final = ("button-direct", "button-matrix", "toggle")
"""Kinds that are worked by pressing or throwing them; each can take the functions of another over."""
FEATURES: Final = ("multiplexer", "matrix", "hold-mode", "lamps", "second-plug", "nut", "press")
"""What a design may have or lack that decides whether a fault or a test makes sense: among others a second plug of the
same part and pin-out, a nut that holds the control in the panel, and something to press."""
