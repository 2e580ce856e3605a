"""Sharing the story of a clutch: what goes along is asked, all of it off at first; written beside the window."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from coilbook.records.message import CoilbookError, say
from coilbook.ui.animal.choice_strip import Option
from coilbook.ui.animal.entry_form import Ask
from coilbook.ui.background import Control
from coilbook.ui.desk import Desk
from coilbook.ui.eggs.at import AtHand
from coilbook.wording.language import translated


def share_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    """What goes along; nothing of it unless said."""
    no_yes = (Option(translated("left out"), False), Option(translated("along"), True))
    return (
        Ask("ids", translated("Ids"), "choice", False, options=no_yes),
        Ask("place", translated("Box, incubator"), "choice", False, options=no_yes),
        Ask("words", translated("Own words (people, prices)"), "choice", False,
            options=no_yes),
    )  # fmt: skip


def share_story(desk: Desk, at: AtHand, values: dict[str, Any]) -> None:
    """Write the story of the clutch in focus and say where it lies."""
    clutch, boxes = at.clutch, at.boxes
    if clutch is None:
        return
    collection, style = desk.collection, desk.style
    # without ids the folder must not tell the clutch either
    name = f"story {clutch.label}" if values["ids"] else "story"
    folder = _free(collection.folder / "papers", f"{name} {at.now.today.isoformat()}")

    def work(_control: Control) -> list[Path]:
        from coilbook.printing.shared_story import write_shared_story
        from coilbook.reads.story_to_share import Ticked, story_to_share

        return write_shared_story(collection, story_to_share(clutch, boxes, Ticked(**values)), style, folder)

    def done(files: list[Path]) -> None:
        text = "The story is ready to share: {n} file in {folder}, in the folder papers of the collection."
        more = "The story is ready to share: {n} files in {folder}, in the folder papers of the collection."
        desk.notices.tell(say(text, more, n=len(files), folder=folder.name))

    def failed(error: CoilbookError) -> None:
        desk.notices.refuse(error)

    desk.background.read(work, done, failed, say("Writing the story"))


def _free(papers: Path, name: str) -> Path:
    """A folder of that name that is not there yet: one story never overwrites another."""
    names = [name, *(f"{name} ({n})" for n in range(2, 1000))]
    return next((papers / one for one in names if not (papers / one).exists()), papers / name)
