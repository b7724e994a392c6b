"""The circuit of a design: netlists of its controls and banks, solved, with windows over the parts' tolerances."""
