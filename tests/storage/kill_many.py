"""Kills a writing program at random moments and opens what it left: `python -m tests.storage.kill_many --times 1000`.

A child works on a collection and says on a pipe what it begins and, after the commit, what is done. It is killed at a
random moment (SIGKILL: nothing can be tidied up). Then the collection is opened: everything acknowledged must be there,
at most the act in hand besides, and `check` must find nothing. The parent holds no connection while it forks.
"""

from __future__ import annotations

import argparse
import dataclasses
import hashlib
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from coilbook.derived import summary
from coilbook.operations.import_sheet import accept_import
from coilbook.records.backups import Backup, BackupReason
from coilbook.storage import backup, check, restore
from coilbook.storage.collection import Collection
from coilbook.storage.layout import FILE_NAME
from tests.storage.frozen.make_v1 import HERE, PICTURE
from tests.storage.sheet_import import plan_of, whole_imports, write_sheet
from tests.storage.workload import TestClock, add_animal, put_photo, weigh

IMPORTED_ROWS = 150
#: a collection is laid aside after so many kills, so that reading it through stays quick
KILLS_A_COLLECTION = 25


@dataclass
class Told:
    """What a child has said: tokens that must be there, tokens that may be, and what it was doing when it died."""

    done: set[str] = field(default_factory=set)
    begun: set[str] = field(default_factory=set)
    #: whole states, either of which may be there (a restore in hand); None: only the one above
    other: set[str] | None = None
    doing: str = "starting"


class Saying:
    """The child's end of the pipe: one write per line, so that a kill never cuts one in two."""

    def __init__(self, handle: int) -> None:
        self.handle = handle

    def __call__(self, *words: str) -> None:
        """Say one line."""
        os.write(self.handle, (" ".join(words) + "\n").encode())


def tokens_of(collection: Collection) -> set[str]:
    """Everything a child could acknowledge, as found: w weights of animal 1, p pictures, i whole imports."""
    found = {f"w:{x}" for (x,) in collection.read("SELECT typed FROM weight WHERE animal_id = 1")}
    found |= {f"p:{x}" for (x,) in collection.read("SELECT sha256 FROM photo")}
    whole, half = whole_imports(collection)
    found |= {f"i:{x}" for x in whole} | {f"half:{x}" for x in half}
    return found


def write_acts(collection: Collection, say: Saying, chance: random.Random) -> None:
    """Weights, one act each."""
    while True:
        token = f"{chance.getrandbits(60):x}"
        say("begin", "act", f"w:{token}")
        weigh(collection, 1, token)
        say("done", f"w:{token}")


def write_imports(collection: Collection, say: Saying, chance: random.Random) -> None:
    """Sheets read, planned and accepted, each in one act."""
    while True:
        file = write_sheet(collection.folder.parent, f"K{chance.getrandbits(40):x}", IMPORTED_ROWS)
        token = hashlib.sha256(file.read_bytes()).hexdigest()
        say("begin", "plan")
        plan = plan_of(collection, file)
        assert len(plan.animals) == IMPORTED_ROWS and not plan.open_questions
        say("begin", "import", f"i:{token}")
        accept_import(collection, plan=plan, file=file)
        say("done", f"i:{token}")
        file.unlink()


def write_photos(collection: Collection, say: Saying, chance: random.Random) -> None:
    """Pictures and their rows."""
    while True:
        content = chance.randbytes(200_000)
        token = hashlib.sha256(content).hexdigest()
        say("begin", "photo", f"p:{token}")
        put_photo(collection, 1, content)
        say("done", f"p:{token}")


def write_backups(collection: Collection, say: Saying, chance: random.Random) -> None:
    """An act, then a backup of it."""
    while True:
        token = f"{chance.getrandbits(60):x}"
        say("begin", "act", f"w:{token}")
        weigh(collection, 1, token)
        say("done", f"w:{token}")
        say("begin", "backup")
        made = backup.make(collection.folder, collection.clock(), BackupReason.HOURLY)
        say("kept", made.name)


def write_restores(collection: Collection, say: Saying, chance: random.Random) -> None:
    """A backup, an act, a restore; then the restore taken back."""
    while True:
        made = backup.make(collection.folder, collection.clock(), BackupReason.BY_HAND)
        say("marked")
        token = f"{chance.getrandbits(60):x}"
        say("begin", "act", f"w:{token}")
        weigh(collection, 1, token)
        say("done", f"w:{token}")
        say("begin", "restore")
        restore.restore(collection, made)
        say("swapped")
        (act,) = collection.read("SELECT max(act) FROM restored")[0]
        say("begin", "restore")
        restore.undo_restore(collection, act)
        say("swapped")


Work = Callable[[Collection, Saying, random.Random], None]
WORK: dict[str, Work] = {
    "acts": write_acts,
    "imports": write_imports,
    "photos": write_photos,
    "backups": write_backups,
    "restores": write_restores,
}
#: about how long one round of each takes here, in seconds: kills fall between nothing and a bit more than that
SPAN = {"acts": 0.25, "imports": 0.3, "photos": 0.25, "backups": 0.4, "restores": 1.2, "migrations": 0.08}


def child(kind: str, folder: Path, handle: int, seed: int) -> None:
    """Work until killed."""
    say = Saying(handle)
    if kind == "migrations":
        say("begin", "migration")
        Collection.open(folder, TestClock())
        say("migrated")
        signal.pause()
    collection = Collection.open(folder, TestClock())
    summary.attach(collection)
    say("ready")
    WORK[kind](collection, say, random.Random(seed))


