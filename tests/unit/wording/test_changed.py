"""What happened to a row, for the margin of History: words, never what the program keeps for itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from coilbook.records.settings import Settings
from coilbook.wording.changed import changed_line
from coilbook.wording.style import Style


@dataclass
class _Row:
    table: str
    op: str
    differences: Mapping[str, tuple[object, object]] = field(default_factory=dict)


STYLE = Style(Settings())


def test_the_report_of_an_import_is_not_spelled_out() -> None:
    row = _Row("import_batch", "D", {"file_name": ("one.csv", None), "report": ('{"counts": {"rows": 1}}', None)})
    assert changed_line(row, STYLE) == ("import", "taken out: one.csv")


def test_a_long_text_stands_in_one_line_and_ends_somewhere() -> None:
    name, told = changed_line(_Row("note", "I", {"text": (None, "a word\n" * 200)}), STYLE)
    assert name == "note" and "\n" not in told
    assert told.startswith("a word a word") and told.endswith("…") and len(told) < 200


def test_an_animal_is_named_by_its_id() -> None:
    row = _Row("animal", "D", {"id": (7, None), "keeper_id": ("F-014", None), "dam_id": (3, None), "sex": ("F", None)})
    assert changed_line(row, STYLE)[1].startswith("taken out: ") and "F-014" in changed_line(row, STYLE)[1]
