"""The margin keeps what it built: the next explanation of the same outline only exchanges its words."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QWidget
from pytestqt.qtbot import QtBot

from coilbook.records.settings import Settings
from coilbook.ui.margin_body import BODIES_KEPT, MarginBody, MarginColumn
from coilbook.ui.margin_content import Evidence, Fact, MarginContent, MarginLink, MarginSection
from coilbook.ui.parts.text import IdLabel
from coilbook.ui.theme import Theme


@pytest.fixture
def theme(qapp: QApplication) -> Iterator[Theme]:
    made = Theme(Settings())
    made.apply()
    yield made
    made.deleteLater()


def nothing() -> None:
    pass


def about(name: str, *, facts: int = 2, long: bool = False, needs_you: bool = False) -> MarginContent:
    rows = tuple(Fact(f"{name} fact {n}" + " that goes on for long" * long, f"{n} g") for n in range(facts))
    return MarginContent(
        heading="Who it is",
        whose=name,
        verdict=f"{name} is well",
        needs_you=needs_you,
        why=f"why {name}",
        evidence=(Evidence("1 Mar", "dot", f"{name} seen", "right"), Evidence("", "", name, "")),
        facts=rows,
        sections=(MarginSection(f"{name} section", rows, f"{name} text"), MarginSection("bare", text=name)),
        rests_on=f"rests on {name}",
        links=(MarginLink(f"Open {name}", nothing), MarginLink("History", nothing)),
    )


CONTENTS = (
    about("F-001"),
    about("F-002"),
    about("F-003", facts=4),
    about("F-004", long=True),
    about("F-005", needs_you=True),
    MarginContent(),
    MarginContent(heading="Only a head"),
    about("F-006"),
    about("F-007", facts=0),
    MarginContent(why="only why"),
    about("F-008", facts=4),
)


def read(column: MarginColumn) -> list[str]:
    """What can be seen, in the order of the widgets."""
    found: list[str] = []
    for widget in column.findChildren(QWidget):
        if widget.isVisibleTo(column):
            if isinstance(widget, (QLabel, QAbstractButton)):
                found.append(widget.text())
            elif isinstance(widget, IdLabel):
                found.append(widget.accessibleName())
    return found


def bodies(column: MarginColumn) -> list[MarginBody]:
    return [body for body in column.findChildren(MarginBody) if body.isVisibleTo(column)]


def fresh(qtbot: QtBot, theme: Theme, content: MarginContent) -> list[str]:
    column = MarginColumn(theme)
    qtbot.addWidget(column)
    column.show_content(content)
    return read(column)


def test_a_kept_body_reads_as_one_built_anew(qtbot: QtBot, theme: Theme) -> None:
    column = MarginColumn(theme)
    qtbot.addWidget(column)
    for content in (*CONTENTS, *reversed(CONTENTS)):
        column.show_content(content)
        assert read(column) == fresh(qtbot, theme, content)
        assert len(bodies(column)) == 1


def test_the_same_outline_keeps_its_body_until_sizes_or_colours_change(qtbot: QtBot, theme: Theme) -> None:
    column = MarginColumn(theme)
    qtbot.addWidget(column)
    column.show_content(CONTENTS[0])
    (first,) = bodies(column)
    column.show_content(CONTENTS[2])
    column.show_content(CONTENTS[1])
    assert bodies(column) == [first]
    theme.changed.emit()
    column.show_content(CONTENTS[0])
    assert bodies(column) != [first]
    assert read(column) == fresh(qtbot, theme, CONTENTS[0])


def test_links_lead_where_the_explanation_in_view_says(qtbot: QtBot, theme: Theme) -> None:
    column = MarginColumn(theme)
    qtbot.addWidget(column)
    followed: list[str] = []
    for name in ("F-001", "F-002"):
        column.show_content(MarginContent(links=(MarginLink(name, lambda name=name: followed.append(name)),)))  # type: ignore[misc]
        column.findChildren(QAbstractButton)[0].click()
    assert followed == ["F-001", "F-002"]


def test_a_chart_is_drawn_anew_each_time_and_few_bodies_are_kept(qtbot: QtBot, theme: Theme) -> None:
    column = MarginColumn(theme)
    qtbot.addWidget(column)
    drawn: list[QWidget] = []

    def chart() -> QWidget:
        drawn.append(QWidget())
        return drawn[-1]

    charted = MarginContent(why="drawn", chart=chart, chart_note="note")
    for _ in range(3):
        column.show_content(charted)
        assert sorted(read(column)) == ["drawn", "note"]
    assert len(drawn) == 3
    for facts in range(3 * BODIES_KEPT):
        column.show_content(about("F-001", facts=facts))
    qtbot.wait(1)
    assert len(column.findChildren(MarginBody)) <= BODIES_KEPT + 1