def run_and_kill(kind: str, folder: Path, told: Told, chance: random.Random) -> None:
    """Start a child, kill it at a random moment, read what it had said."""
    reading, writing = os.pipe()
    seed = chance.getrandbits(32)
    pid = os.fork()
    if pid == 0:
        os.close(reading)
        try:
            child(kind, folder, writing, seed)
        except BaseException as error:
            Saying(writing)("failed", f"{type(error).__name__}: {error}")
        os._exit(1)
    os.close(writing)
    with os.fdopen(reading, encoding="utf-8") as lines:
        said = [lines.readline()]
        time.sleep(chance.uniform(0, SPAN[kind]))
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
        said += lines.readlines()
    marked: set[str] | None = None
    for line in said:
        marked = _hear(line.split(), told, marked)


def _hear(words: list[str], told: Told, marked: set[str] | None) -> set[str] | None:
    """Take one line of a child in; returns the state a restore would bring back."""
    match words:
        case ["failed", *why]:
            raise AssertionError("the child failed by itself: " + " ".join(why))
        case ["begin", what, *tokens]:
            told.doing = what
            told.begun = set(tokens)
            told.other = marked if what == "restore" else None
        case ["done", token]:
            told.done.add(token)
            told.doing = "between"
        case ["marked"]:
            marked = set(told.done)
            told.doing = "between"
        case ["swapped"]:
            assert marked is not None
            told.done, marked = marked, set(told.done)
            told.other = None
            told.doing = "between"
        case ["kept" | "migrated", *_]:
            told.doing = "between"
        case ["ready"]:
            told.doing = "between"
    return marked


def judge(kind: str, folder: Path, told: Told) -> set[str]:
    """Open what is left and compare it with what was acknowledged; returns what is there."""
    with Collection.open(folder, TestClock()) as collection:
        findings = check.check(collection).findings
        assert findings == (), [str(f) for f in findings]
        found = tokens_of(collection)
        if kind == "migrations":
            names = collection.read("SELECT keeper_id, feeding_note FROM animal ORDER BY id")
            assert names == [("F-014", "takes mice too"), ("M-03", ""), ("J-22", "")], names
            counts = collection.read("SELECT (SELECT count(*) FROM change), (SELECT count(*) FROM act)")
            assert counts == [(31, 6)], counts
            return set()
    allowed = [told.done, told.done | told.begun]
    if told.other is not None:
        allowed.append(told.other)
    assert found in allowed, {"lost": sorted(told.done - found), "unasked": sorted(found - told.done - told.begun)}
    for kept in backup.listed(folder / "backups"):
        backup.verify(kept)
    return found


@dataclass
class Outcome:
    """How many kills, and what the killed program was doing."""

    kills: int = 0
    acknowledged: int = 0
    doing: Counter[str] = field(default_factory=Counter)


def rounds(kind: str, times: int, place: Path, chance: random.Random, outcome: Outcome) -> None:
    """Kill one kind of work so many times."""
    told = Told()
    folder = place / kind
    for number in range(times):
        if kind == "migrations" or number % KILLS_A_COLLECTION == 0:
            shutil.rmtree(folder, ignore_errors=True)
            _lay_out(kind, folder)
            told = Told()
        known = len(told.done)
        told = dataclasses.replace(told, begun=set(), other=None, doing="starting")
        run_and_kill(kind, folder, told, chance)
        outcome.kills += 1
        outcome.acknowledged += max(0, len(told.done) - known)
        outcome.doing[told.doing] += 1
        told.done = judge(kind, folder, told)
        _drop_old_backups(folder)


def _lay_out(kind: str, folder: Path) -> None:
    if kind == "migrations":
        import gzip

        from coilbook.storage.layout import PHOTOS, photo_place

        folder.mkdir()
        (folder / FILE_NAME).write_bytes(gzip.decompress((HERE / "v1.sqlite.gz").read_bytes()))
        picture = folder / PHOTOS / photo_place(hashlib.sha256(PICTURE).hexdigest(), "png")
        picture.parent.mkdir(parents=True)
        picture.write_bytes(PICTURE)
        return
    with Collection.create(folder, TestClock(), accept_folder=True) as collection:
        add_animal(collection)


def _drop_old_backups(folder: Path) -> None:
    """Keep the run quick: only the newest backups stay, and what kills left half made goes."""
    held: list[Backup] = backup.listed(folder / "backups")
    for old in held[2:]:
        shutil.rmtree(old.folder)
    for left in _left_over(folder):
        shutil.rmtree(left)


def _left_over(folder: Path) -> Iterator[Path]:
    yield from (folder / "backups").glob(".making-*")
    yield from folder.glob(".restoring-*")


def main() -> None:
    """Run and print what happened as one line of JSON; a broken promise is an AssertionError."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=200)
    parser.add_argument("--seed", type=int, default=random.SystemRandom().getrandbits(32))
    asked = parser.parse_args()
    kinds = [*WORK, "migrations"]
    chance = random.Random(asked.seed)
    result: dict[str, object] = {"seed": asked.seed}
    total = 0
    with tempfile.TemporaryDirectory(prefix="kills-") as place:
        for number, kind in enumerate(kinds):
            times = asked.times // len(kinds) + (number < asked.times % len(kinds))
            outcome = Outcome()
            try:
                rounds(kind, times, Path(place), chance, outcome)
            except AssertionError as error:
                print(f"seed {asked.seed}, {kind}, kill {outcome.kills}: {error}", file=sys.stderr)
                raise
            total += outcome.kills
            result[kind] = {"kills": outcome.kills, "acknowledged": outcome.acknowledged, "while": dict(outcome.doing)}
    result["kills"] = total
    print(json.dumps(result))


if __name__ == "__main__":
    main()
