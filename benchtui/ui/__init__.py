"""The screens. The only part of the program that knows the screen library."""

import os

# The library gathers what changed and paints it 60 times a second at most, which alone takes a whole frame between a
# key and what it brings. Nothing here moves by itself, so a shorter beat costs nothing; it is read when that loads.
os.environ.setdefault("TEXTUAL_FPS", "240")
