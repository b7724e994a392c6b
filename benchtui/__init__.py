"""A bench companion for people who build, teach, tour and repair hand-built control surfaces."""

__version__ = "0.1.0"
