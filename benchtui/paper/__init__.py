"""Procedures, checklists, wiring lists, test sheets and the builder's manual, for print."""
