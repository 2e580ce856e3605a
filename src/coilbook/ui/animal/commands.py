"""Everything that can be done on an animal's page, as commands."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from coilbook.reads.history import last_act_on
from coilbook.records.message import say
from coilbook.ui.animal.log_all import ALL_KINDS
from coilbook.ui.commands import Command
from coilbook.wording.language import translated

if TYPE_CHECKING:
    from coilbook.ui.screens.animal import AnimalScreen

#: entries of the timeline that odds rest on
ON_GENES = ("finding", "claim")


def log_command(screen: AnimalScreen) -> Command:
    """The main action. Its key is Enter on the page, which a shortcut of the window would take from every field."""
    return Command("animal.log", translated("Log something"), screen.log, "", lambda: _open(screen), "animal")


def animal_commands(screen: AnimalScreen) -> list[Command]:
    """The rest."""
    from coilbook.ui.animal.sheet import print_sheet

    def made(name: str, words: str, run: Callable[[], None], key: str = "", also: str = "") -> Command:
        return Command(f"animal.{name}", translated(words), run, key, lambda: _open(screen), "animal", also)

    def beside(name: str, words: str, by: int, key: str) -> Command:
        return Command(
            f"animal.{name}", translated(words), lambda: screen.step(by), key, lambda: _may_step(screen), "animal"
        )

    lines = screen_lines(screen)
    return [
        made("card", "Cage card", screen.card, "Ctrl+L", "label print"),
        made("print", "Print the animal sheet", lambda: print_sheet(screen), "Ctrl+P", "pdf chart page"),
        made("tree", "Pedigree of this animal", screen.tree, "Ctrl+T", "family ancestors descendants"),
        made("history", "History of this animal", screen.history, "Ctrl+H"),
        made(
            "who_changed", "Who else changed by this entry", lambda: who_changed(screen), "Ctrl+E", "odds consequences"
        ),
        beside("previous", "Previous animal", -1, "PgUp"),
        beside("next", "Next animal", 1, "PgDown"),
        made("identify", "Identify it among what its parents can give", partial(_to, screen, "identify"), "Ctrl+U"),
        made("mates", "Rank its mates", partial(_to, screen, "outlook"), also="outlook pairing odds breed"),
        made("paste", "Paste a photo", lambda: screen.photos.paste(), "Ctrl+V"),
        made("photo", "Add a photo from a file", lambda: screen.photos.choose(), "Ctrl+I", "picture image"),
        made("first_photo", "Open the page with this photo", lambda: screen.photos.open_with(), also="cover picture"),
        made("delete", "Delete this mistaken record", screen.delete, also="remove take away entered twice"),
        made("fit", "Show the whole curve", lambda: screen.body.chart.fit(), "Ctrl+0"),
        *[made(name, words, run, key, also) for name, words, run, key, also in _beside_photo(screen)],
        *[
            made(f"log_{kind.name}", f"Log: {kind.words}", _logger(screen, kind.name), also="enter record")
            for kind in ALL_KINDS
        ],
        *[made(f"edit_{name}", words, run, also="edit change") for name, words, run in lines],
    ]


def _beside_photo(screen: AnimalScreen) -> list[tuple[str, str, Callable[[], None], str, str]]:
    """Ways into what stands beside the photo."""
    return [
        ("genes", "To the genes", lambda: screen.body.to_genes(), "Ctrl+G", "odds evidence paper"),
        ("finding", "Add a finding", lambda: screen.body.add_finding(), "Ctrl+Shift+F", "look test proven claim gene"),
        ("asks", "Answer what the label asks", lambda: screen.body.genes.asks.begin(), "Ctrl+Shift+A", "question word"),
        (
            "particulars",
            "To the particulars",
            lambda: screen.body.to_particulars(),
            "Ctrl+D",
            "name prey tags",
        ),
    ]


def screen_lines(screen: AnimalScreen) -> list[tuple[str, str, Callable[[], None]]]:
    """Lines that can be corrected, with the words of the command."""
    return [
        ("id", "Correct the id", lambda: screen.body.head.keeper_id.edit()),
        ("sex", "Correct the sex", lambda: screen.body.head.sex.edit()),
        ("genetics", "Correct the genetics", lambda: screen.body.head.genetics.edit()),
        ("hatched", "Correct the hatch date", lambda: screen.body.details.lines["hatched"].edit()),
        ("dam", "Name the dam", lambda: screen.body.details.lines["dam"].edit()),
        ("sires", "Name the sire", lambda: screen.body.details.lines["sires"].edit()),
        ("tags", "Change the tags", lambda: screen.body.details.lines["tags"].edit()),
        ("interval", "Change the feeding interval", lambda: screen.body.details.lines["interval"].edit()),
        ("prey", "Change the prey", lambda: screen.body.details.lines["prey"].edit()),
        ("claim", "Keep a claim about the genetics", lambda: screen.body.details.lines["claim"].edit()),
    ]


def _to(screen: AnimalScreen, key: str) -> None:
    """Open another screen at this animal."""
    if screen.page is not None:
        screen.desk.go(key, animal=screen.page.who.id)


def who_changed(screen: AnimalScreen) -> None:
    """Whose odds rest on the finding or claim in focus in the timeline."""
    entry = screen.body.timeline.entry
    act = last_act_on(screen.desk.collection, entry.table, entry.row) if entry is not None else None
    if entry is None or entry.table not in ON_GENES or act is None:
        screen.desk.notices.tell(say("Choose a finding or a claim in the timeline first."))
        return
    screen.desk.go("changed", act=act)


def _logger(screen: AnimalScreen, name: str) -> Callable[[], None]:
    return lambda: screen.log(name)


def _open(screen: AnimalScreen) -> bool:
    return screen.page is not None


def _may_step(screen: AnimalScreen) -> bool:
    """Not while something is being typed: PgDn must not carry it to another animal."""
    return screen.among.many and not screen.body.busy
