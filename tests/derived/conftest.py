"""A real collection for what is derived from it."""

from tests.operations.conftest import book, clock, room  # noqa: F401
