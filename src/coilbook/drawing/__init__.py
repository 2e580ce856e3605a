"""Geometry in plain numbers: where everything of a picture stands, before any pen."""
