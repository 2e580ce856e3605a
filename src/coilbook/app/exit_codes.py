"""The exit codes of every command, in one table."""

from __future__ import annotations

from enum import IntEnum

from coilbook.records.message import Refusal


class ExitCode(IntEnum):
    """What a command leaves behind for a script to read."""

    OK = 0
    #: not done, and the sentence says what to mend
    REFUSED = 1
    #: the command was not written as its help says
    USAGE = 2
    #: the disk, a lock, or a foreign, newer or damaged collection; the data is as it was
    STORAGE = 3
    #: a check ran and found something wrong
    CHECK_FAILED = 4
    #: an error of the program itself; the log has it
    BUG = 70


class Misuse(Refusal):
    """A command that was not written as its help says, where only reading it on shows that."""


MEANINGS: dict[ExitCode, str] = {
    ExitCode.OK: "done",
    ExitCode.REFUSED: "not done; the sentence says what to mend",
    ExitCode.USAGE: "the command was not written as its help says",
    ExitCode.STORAGE: "trouble with the disk or the collection; the data is as it was",
    ExitCode.CHECK_FAILED: "a check found something wrong",
    ExitCode.BUG: "an error of the program; the log has it",
}
