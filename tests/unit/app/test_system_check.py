"""Before Qt is imported: a missing library or display gives one sentence that names what to install or do."""

from __future__ import annotations

import sys

import pytest

from coilbook.app.system_check import (
    ALWAYS,
    has_display,
    loads,
    missing_packages,
    must_have_libraries,
    must_have_window,
    wants_xcb,
)
from coilbook.records.message import Refusal

linux = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="package names are Debian's")


def test_a_library_that_is_not_there_does_not_load() -> None:
    assert not loads("libcoilbook-does-not-exist.so.9")


@linux
def test_missing_libraries_are_named_as_packages_in_one_sentence() -> None:
    with pytest.raises(Refusal) as caught:
        must_have_libraries(display=False, can_load=lambda library: library not in ("libGL.so.1", "libEGL.so.1"))
    sentence = str(caught.value)
    assert sentence.endswith("apt install libgl1 libegl1") and "2 system libraries" in sentence


@linux
def test_a_window_on_a_display_needs_more_than_an_offscreen_one() -> None:
    def none(_library: str) -> bool:
        return False

    assert missing_packages(False, none) == list(ALWAYS.values())
    assert missing_packages(False, none, tests=True) == [*ALWAYS.values(), "libgomp1"]
    assert set(missing_packages(True, none)) > set(missing_packages(False, none))


@linux
def test_no_display_is_one_sentence() -> None:
    with pytest.raises(Refusal, match="no display"):
        must_have_window({})
    assert has_display({"QT_QPA_PLATFORM": "offscreen"})
    assert has_display({"WAYLAND_DISPLAY": "wayland-0"})


def test_only_x11_needs_the_xcb_libraries() -> None:
    assert wants_xcb({"DISPLAY": ":0"})
    assert not wants_xcb({"DISPLAY": ":0", "WAYLAND_DISPLAY": "wayland-0"})
    assert not wants_xcb({"QT_QPA_PLATFORM": "offscreen", "DISPLAY": ":0"})
