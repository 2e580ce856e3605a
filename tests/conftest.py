"""What holds for every test: laws are checked by their examples, never by how busy the machine is."""

from __future__ import annotations

from hypothesis import settings

# a deadline of milliseconds fails an example on a machine that has other work, and says nothing about the program
settings.register_profile("coilbook", deadline=None)
settings.load_profile("coilbook")
