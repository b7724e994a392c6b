"""The record: append-only events of every unit and job, in one SQLite file."""
