"""`coilbook demo`: builds the invented collection once, from a seed, and opens it.

The demo stands at the evening of its recipe: its clock starts there, so that the round of that night is at hand.
"""

from __future__ import annotations

import datetime as dt
import shutil
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from coilbook.app.demo_room.cast import Creature, gather
from coilbook.app.demo_room.deeds import Book, Deed, everyday
from coilbook.app.demo_room.eggs import Doing, past_clutches, this_season
from coilbook.app.demo_room.health import courses
from coilbook.app.demo_room.invented_gene import invented_gene
from coilbook.app.demo_room.life import live
from coilbook.app.demo_room.recipe import Recipe, load_recipe
from coilbook.app.demo_room.seasons import laying_sheds, seasons
from coilbook.app.demo_room.turns import comings_and_goings
from coilbook.derived import summary
from coilbook.operations.people import add_person
from coilbook.operations.places import add_rack, add_room
from coilbook.operations.settings import change_settings, save_view
from coilbook.records.ids import PersonId
from coilbook.records.message import Refusal, say
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import PersonRole
from coilbook.storage.collection import Clock, Collection
from coilbook.storage.layout import FILE_NAME

DEMO_FOLDER = "demo"
DEVICE = "desk"


class StageClock:
    """A clock that is set by hand; wall time of this machine's zone."""

    def __init__(self, now: dt.datetime) -> None:
        self.now = now

    def __call__(self) -> dt.datetime:
        return self.now.astimezone()


#: views the invented keeper has kept
_VIEWS = (("Big females", "female over 1500 g"), ("Fasting", "last meal over 30 days"))


def build_demo(folder: Path, *, recipe: Recipe | None = None) -> None:
    """Make the demo collection in `folder`, whole or not at all; the same recipe gives the same collection.

    Raises `Refusal` when something lies there already.
    """
    told = recipe or load_recipe()
    if folder.exists() and any(folder.iterdir()):
        raise Refusal(say("{folder} is not empty; the demo needs a folder of its own.", folder=folder.name))
    unfinished = folder.with_name(f"{folder.name}.unfinished")
    shutil.rmtree(unfinished, ignore_errors=True)
    clock = StageClock(dt.datetime.combine(told.start, dt.time(9)))
    with Collection.create(unfinished, clock, device=DEVICE) as collection:
        with collection.building():
            _write_story(collection, told, clock)
        summary.attach(collection)
    if folder.exists():
        folder.rmdir()
    unfinished.rename(folder)


def _write_story(collection: Collection, recipe: Recipe, clock: StageClock) -> None:
    creatures, sheds = gather(recipe), laying_sheds(recipe)
    for creature in creatures:
        creature.laying_sheds += sheds.get(creature.keeper_id, [])
    book = Book()
    _set_up(collection, recipe, creatures, book)
    for creature in creatures:
        book.animal(creature)
    lives = [live(recipe, creature) for creature in creatures if creature.place]
    deeds: list[Deed | Doing] = [*comings_and_goings(recipe, creatures, book, collection.folder)]
    deeds += [*everyday(recipe, lives, book), *past_clutches(recipe, creatures, book)]
    deeds += this_season(recipe, creatures, book)
    deeds += seasons(recipe, creatures, book)
    deeds += courses(recipe, creatures, book)
    deeds += invented_gene(recipe, creatures, book)
    people = {name: PersonId(row) for name, row in book.people.items()}
    for deed in sorted(deeds, key=lambda d: d.at):
        _write(collection, deed, clock, people)


def _write(collection: Collection, deed: Deed | Doing, clock: StageClock, people: dict[str, PersonId]) -> None:
    clock.now = deed.at
    collection.at_keyboard(people[deed.person], deed.person)
    if isinstance(deed, Doing):
        deed.do(collection)
        return
    with collection.act(deed.kind) as act:
        deed.write(act)
        act.tell(deed.told)


def _set_up(collection: Collection, recipe: Recipe, creatures: Sequence[Creature], book: Book) -> None:
    lines = recipe.lines
    change_settings(collection, settings=Settings(keeper_name=lines["keeper"], default_interval_days=10))
    roles = [(lines["keeper"], PersonRole.KEEPER), (lines["helper"], PersonRole.HELPER), (lines["vet"], PersonRole.VET)]
    roles += [(name, PersonRole.SELLER) for name in lines["sellers"]]
    roles += [(name, PersonRole.BUYER) for name in lines["buyers"]]
    for name, role in roles:
        book.people[name] = add_person(collection, name=name, role=role).value
        collection.at_keyboard(PersonId(book.people[lines["keeper"]]), lines["keeper"])
    room = add_room(collection, name="Snake room").value
    apart = add_room(collection, name="Quarantine", quarantine=True).value
    for rack in recipe.racks:
        stands_in = apart if rack.quarantine else room
        rows, apart_too = tuple(rack.rows), rack.quarantine
        add_rack(collection, name=rack.name, rows=rows, columns=rack.columns, room=stands_in, quarantine=apart_too)
    for name, query in _VIEWS:
        save_view(collection, name=name, query=query)
    book.places.update({str(label): int(row) for row, label in collection.read("SELECT id, label FROM place")})


def demo_clock(folder: Path, *, ticks: Callable[[], float] = time.monotonic) -> Clock:
    """A clock that goes on from the demo's evening, or from the newest act in it when that is later."""
    start = load_recipe().now
    with Collection.open(folder, lambda: start.astimezone()) as collection:
        newest = collection.read_one("SELECT max(at) FROM act")
    if newest is not None and newest[0] is not None:
        written = dt.datetime.fromisoformat(str(newest[0])).astimezone().replace(tzinfo=None)
        start = max(start, written + dt.timedelta(seconds=1))
    began = ticks()
    return lambda: (start + dt.timedelta(seconds=ticks() - began)).astimezone()


def demo_folder(folder: Path | None) -> Path:
    """Where the demo lies: the folder named, else one in the user's own data."""
    if folder is not None:
        return folder
    from platformdirs import user_data_path

    return user_data_path("coilbook", appauthor=False) / DEMO_FOLDER


def ready_demo(folder: Path | None = None, *, fresh: bool = False) -> Path:
    """The demo's folder, built if it is not there yet; `fresh` builds it anew and sets the old one aside.

    The collection that stood there before is renamed, never deleted; a folder that is no collection is refused.
    """
    place = demo_folder(folder)
    if (place / FILE_NAME).is_file():
        if not fresh:
            return place
        number = 1
        while (aside := place.with_name(f"{place.name}-before-{number}")).exists():
            number += 1
        place.rename(aside)
    place.parent.mkdir(parents=True, exist_ok=True)
    build_demo(place)
    return place
