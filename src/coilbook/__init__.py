"""Coilbook: the record book of a ball python breeder."""

__version__ = "0.1.0"
