"""Where the program's own files are: inside the installed package, or beside it in a checkout."""

from __future__ import annotations

from pathlib import Path

from coilbook.records.message import StorageTrouble, say

_PACKAGE = Path(__file__).resolve().parent.parent
_CHECKOUT = _PACKAGE.parent.parent


def resource_path(*parts: str) -> Path:
    """Path of a file or folder under `resources`; `StorageTrouble` when the installation lacks it."""
    return _find("resources", parts)


def demo_path(*parts: str) -> Path:
    """Path of a file or folder under `demo`; `StorageTrouble` when the installation lacks it."""
    return _find("demo", parts)


def _find(top: str, parts: tuple[str, ...]) -> Path:
    for base in (_PACKAGE, _CHECKOUT):
        path = base.joinpath(top, *parts)
        if path.exists():
            return path
    name = "/".join((top, *parts))
    raise StorageTrouble(
        say("The program's own file '{name}' is missing. Install the program again.", name=name),
        kind="installation",
    )
