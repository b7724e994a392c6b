"""Fault finding: from a symptom to a working input in as few minutes as can be expected.

    words, model, reading, model_text      a fault model as data, its reader, and its copy in the record
    table, repair_order, engine, deepen    numbers only: belief, expected minutes, the next move, looking further
    target, layout                         which part of a model bears on this symptom of this control
    spots*, probing, dictionary            faults of a design's own circuit, and what each test reads under them
    from_design                            a model with those faults put in
    patterns, pattern_evidence             "F1 to F8 read 0,0,2,2,4,4,6,6" as evidence
    events, hunt                           the course of one hunt, as a pure state
    belief, allowed, moves, points         what is believed, what may be done, every move, typed readings
    views, proposal                        the one move to make now, as the screens show it
    soak, learning, spares*                clean tries, weights that learn, what to carry on tour
    isolation, orders, several, scores     known best orders, several faults at once, how good a model is
    run                                    the one place that joins a hunt to the record

Imports nothing at start; take names from the modules.
"""
