"""Calculators: each is data around a pure function, so that one form, one command and one panel serve them all."""
