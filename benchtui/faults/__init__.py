"""Fault finding: from a symptom to a working input in as few minutes as can be expected.

    words, model, reading, model_text    a fault model as data, its reader, and its copy in the record
    table, engine, deepen                numbers only: belief, expected minutes, the next move
    target, layout                       which part of a model bears on this symptom of this control
    events, hunt                         the course of one hunt, as a pure state
    belief, allowed, moves, points       what is believed, what may be done, every move, typed readings
    views, proposal                      the one move to make now, as the screens show it
    soak                                 how many clean tries make a repair believable
    run                                  the one place that joins a hunt to the record

Imports nothing at start; take names from the modules.
"""
