"""The screens. The only part of the program that knows the screen library."""
