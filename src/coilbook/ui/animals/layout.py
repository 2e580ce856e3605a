"""Which columns are shown, in which order, how wide and how sorted: kept beside the collection, not in its records."""

from __future__ import annotations

import json
import logging
from dataclasses import asdict, dataclass, field
from pathlib import Path

from coilbook.reads.herd_snapshot import FOLDER
from coilbook.ui.animals.columns import BY_KEY, COLUMNS

LOG = logging.getLogger(__name__)
FILE_NAME = "animals-list.json"


@dataclass(frozen=True, slots=True)
class Layout:
    """`shown` are keys of columns from left to right; `widths` pixels at 100 percent by key."""

    shown: tuple[str, ...] = tuple(column.key for column in COLUMNS if column.shown)
    widths: dict[str, int] = field(default_factory=dict)
    sort: str = "place"
    descending: bool = False

    def stored(self) -> str:
        """The layout as text."""
        return json.dumps(asdict(self))

    @classmethod
    def from_stored(cls, text: str) -> Layout:
        """A layout from its text; what is not understood keeps its default."""
        usual = cls()
        try:
            kept = json.loads(text)
            shown = tuple(key for key in kept["shown"] if key in BY_KEY)
            widths = {key: int(width) for key, width in kept["widths"].items() if key in BY_KEY and int(width) > 0}
            sort = kept["sort"] if kept["sort"] in BY_KEY else usual.sort
            return cls(shown or usual.shown, widths, sort, bool(kept["descending"]))
        except (ValueError, KeyError, TypeError, AttributeError) as error:
            LOG.warning("a kept layout of the list could not be read: %r", error)
            return usual


def kept_layout(folder: Path) -> Layout:
    """The layout of the collection in `folder`."""
    try:
        return Layout.from_stored((folder / FOLDER / FILE_NAME).read_text(encoding="utf-8"))
    except FileNotFoundError:
        return Layout()
    except (OSError, ValueError) as error:
        LOG.warning("the layout of the list could not be read: %s", error)
        return Layout()


def keep_layout(folder: Path, layout: Layout) -> None:
    """Remember the layout; a disk that refuses costs only that."""
    try:
        (folder / FOLDER).mkdir(exist_ok=True)
        (folder / FOLDER / FILE_NAME).write_text(layout.stored(), encoding="utf-8")
    except OSError as error:
        LOG.warning("the layout of the list was not kept: %s", error)
