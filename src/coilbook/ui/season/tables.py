"""The plans beside what happened and the close of a season as rows of words, and what the margin says of a row."""

from __future__ import annotations

from coilbook.husbandry.figures import Event
from coilbook.reads.season_close import CloseRow
from coilbook.reads.season_close_file import treated_words
from coilbook.reads.season_lines import PlanRow, SeasonPage
from coilbook.records.ids import AnimalId
from coilbook.records.season_vocabulary import PlanState
from coilbook.ui.margin_content import Fact, MarginContent, MarginSection
from coilbook.ui.parts.table import CellLook
from coilbook.wording.language import translated, translated_form
from coilbook.wording.style import Style
from coilbook.wording.texts import render, words

PLAN_HEADS = ("Female", "Male", "If he cannot", "Meant for", "Target", "Stands", "What happened")
PLAN_SHARES = (0.09, 0.09, 0.1, 0.11, 0.2, 0.125)
CLOSE_HEADS = ("Female", "Clutch", "Laid", "Eggs", "Ever good", "Hatched, 90% range", "Days", "Weight", "Recovered")
CLOSE_SHARES = (0.08, 0.08, 0.08, 0.05, 0.09, 0.205, 0.125, 0.135)
CLOSE_RIGHT = (3, 4)
#: weights before and after are whole in the margin
CLOSE_YIELDS = {7: 860}
_DAYS = (Event.SHED, Event.LAYING, Event.PIP)


def stopped(page: SeasonPage, style: Style) -> dict[AnimalId, str]:
    """What speaks against more of a male, by male."""
    return {m.id: render(m.load.cautions[0], style) for m in page.males if m.load.cautions}


def plan_cells(plan: PlanRow, style: Style, against: dict[AnimalId, str]) -> tuple[CellLook, ...]:
    """One plan; an open one whose male should not be used is flagged, with who stands in."""
    quiet = "second" if plan.state is PlanState.DROPPED else "ink"
    day = style.date(plan.day, year=False) if plan.day is not None else translated("some time")
    shape = {PlanState.OPEN: "todo", PlanState.DONE: "tick", PlanState.DROPPED: "dash"}[plan.state]
    return (
        CellLook(plan.female_name, bold=True, token=quiet),
        CellLook(plan.male_name, token=quiet),
        CellLook(plan.backup_name, token="second"),
        CellLook(day, token=quiet),
        CellLook(plan.target, token=quiet),
        CellLook(words(plan.state), token=quiet, shape=shape),
        _came_of(plan, style, against, quiet),
    )


def _came_of(plan: PlanRow, style: Style, against: dict[AnimalId, str], quiet: str) -> CellLook:
    caution = against.get(plan.male, "") if plan.state is PlanState.OPEN else ""
    if not caution:
        return CellLook(happened(plan, style), token=quiet)
    return CellLook(flagged(plan, caution), token="clay", shape="triangle")


def flagged(plan: PlanRow, caution: str) -> str:
    """Why a plan should not go ahead as it is, and who stands in."""
    text = translated("{male}: {why}").format(male=plan.male_name, why=caution)
    if plan.backup_name:
        text += " " + translated("Stands in: {backup}.").format(backup=plan.backup_name)
    return text


def happened(plan: PlanRow, style: Style) -> str:
    """What came of a plan."""
    if not plan.stays or plan.first is None:
        return plan.reason if plan.state is PlanState.DROPPED else translated("not together yet")
    if plan.state is PlanState.OPEN:
        # a stay after the plan was made would have done it
        text = translated_form(
            "to come; {n} stay before it, {day}", "to come; {n} stays before it, from {day}", plan.stays
        )
    else:
        text = translated_form("{n} stay since {day}", "{n} stays since {day}", plan.stays)
    text = text.format(n=plan.stays, day=style.date(plan.first, year=False))
    return translated("{text}, with {backup}").format(text=text, backup=plan.backup_name) if plan.by_backup else text


