"""What a computer gets from a scanner that is set to another keyboard."""

from __future__ import annotations

from coilbook.scanning.layouts import Pairing, read_as


def typed_as(text: str, pairing: Pairing) -> str:
    """What arrives when a scanner means `text` (the opposite of `read_as`)."""
    return read_as(text, Pairing(scanner=pairing.computer, computer=pairing.scanner))
