"""Looks at the machine before Qt is imported: a missing library would abort the process without a word.

Uses nothing but the standard library. Package names are Debian's (common practice on its relatives too).
"""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Callable, Mapping

from coilbook.records.message import Refusal, say

#: library file -> Debian package, for any Qt window, also an offscreen one
ALWAYS: Mapping[str, str] = {
    "libGL.so.1": "libgl1",
    "libEGL.so.1": "libegl1",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libdbus-1.so.3": "libdbus-1-3",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libfontconfig.so.1": "libfontconfig1",
}
#: in addition, for a window on an X11 display
DISPLAY: Mapping[str, str] = {
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}
#: in addition, where the tests are installed: what pyAgrum is linked with
TESTS: Mapping[str, str] = {"libgomp.so.1": "libgomp1"}
_WITHOUT_DISPLAY = ("offscreen", "minimal", "vnc", "linuxfb", "eglfs")
OLDEST_PYTHON, FIRST_UNTRIED = (3, 11), (3, 14)


def loads(library: str) -> bool:
    """True when the library can be loaded."""
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def missing_packages(display: bool, can_load: Callable[[str], bool] = loads, *, tests: bool = False) -> list[str]:
    """Debian packages to install before a window can open, or the tests run, in a stable order; none but on Linux."""
    if not sys.platform.startswith("linux"):
        return []
    wanted = {**ALWAYS, **(DISPLAY if display else {}), **(TESTS if tests else {})}
    return [package for library, package in wanted.items() if not can_load(library)]


def has_display(environment: Mapping[str, str]) -> bool:
    """True when a window has somewhere to appear."""
    if environment.get("QT_QPA_PLATFORM", "").split(":")[0] in _WITHOUT_DISPLAY:
        return True
    if not sys.platform.startswith("linux"):
        return True
    return bool(environment.get("DISPLAY") or environment.get("WAYLAND_DISPLAY"))


def wants_xcb(environment: Mapping[str, str]) -> bool:
    """True when the window will be an X11 one."""
    platform = environment.get("QT_QPA_PLATFORM", "").split(":")[0]
    if platform:
        return platform == "xcb"
    return bool(environment.get("DISPLAY")) and not environment.get("WAYLAND_DISPLAY")


def must_have_window(environment: Mapping[str, str] | None = None) -> None:
    """Refuse, in one sentence that says what to install or do, when no window can be opened here."""
    now = os.environ if environment is None else environment
    must_have_libraries(display=wants_xcb(now))
    if not has_display(now):
        raise Refusal(
            say(
                "There is no display here to open a window on. Start Coilbook from a desktop, or use a command such as"
                " `coilbook export` or `coilbook tour`, which need none."
            )
        )


def must_have_libraries(*, display: bool, tests: bool = False, can_load: Callable[[str], bool] = loads) -> None:
    """Refuse when system libraries are missing, naming the packages."""
    missing = missing_packages(display, can_load, tests=tests)
    if missing:
        raise Refusal(
            say(
                "This machine lacks {n} system library. Install it with: apt install {packages}",
                "This machine lacks {n} system libraries. Install them with: apt install {packages}",
                n=len(missing),
                packages=" ".join(missing),
            )
        )
