"""Jobs: a procedure or checklist laid out over a design, and the pure state that follows from events."""
