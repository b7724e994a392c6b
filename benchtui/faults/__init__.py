"""Fault finding: from a symptom to a working input in as few minutes as can be expected.

    words, model, reading    a fault model as data, and its reader
    table, engine, deepen    numbers only: belief, expected minutes, the next move
    target, layout           which part of a model bears on this symptom of this control
    events, hunt, proposal   the course of one hunt, as a pure state
    run                      the one place that joins a hunt to the record

Imports nothing at start; take names from the modules.
"""
