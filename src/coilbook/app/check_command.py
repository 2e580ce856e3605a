"""`coilbook check`: reads a whole collection through and says in plain sentences what is wrong with it."""

from __future__ import annotations

import argparse

from coilbook.app.exit_codes import ExitCode
from coilbook.app.on_collection import add_collection_argument, answer, opened, worded
from coilbook.records.message import say


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Which collection."""
    add_collection_argument(parser)


def run(arguments: argparse.Namespace) -> int:
    """Check; 4 when something is wrong."""
    from coilbook.storage.check import check

    with opened(arguments) as collection:
        report = check(collection)
    findings = [worded(finding) for finding in report.findings]
    facts = report.facts
    counted = (
        say("{n} animal", "{n} animals", n=facts.get("animal", 0)),
        say("{n} act", "{n} acts", n=facts.get("acts", 0)),
        say("{n} photo", "{n} photos", n=facts.get("photo_files", 0)),
    )
    looked = f"Looked at {', '.join(map(worded, counted))}."
    verdict = "Nothing is wrong." if report.clean else worded(say("{n} finding.", "{n} findings.", n=len(findings)))
    answer(arguments, {"clean": report.clean, "findings": findings, "facts": report.facts}, *findings, looked, verdict)
    return ExitCode.OK if report.clean else ExitCode.CHECK_FAILED
