"""A power cut: the write-ahead log ends, or is torn, anywhere at or after the last acknowledged commit."""

from __future__ import annotations

import os
import random
import struct
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from coilbook.storage import check
from coilbook.storage.collection import Collection
from coilbook.storage.layout import FILE_NAME, beside
from tests.storage.workload import TestClock, add_animal, bring_in, in_memory, weigh

CUTS = 520
HEADER, FRAME_HEADER = 32, 24
SECTOR = 512


@dataclass(frozen=True)
class Disk:
    """What lies on the disk at one moment, and what a program had been told is done."""

    database: bytes
    log: bytes
    acknowledged: frozenset[str]


def committed_bytes(log: bytes) -> int:
    """Where the last committed frame of the present run of the log ends (sqlite.org/fileformat2, 4: the WAL format)."""
    if len(log) < HEADER:
        return 0
    page_size = struct.unpack(">I", log[8:12])[0]
    salts, end, at = log[16:24], HEADER, HEADER
    while at + FRAME_HEADER + page_size <= len(log) and log[at + 8 : at + 16] == salts:
        at += FRAME_HEADER + page_size
        if struct.unpack(">I", log[at - page_size - FRAME_HEADER + 4 :][:4])[0]:
            end = at
    return end


def same_run(one: bytes, other: bytes) -> bool:
    """True when the log was not begun anew in between."""
    return one[16:24] == other[16:24]


def look(folder: Path, acknowledged: set[str]) -> Disk:
    """The files as they are: what SQLite has written, whether forced to the disk or not."""
    log = beside(folder / FILE_NAME)[0]
    return Disk((folder / FILE_NAME).read_bytes(), log.read_bytes() if log.exists() else b"", frozenset(acknowledged))


def tear(before: Disk, after: Disk, chance: random.Random) -> tuple[bytes, str]:
    """The log as a power cut may leave it: all that was acknowledged, then a random part of what was being written.

    A disk writes its sectors in any order, so besides a plain end the rest may be there in part, or be rubbish.
    """
    kept = committed_bytes(before.log) if same_run(before.log, after.log) else 0
    full = committed_bytes(after.log)
    at = chance.randint(kept, max(kept, full))
    how = chance.choice(["cut", "rubbish", "zeros", "sectors", "flipped", "after"])
    if how == "after":
        return after.log[:full] + chance.randbytes(chance.randrange(9000)), how
    tail = bytearray(after.log[at:full])
    if how == "cut":
        return after.log[:at], how
    if how == "rubbish":
        return after.log[:at] + chance.randbytes(len(tail)), how
    if how == "zeros":
        return after.log[:at] + bytes(len(tail)), how
    if how == "flipped" and tail:
        tail[chance.randrange(len(tail))] ^= 1 << chance.randrange(8)
        return after.log[:at] + bytes(tail), how
    # whole sectors that never reached the disk, each still as it was
    torn = bytearray(after.log[:full])
    old = before.log.ljust(full, b"\0")
    for start in range(kept - kept % SECTOR, full, SECTOR):
        if chance.random() < 0.3:
            first = max(start, kept)
            torn[first : start + SECTOR] = old[first : start + SECTOR]
    return bytes(torn[:full]), how


def tokens(collection: Collection) -> set[str]:
    found = {str(x) for (x,) in collection.read("SELECT typed FROM weight WHERE typed <> ''")}
    return found | {str(x) for (x,) in collection.read("SELECT sha256 FROM import_batch")}


@pytest.fixture
def quick() -> Iterator[Path]:
    """A place in memory where there is one: the power cut is made by the test, no disk has to be waited for."""
    with tempfile.TemporaryDirectory(dir=in_memory()) as place:
        yield Path(place)


def test_cut_or_torn_five_hundred_times_and_nothing_acknowledged_is_lost(quick: Path) -> None:
    chance = random.Random(20260329)
    folder, crashed = quick / "book", quick / "crashed"
    crashed.mkdir()
    clock = TestClock()
    hows: dict[str, int] = {}
    lost_in_hand = restarts = 0
    with Collection.create(folder, clock) as collection:
        with collection.writing() as db:
            assert db.execute_sql("PRAGMA synchronous").fetchone() == (2,), "FULL: every commit waits for the disk"
        # a short log, so that it is begun anew often
        collection._writer.connection().execute("PRAGMA wal_autocheckpoint = 80")
        animal = add_animal(collection)
        done: set[str] = set()
        before = look(folder, done)
        for number in range(CUTS):
            token = f"t{number}"
            if number % 10 == 9:
                bring_in(collection, token, 8)
            else:
                weigh(collection, animal, token)
            done.add(token)
            after = look(folder, done)
            restarts += not same_run(before.log, after.log)
            log, how = tear(before, after, chance)
            hows[how] = hows.get(how, 0) + 1
            found = recovered(crashed, before.database, log)
            assert found in (set(before.acknowledged), set(after.acknowledged)), (number, how)
            lost_in_hand += found == before.acknowledged
            before = after
    assert sum(hows.values()) == CUTS >= 500
    assert set(hows) == {"cut", "rubbish", "zeros", "sectors", "flipped", "after"}
    assert restarts > 3, "the log was begun anew in between, as it is in life"
    assert CUTS // 2 < lost_in_hand < CUTS, "tears fall before the end of the act in hand and now and then after it"


def recovered(crashed: Path, database: bytes, log: bytes) -> set[str]:
    """Start the program on what the power cut left; what is there, with `check` clean."""
    (crashed / FILE_NAME).write_bytes(database)
    wal, shared = beside(crashed / FILE_NAME)
    wal.write_bytes(log)
    shared.unlink(missing_ok=True)
    with Collection.open(crashed, TestClock()) as collection:
        findings = check.check(collection).findings
        assert findings == (), [str(f) for f in findings]
        return tokens(collection)


def test_a_log_half_carried_over_is_no_damage(quick: Path) -> None:
    """A stop while the log is copied into the file: the file alone is malformed, with its log it is whole."""
    folder, crashed = quick / "book", quick / "crashed"
    crashed.mkdir()
    with Collection.create(folder, TestClock()) as collection:
        old = look(folder, set()).database
        collection._writer.connection().execute("PRAGMA wal_autocheckpoint = 0")
        animal = add_animal(collection)
        for number in range(6):
            bring_in(collection, f"t{number}", 300)
        weigh(collection, animal, "last")
        log = look(folder, set()).log
        collection._writer.connection().execute("PRAGMA wal_checkpoint(PASSIVE)").fetchall()
        new = look(folder, set()).database
        expected = tokens(collection)
    assert len(new) > len(old)
    for carried in range(0, len(new) // 4096, 7):
        half = new[: carried * 4096] + old[carried * 4096 :]
        assert recovered(crashed, half, log) == expected


def test_a_tear_before_the_last_commit_does_lose_acts(tmp_path: Path) -> None:
    """The test above can fail: without what was acknowledged in the log, acts are gone."""
    folder, crashed = tmp_path / "book", tmp_path / "crashed"
    crashed.mkdir()
    with Collection.create(folder, TestClock()) as collection:
        animal = add_animal(collection)
        weigh(collection, animal, "first")
        weigh(collection, animal, "second")
        disk = look(folder, {"first", "second"})
    end = committed_bytes(disk.log)
    assert recovered(crashed, disk.database, disk.log[:end]) == {"first", "second"}
    assert recovered(crashed, disk.database, disk.log[: end - 1]) == {"first"}
    assert os.listdir(crashed)
