"""What the margin says of the box, the clutch and the egg in focus."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial

from PySide6.QtWidgets import QWidget

from coilbook.husbandry.figures import FigureKey
from coilbook.husbandry.forecast import LEVELS, SHOWN
from coilbook.husbandry.hatch_result import hatch_result
from coilbook.husbandry.outage import ClutchAfter
from coilbook.husbandry.profile import Profile
from coilbook.reads.box_water import WaterView
from coilbook.reads.egg_rows import BoxNowRow, ClutchNow
from coilbook.reads.egg_words import day_of_eggs
from coilbook.reads.laying_balance import laying_balance
from coilbook.reads.outages import DAYS_BACK, heat_story_of, story_of, worst_heat
from coilbook.records.egg_vocabulary import Medium
from coilbook.ui.desk import Desk
from coilbook.ui.eggs.at import AtHand
from coilbook.ui.eggs.egg_margin import egg_sections
from coilbook.ui.eggs.photo_view import PhotoView
from coilbook.ui.margin_content import Evidence, Fact, MarginContent, MarginSection
from coilbook.ui.sire_words import sire_sections
from coilbook.wording.chances import percent
from coilbook.wording.language import translated
from coilbook.wording.texts import words


def egg_margin(desk: Desk, at: AtHand) -> MarginContent:
    """Why, for the box in focus: its water first, then its hatching, then how eggs are drawn."""
    if at.box is None and at.clutch is not None:
        return MarginContent(
            heading=translated("Why, for the clutch in focus"),
            whose=at.clutch.label,
            verdict=translated("With her dam"),
            why=translated(
                "She covers the eggs and keeps their water in. A ball python warms them by no more than a few tenths "
                "of a degree, so the room's warmth counts (published: Ellis & Chappell 1987, J. Comp. Physiol. B "
                "157:393)."
            ),
            sections=(*egg_sections(desk, at), *_clutch_sections(desk, at), _drawn(), _cautions(at.now.profile)),
            strip=at.clutch.label,
        )
    if at.box is None:
        return MarginContent(
            heading=translated("Eggs"),
            verdict=translated("A box for every clutch"),
            why=translated("A clutch is entered in one form; every egg keeps its number for ever."),
        )
    water = at.now.water(at.box)
    verdict, why = _verdict(desk, water)
    sections = [*egg_sections(desk, at), *_water_sections(desk, at.box, water), *_clutch_sections(desk, at)]
    sections += [*_heat_sections(desk, at), *_outage_sections(desk, at), _drawn(), _cautions(at.now.profile)]
    return MarginContent(
        heading=translated("Why, for the box in focus"),
        whose=at.box.label,
        about=", ".join(clutch.label for clutch in at.box.clutches),
        verdict=verdict,
        needs_you=bool(water is not None and water.pour_dg),
        why=why,
        chart=_photo(desk, at),
        chart_note=_photo_note(desk, at),
        sections=tuple(sections),
        strip=f"{at.box.label}. {verdict}",
    )


def _photo(desk: Desk, at: AtHand) -> Callable[[], QWidget] | None:
    photo = at.newest_photo
    return partial(PhotoView, desk, photo) if photo is not None else None


def _photo_note(desk: Desk, at: AtHand) -> str:
    photo = at.newest_photo
    return " ".join(part for part in (desk.style.moment(photo.at), photo.caption) if part) if photo is not None else ""


def _verdict(desk: Desk, water: WaterView | None) -> tuple[str, str]:
    if water is None:
        return translated("Not weighed since it was set up"), translated("A look with its weight tells the water lost.")
    told = [desk.render(message) for message in water.top_up.told]
    lighter = water.start_dg - water.now_dg
    if water.pour_dg and water.taken and lighter > water.pour_dg:
        pour, whole = desk.style.mass(water.pour_dg), desk.style.mass(lighter)
        why = translated(
            "The box is {whole} lighter than at the start, but only {lost} of it is water that left: the rest was "
            "taken out."
        ).format(whole=whole, lost=desk.style.mass(water.balance.lost_dg or 0))
        return translated("{pour}, not {whole}").format(pour=pour, whole=whole), " ".join([why, *told])
    if water.pour_dg:
        return translated("Pour {mass}").format(mass=desk.style.mass(water.pour_dg)), " ".join(told)
    return translated("Nothing to pour"), " ".join(told)


def _water_sections(desk: Desk, box: BoxNowRow, water: WaterView | None) -> list[MarginSection]:
    sections = []
    if water is not None:
        told = " ".join(desk.render(message) for message in water.balance.told)
        sections.append(MarginSection(translated("The other reading"), text=told))
    facts = [Fact(translated("Medium"), words(box.medium))]
    if box.medium is not Medium.GRID and box.dry_dg and box.water_dg:
        ratio = f"1 : {box.water_dg / box.dry_dg:.2f}".rstrip("0").rstrip(".")
        facts.append(Fact(translated("Medium to water, by weight"), ratio))
    facts.append(Fact(translated("Set up"), desk.style.date(box.set_up, year=False)))
    if box.start_dg is not None:
        facts.append(Fact(translated("Then, {lid}").format(lid=words(box.lid)), desk.style.mass(box.start_dg)))
    place = ", ".join(part for part in (box.incubator_name, _shelf(box)) if part)
    facts += [Fact(translated("Stands in"), place)] if place else []
    sections.append(MarginSection(translated("The box"), tuple(facts)))
    return sections


def _shelf(box: BoxNowRow) -> str:
    return translated("shelf {n}").format(n=box.shelf) if box.shelf is not None else ""


def _clutch_sections(desk: Desk, at: AtHand) -> list[MarginSection]:
    clutch = at.clutch
    if clutch is None:
        return []
    result = hatch_result([egg.story for egg in clutch.eggs])
    told = " ".join(desk.render(message) for message in result.told())
    sections = [MarginSection(clutch.label, text=told), _day_section(desk, at, clutch)]
    odds = at.now.sires.get(clutch.id)
    if odds is not None:
        sections += sire_sections(odds, desk.style)
    window = at.now.windows.get(clutch.id)
    if window is not None and window.forecast is not None:
        sections.append(_window_section(desk, at, clutch))
    sections.append(MarginSection(translated("Her mass balance"), text=_balance(desk, at.now.profile, clutch)))
    return sections


def _day_section(desk: Desk, at: AtHand, clutch: ClutchNow) -> MarginSection:
    day = day_of_eggs(clutch, at.now.windows, at.now.today, at.now.profile)
    told = [desk.render(day.look_for)] if day.look_for is not None else []
    told += [desk.render(message) for message in day.notes]
    doubt = f" \u00b1 {day.give_or_take}" if day.give_or_take else ""
    return MarginSection(translated("Day {n}").format(n=f"{day.day}{doubt}"), text=" ".join(told))


def _heat_sections(desk: Desk, at: AtHand) -> list[MarginSection]:
    """The time to tell at which the incubator this box stands in was too warm, as a story."""
    warm = [one for one in at.now.heats if at.box is not None and one.incubator == at.box.incubator]
    seen = worst_heat(warm)
    if seen is None:
        return []
    story = heat_story_of(seen, at.now.boxes, at.now.windows, at.now.profile)
    rows = _clutches_after(desk, story.clutches)
    told = [desk.render(message) for message in story.told]
    if len(warm) > 1:
        often = translated("Too warm {n} times in {days} days; this one is told.")
        told.insert(0, often.format(n=len(warm), days=DAYS_BACK))
    return [MarginSection(translated("The heat in {name}").format(name=seen.name), rows, " ".join(told))]


def _outage_sections(desk: Desk, at: AtHand) -> list[MarginSection]:
    """The last outage of the incubator this box stands in, as a story, with what it means for each clutch."""
    seen = next((o for o in at.now.outages if at.box is not None and o.incubator == at.box.incubator), None)
    if seen is None:
        return []
    story = story_of(seen, at.now.boxes, at.now.windows, at.now.profile)
    rows = _clutches_after(desk, story.clutches)
    told = " ".join(desk.render(message) for message in story.told)
    return [MarginSection(translated("The outage of {name}").format(name=seen.name), rows, told)]


def _clutches_after(desk: Desk, clutches: Iterable[ClutchAfter]) -> tuple[Evidence, ...]:
    """What heat or cold means for each clutch; a triangle where pips are to be looked for."""
    return tuple(
        Evidence(shape="triangle" if clutch.look_for_pips else "dot", word=desk.render(clutch.told))
        for clutch in clutches
    )


def _window_section(desk: Desk, at: AtHand, clutch: ClutchNow) -> MarginSection:
    forecast = at.now.windows[clutch.id].forecast
    assert forecast is not None
    rows = []
    for level in LEVELS:
        window = forecast.window(level)
        if window is not None:
            days = f"{desk.style.date(window.first, year=False)} - {desk.style.date(window.last, year=False)}"
            rows.append(Fact(percent(window.probability, 0), days, level == SHOWN))
    because = " ".join(desk.render(message) for message in forecast.because)
    return MarginSection(translated("When the first pips"), tuple(rows), because)


def _balance(desk: Desk, profile: Profile, clutch: ClutchNow) -> str:
    found = laying_balance(desk.collection, clutch, profile)
    if found is None:
        return translated("Not computable: the dam is not known.")
    return " ".join(desk.render(message) for message in found.told)


def _drawn() -> MarginSection:
    lines = (
        ("good", "a solid line; veins when they were seen"),
        ("doubtful", "dashed and hatched"),
        ("slug", "smaller, cross-hatched"),
        ("dead", "a cross"),
        ("removed", "dotted and struck; it keeps its number"),
        ("pipped", "a nick"),
    )
    rows = tuple(Fact(translated(word), translated(shape)) for word, shape in lines)
    text = translated("A dot in the table is not looked at. Fine is looked, and nothing.")
    return MarginSection(translated("How eggs are drawn"), rows, text)


def _cautions(profile: Profile) -> MarginSection:
    after = profile[FigureKey.CUTTING_AFTER_DAY]
    lines = (
        "Dam straining, weak, or with a bulge a day or two after laying stopped: a vet now.",
        "Cutting eggs is a matter of differing practice; many wait for the first natural pip and day {day} ({mark}).",
        "Never pull membranes or yolk: a hatchling with its navel open stays in the moist tub.",
    )
    text = " ".join(translated(line) for line in lines).format(day=f"{after.value:.0f}", mark=after.provenance)
    return MarginSection(translated("Mind"), (Evidence(shape="triangle", word=translated("common practice")),), text)