def plan_margin(plan: PlanRow | None, style: Style, against: dict[AnimalId, str]) -> MarginContent:
    """Why a plan stands as it does."""
    heading = translated("Why, for the plan in focus")
    if plan is None:
        why = translated("Plan who goes with whom, with a target and a reason; the season shows what came of it.")
        return MarginContent(heading=heading, verdict=translated("Nothing is planned"), why=why)
    rows = [Fact(translated("Stands"), words(plan.state)), Fact(translated("Stays this season"), str(plan.stays))]
    if plan.day is not None:
        rows.append(Fact(translated("Meant for"), style.date(plan.day)))
    if plan.backup_name:
        rows.append(Fact(translated("If he cannot"), plan.backup_name))
    caution = against.get(plan.male, "") if plan.state is PlanState.OPEN else ""
    return MarginContent(
        heading=heading,
        verdict=f"{plan.male_name} \u00d7 {plan.female_name}",
        needs_you=bool(caution),
        why=flagged(plan, caution) if caution else happened(plan, style),
        facts=tuple(rows),
        sections=(MarginSection(translated("Target and reason"), (), f"{plan.target} {plan.reason}".strip()),)
        if plan.target or plan.reason
        else (),
        rests_on=translated("A plan is done by the first stay of the two, or of her with the male who stands in."),
    )


def close_cells(row: CloseRow, style: Style) -> tuple[CellLook, ...]:
    """One clutch, or one season without eggs."""
    result, days = row.result, dict(row.days)
    return (
        CellLook(row.keeper_id or translated("not known"), bold=True),
        CellLook(row.label),
        CellLook(style.date(row.laid, year=False) if row.laid is not None else "", token="ink"),
        CellLook("" if result is None else str(result.laid), right=True),
        CellLook("" if result is None else str(result.ever_good), right=True),
        CellLook(hatched_words(row, short=True) or no_eggs(row), token="ink" if result is not None else "second"),
        CellLook(" + ".join(str(days[event]) if event in days else "\u2013" for event in _DAYS) if days else ""),
        CellLook(_weights(row, style), token="second"),
        CellLook(style.date(row.recovered, year=False) if row.recovered is not None else _not_yet(row), token="second"),
    )


def hatched_words(row: CloseRow, *, short: bool = False) -> str:
    """ "6 of 7, 86%; 90% range 55-97%", never a bare share; `short` where the head says which range."""
    result = row.result
    if result is None:
        return ""
    doubtful = translated("; {n} doubtful apart").format(n=result.unresolved) if result.unresolved else ""
    span = result.range()
    if span is None:
        if not result.ever_good:
            return translated("none judged good") + doubtful
        return (
            translated("{n} of {good}, {open} to come").format(
                n=result.hatched, good=result.ever_good, open=result.still_open
            )
            + doubtful
        )
    share = 100 * result.hatched / result.ever_good
    long = translated("{n} of {good}, {share:.0f}%; 90% range {low:.0f}\u2013{high:.0f}%")
    told = translated("{n} of {good}, {share:.0f}%; {low:.0f}\u2013{high:.0f}%") if short else long
    return (
        told.format(n=result.hatched, good=result.ever_good, share=share, low=100 * span[0], high=100 * span[1])
        + doubtful
    )


def no_eggs(row: CloseRow) -> str:
    """Why there is no clutch, as far as it was said."""
    return words(row.outcome) if row.outcome is not None else translated("no clutch on record")


def _weights(row: CloseRow, style: Style) -> str:
    found = [style.mass(dg) if dg is not None else "\u2013" for dg in (row.before_dg, row.after_dg)]
    return " \u2192 ".join(found) if row.laid is not None and (row.before_dg or row.after_dg) else ""


def _not_yet(row: CloseRow) -> str:
    if row.laid is None:
        return ""
    if row.now_permille is None:
        return translated("not weighed since")
    return translated("not yet, {change:+.0f}%").format(change=row.now_permille / 10)


def close_margin(row: CloseRow | None, style: Style) -> MarginContent:
    """A row of the close, told."""
    heading = translated("Why, for the season in focus")
    if row is None:
        return MarginContent(heading=heading, verdict=translated("Nothing to close"))
    told = " ".join(render(m, style) for m in row.result.told()) if row.result is not None else ""
    facts = [Fact(translated("Stays"), str(row.stays))]
    for name, dg in (("When the season began", row.start_dg), ("Before laying", row.before_dg),
                     ("After laying", row.after_dg)):  # fmt: skip
        facts.append(Fact(translated(name), style.mass(dg) if dg is not None else translated("not weighed")))
    done = " ".join(f"{treated_words(one)}." for one in row.done)
    sections = (MarginSection(translated("Done to eggs, and what came of it"), (), done),) if done else ()
    return MarginContent(
        heading=heading,
        whose=row.keeper_id,
        verdict=hatched_words(row) or no_eggs(row),
        why=told,
        facts=tuple(facts),
        sections=sections,
        rests_on=translated(
            "Range: Wilson's interval at 90%, of eggs ever judged good. Days: ovulation to shed, to laying, to pip."
        ),
    )
