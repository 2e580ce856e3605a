"""The keeper's choices, kept in the collection."""

from __future__ import annotations

from coilbook.records.changes import Outcome
from coilbook.records.message import Refusal, say
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import Act
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.tables import SavedView, Setting


def settings_of(collection: Collection) -> Settings:
    """The settings of a collection."""
    return Settings.from_stored(dict(collection.read("SELECT name, value FROM setting")))


def settings_in(act: ActInHand) -> Settings:
    """The settings as an act sees them."""
    return Settings.from_stored({str(n): str(v) for n, v in act.rows("SELECT name, value FROM setting")})


def change_settings(collection: Collection, *, settings: Settings) -> Outcome[Settings]:
    """Write the settings that differ from what is stored."""
    with collection.act(Act.CHANGE_SETTING) as act:
        for name, value in settings.stored().items():
            write_setting(act, name, value)
        act.tell(say("settings kept"))
    return act.outcome(Act.CHANGE_SETTING, settings)


def remember(collection: Collection, *, name: str, value: str) -> Outcome[str]:
    """Keep one named value that is no declared setting (a printer's offset, a table's columns)."""
    with collection.act(Act.CHANGE_SETTING) as act:
        write_setting(act, name, value)
        act.tell(say("{name} kept", name=name))
    return act.outcome(Act.CHANGE_SETTING, value)


def remembered(collection: Collection, name: str) -> str | None:
    """A value kept with `remember`."""
    row = collection.read_one("SELECT value FROM setting WHERE name = ?", (name,))
    return str(row[0]) if row else None


def write_setting(act: ActInHand, name: str, value: str) -> None:
    """The row of one setting, inside an act; nothing is written when it stands so already."""
    rows = act.rows("SELECT id, value FROM setting WHERE name = ?", (name,))
    if not rows:
        act.insert(Setting, name=name, value=value)
    elif rows[0][1] != value:
        act.update(Setting, int(rows[0][0]), value=value)


def save_view(collection: Collection, *, name: str, query: str, columns: str = "", sort: str = "") -> Outcome[int]:
    """Keep a filter with its columns and order under a name; the same name is replaced."""
    with collection.act(Act.SAVE_VIEW) as act:
        rows = act.rows("SELECT id FROM saved_view WHERE name = ?", (name,))
        if rows:
            row = int(rows[0][0])
            act.update(SavedView, row, query=query, columns=columns, sort=sort)
        else:
            row = act.insert(SavedView, name=name, query=query, columns=columns, sort=sort)
        act.tell(say("view {name} saved", name=name))
    return act.outcome(Act.SAVE_VIEW, row)


def remove_view(collection: Collection, *, name: str) -> Outcome[int]:
    """Take a kept view away; its animals are untouched."""
    with collection.act(Act.REMOVE_VIEW) as act:
        rows = act.rows("SELECT id FROM saved_view WHERE name = ?", (name,))
        if not rows:
            raise Refusal(say("There is no view {name}.", name=name))
        act.delete(SavedView, rows[0][0])
        act.tell(say("view {name} taken away", name=name))
    return act.outcome(Act.REMOVE_VIEW, int(rows[0][0]))
