"""What the margin says of a row of the sheet under review."""

from __future__ import annotations

from coilbook.intake.columns import Meaning
from coilbook.intake.layout import STRUCTURE
from coilbook.intake.plan import ImportPlan
from coilbook.intake.planned import PlanRow
from coilbook.intake.tiers import Tier
from coilbook.ui.importing.words import FATE_WORDS, facts_of, meaning_word, sentence, tier_word
from coilbook.ui.margin_content import Fact, MarginContent, MarginSection
from coilbook.wording.language import translated
from coilbook.wording.style import Style


def margin_of(row: PlanRow, plan: ImportPlan, style: Style) -> MarginContent:
    """What a row becomes, cell by cell, and why it stands as it does."""
    sections = [MarginSection(translated("Becomes"), facts_of(plan.animals[index], style)) for index in row.animals[:3]]
    cells = tuple(_cell_facts(row, plan))
    if cells:
        sections.append(MarginSection(translated("Cell by cell"), cells))
    waits = [q for q in plan.questions if q.key in row.waits_for]
    why = [sentence(row.reason, style)] if row.reason else []
    why += [sentence(q.text, style) for q in waits]
    why += [sentence(warning, style) for warning in row.warnings]
    return MarginContent(
        heading=translated("Row {number}").format(number=row.number),
        whose=row.keeper_id,
        verdict=tier_word(row.tier, style),
        needs_you=row.tier in (Tier.QUESTION, Tier.REFUSED),
        why=" ".join(why),
        sections=tuple(sections),
        rests_on=translated("Read from the sheet; the keeper's answers outrank every guess."),
    )


def _cell_facts(row: PlanRow, plan: ImportPlan) -> list[Fact]:
    sheet = next((s for s in plan.sheets if s.name == row.sheet), None)
    if sheet is None or row.kind in STRUCTURE:
        return []
    facts = []
    for column in sheet.columns:
        if column.index < len(row.cells) and row.cells[column.index] and column.meaning is not Meaning.EMPTY:
            fate = translated(FATE_WORDS.get(row.fates[column.index], "")) or meaning_word(column.meaning)
            facts.append(Fact(f"{column.title}: {row.cells[column.index]}", fate))
    return facts[:24]
