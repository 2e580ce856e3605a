"""The command `coilbook`: finds the handler of a subcommand and imports only that, so that help and checks are quick.

A handler is a module with `add_arguments(parser)` and `run(arguments) -> int`.
"""

from __future__ import annotations

import argparse
import importlib
import importlib.util
import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass

from coilbook import __version__
from coilbook.app import paths
from coilbook.app.exit_codes import MEANINGS, ExitCode, Misuse
from coilbook.records.message import CoilbookError, StorageTrouble


@dataclass(frozen=True, slots=True)
class Subcommand:
    """A word after `coilbook`, the module that does it, and its line in the help."""

    name: str
    module: str
    summary: str


SUBCOMMANDS: tuple[Subcommand, ...] = (
    Subcommand("open", "coilbook.app.open_command", "open a collection in the window (what `coilbook` alone does)"),
    Subcommand("demo", "coilbook.app.demo_command", "open the invented collection of the keeper Wren"),
    Subcommand("import", "coilbook.app.import_command", "bring a spreadsheet or an exported book into a collection"),
    Subcommand("export", "coilbook.app.export_command", "write a collection as CSV, XLSX or JSON"),
    Subcommand("odds", "coilbook.app.odds_command", "what animals carry, the odds of a pair, or a case from a file"),
    Subcommand("genes", "coilbook.app.genes_command", "the genes in play, or who carries one of them"),
    Subcommand("calendar", "coilbook.app.calendar_command", "write what the season expects as an iCalendar file"),
    Subcommand("labels", "coilbook.app.labels_command", "write label sheets as PDF"),
    Subcommand("backup", "coilbook.app.backup_command", "make a verified backup with photos"),
    Subcommand("restore", "coilbook.app.restore_command", "bring a backup back; the present state is kept first"),
    Subcommand("check", "coilbook.app.check_command", "look a collection over and say what is wrong"),
    Subcommand("selftest", "coilbook.app.selftest_command", "try the installed program; --system looks at the machine"),
    Subcommand("tour", "coilbook.app.tour_command", "write a picture of every screen and every paper to a folder"),
    Subcommand("bench", "coilbook.app.bench_command", "measure speed and print goal and figure"),
)


def present() -> tuple[Subcommand, ...]:
    """The subcommands whose handler is part of this installation."""
    return tuple(one for one in SUBCOMMANDS if importlib.util.find_spec(one.module) is not None)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    words = list(sys.argv[1:] if argv is None else argv)
    if words and words[0] in ("-h", "--help"):
        print(overview())
        return ExitCode.OK
    if words and words[0] == "--version":
        print(f"coilbook {__version__}")
        return ExitCode.OK
    chosen = next((one for one in SUBCOMMANDS if words and one.name == words[0]), None)
    if chosen is None:
        if words and _means_nothing(words[0]):
            print(_no_such_command(words[0]), file=sys.stderr)
            return ExitCode.USAGE
        chosen = SUBCOMMANDS[0]
    else:
        words = words[1:]
    return _run(chosen, words)


def _means_nothing(word: str) -> bool:
    """True for a plain word that is no command, no path and no code: a slip that must not open the window."""
    from coilbook.labels.code import parse

    if not (word.isascii() and word.isalpha() and word.islower()) or os.path.exists(word):
        return False
    try:
        parse(word)
    except CoilbookError:
        return True
    return False


def _no_such_command(word: str) -> str:
    from difflib import get_close_matches

    near = get_close_matches(word, [one.name for one in present()], n=1)
    meant = f" Did you mean `coilbook {near[0]}`?" if near else ""
    return f"There is no command `{word}`.{meant} `coilbook --help` lists them all."


def overview() -> str:
    """The help of `coilbook` itself."""
    lines = ["usage: coilbook [command] ...", "", "The record book of a ball python breeder.", "", "commands:"]
    lines += [f"  {one.name:<10} {one.summary}" for one in present()]
    lines += ["", f"Without --collection the usual collection is meant: {paths.default_collection()}"]
    lines += ["", "`coilbook COMMAND --help` says more. Exit codes:"]
    lines += [f"  {code.value:>2}  {meaning}" for code, meaning in MEANINGS.items()]
    return "\n".join(lines)


def _run(command: Subcommand, words: list[str]) -> int:
    from coilbook.app.crash import install_hooks, note_bug, note_trouble

    install_hooks()
    try:
        handler = importlib.import_module(command.module)
        parser = argparse.ArgumentParser(prog=f"coilbook {command.name}", description=command.summary)
        handler.add_arguments(parser)
        arguments = parser.parse_args(words)
        done = int(handler.run(arguments))
        sys.stdout.flush()
        return done
    except BrokenPipeError:
        # who read our answer has had enough of it (`coilbook export --help | head`); Python must not try to flush again
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return ExitCode.OK
    except StorageTrouble as trouble:
        if trouble.kind != "absent":  # a slip of the command, not of the disk
            note_trouble(trouble)
        return _say(trouble, ExitCode.STORAGE)
    except Misuse as misuse:
        return _say(misuse, ExitCode.USAGE)
    except CoilbookError as refusal:
        return _say(refusal, ExitCode.REFUSED)
    except KeyboardInterrupt:
        print("Stopped.", file=sys.stderr)
        return ExitCode.REFUSED
    except Exception as error:
        print(note_bug(error), file=sys.stderr)
        return ExitCode.BUG


def _say(error: CoilbookError, code: ExitCode) -> int:
    from coilbook.wording.texts import render

    print(render(error.message), file=sys.stderr)
    return code
