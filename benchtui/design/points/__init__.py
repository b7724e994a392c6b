"""The test points of a design, by family: what is probed, in which state, and how its limits come about."""
