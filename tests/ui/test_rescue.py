"""A collection whose file is lost or damaged: the backups are offered, and one of them opens."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt

from coilbook.app.rescue import open_or_rescue
from coilbook.operations.care import write_note
from coilbook.operations.safekeeping import back_up
from coilbook.records.backups import Backup
from coilbook.records.message import StorageTrouble
from coilbook.ui.rescue import RescueWindow
from coilbook.ui.theme import Theme

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from tests.operations.conftest import Room


def _spoil(folder: Path, how: str) -> None:
    file = folder / "collection.sqlite"
    for log in folder.glob("collection.sqlite-*"):
        log.unlink()
    if how == "lost":
        file.unlink()
    elif how == "overwritten":
        file.write_bytes(b"not a collection at all" * 400)
    else:
        whole = file.read_bytes()
        file.write_bytes(whole[: len(whole) // 3])


@pytest.mark.parametrize("how", ["lost", "overwritten", "cut short"])
def test_a_backup_is_offered_and_opens(room: Room, how: str) -> None:
    folder = room.book.folder
    made = back_up(room.book)
    write_note(room.book, animal=room.female, text="after it")
    room.book.close()
    _spoil(folder, how)
    offered: list[tuple[StorageTrouble, Sequence[Backup]]] = []

    def ask(trouble: StorageTrouble, backups: Sequence[Backup]) -> Backup | None:
        offered.append((trouble, backups))
        return backups[0]

    with open_or_rescue(folder, room.clock, ask) as book:
        assert [b.name for b in offered[0][1]] == [made.name]
        assert book.read("SELECT keeper_id FROM animal ORDER BY id") == [("F-014",), ("M-03",)]
        assert book.read("SELECT count(*) FROM animal_now") == [(2,)]
        write_note(book, animal=room.female, text="goes on")


def test_leaving_it_leaves_the_file_untouched(room: Room) -> None:
    folder = room.book.folder
    back_up(room.book)
    room.book.close()
    _spoil(folder, "overwritten")
    before = (folder / "collection.sqlite").read_bytes()
    with pytest.raises(StorageTrouble):
        open_or_rescue(folder, room.clock, lambda _trouble, _backups: None)
    assert (folder / "collection.sqlite").read_bytes() == before


def test_the_window_of_the_rescue_works_by_keys(room: Room, qtbot: QtBot) -> None:
    back_up(room.book)
    room.clock.pass_(hours=2)
    newest = back_up(room.book)
    from coilbook.operations.safekeeping import backups_there

    trouble = StorageTrouble("The collection's file is damaged. It was left as it is.", "damaged")
    window = RescueWindow(Theme(), trouble, backups_there(room.book), room.clock.now.tzinfo)
    qtbot.addWidget(window)
    window.show()
    qtbot.keyClick(window.table, Qt.Key.Key_Return)
    assert window.chosen is not None and window.chosen.name == newest.name
    window.chosen = None
    window.leave.click()
    assert window.chosen is None
