"""The same real window and collection as the tests of the screens."""

from __future__ import annotations

from tests.ui.conftest import book, clock, desk, make_desk, make_window, nothing_left_behind, room, window

__all__ = ["book", "clock", "desk", "make_desk", "make_window", "nothing_left_behind", "room", "window"]
