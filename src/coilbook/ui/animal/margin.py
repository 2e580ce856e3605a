"""What the margin says on an animal's page: the number in focus, why it is so, and what it rests on."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from coilbook.reads.animal_facts import (
    Compared,
    day_of,
    fast_facts,
    shed_facts,
    weight_facts,
)
from coilbook.reads.animal_rows import AnimalPage, Entry, Meal, Relative, ShedSeen
from coilbook.records.vocabulary import SHED_RESULTS, Status
from coilbook.ui.animal.health_margin import health_content, health_facts
from coilbook.ui.animal.words import (
    came_words,
    entry_day,
    entry_words,
    prey_words,
    relative_sex,
    relative_words,
    sex_line,
    strip,
    weighed_words,
)
from coilbook.ui.margin_content import Evidence, Fact, MarginContent, MarginLink, MarginSection
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.style import Style
from coilbook.wording.texts import render, words

#: rows of evidence shown at most
MOST = 10
#: an id longer than this has no room in 28 px and is set smaller, in several lines
LONG_ID = 16


@dataclass(frozen=True, slots=True)
class Ways:
    """Where the margin's links lead."""

    log: Callable[[str], None]
    card: Callable[[], None]
    history: Callable[[], None]
    travel: Callable[[Relative], None]
    correct: Callable[[], None]
    take_out: Callable[[], None]
    delete: Callable[[], None]
    consequences: Callable[[], None]
    rule: Callable[[], None]


@dataclass(frozen=True, slots=True)
class AnimalMargin:
    """Builds the content for each thing that can be in focus."""

    page: AnimalPage
    today: dt.date
    style: Style
    ways: Ways

    def of(self, focus: str) -> MarginContent:
        """The content for a fact of the strip, or for the animal itself."""
        builders = {
            "weight": self._weight,
            "fast": self._fast,
            "meal": self._meals,
            "shed": self._shed,
            "place": self._place,
            "claim": self._claims,
            "health": self._health,
            "sale": self._sale,
        }
        return builders.get(focus, self._who)()

    def _health(self) -> MarginContent:
        content = health_content(self.page, self.today, self.style)
        return replace(content, links=self._always(), strip=f"{self.page.who.keeper_id} {content.verdict}")

    # --- the animal ----------------------------------------------------------------------------------------
    def _who(self) -> MarginContent:
        page, who, style = self.page, self.page.who, self.style
        facts = [
            Fact(translated("code on the card"), page.code.shown if page.code else translated("none yet"), strong=True),
            Fact(translated("sex"), sex_line(page)),
            Fact(translated("came"), came_words(page, style)),
        ]
        facts += health_facts(page, style)
        facts += [Fact(translated("name"), who.name)] if who.name else []
        facts += [Fact(translated("status"), words(who.status))] if who.status is not Status.HERE else []
        facts += [Fact(translated("tags"), ", ".join(page.tags))] if page.tags else []
        facts += [Fact(translated("retired"), translated("yes"))] if who.retired else []
        genetics = who.genetics or translated("Genetics are not entered.")
        return MarginContent(
            heading=translated("Who it is"),
            whose=who.keeper_id if len(who.keeper_id) <= LONG_ID else "",
            sex=style.sex_sign(who.sex, who.sex_percent),
            about=genetics,
            verdict=who.keeper_id if len(who.keeper_id) > LONG_ID else "",
            facts=tuple(facts),
            sections=self._claimed(),
            rests_on=translated(
                "Scanning the card opens this page. The code says neither sex nor place and is never given twice."
            ),
            links=(*self._always(), *self._mistake()),
            strip=who.keeper_id,
        )

    def _mistake(self) -> tuple[MarginLink, ...]:
        """A record that holds nothing yet may have been made by mistake."""
        kept = any(entry.table not in ("acquisition", "claim") for entry in self.page.entries)
        if kept or self.page.family.young:
            return ()
        return (MarginLink(translated("Delete this mistaken record"), self.ways.delete),)

    def _claims(self) -> MarginContent:
        count = len(self.page.claims)
        verdict = translated_plural("{n} claim", "{n} claims", count) if count else translated("nothing claimed")
        return self._content(
            translated("What others say"),
            verdict,
            translated("Kept word for word. What a seller says never overwrites what the keeper believes."),
            sections=self._claimed(),
        )

    def _claimed(self) -> tuple[MarginSection, ...]:
        return tuple(
            MarginSection(
                translated("claimed: {who}").format(who=self._said(c.source, c.said_on)), text=f"\u201c{c.text}\u201d"
            )
            for c in reversed(self.page.claims)
        )

    def _said(self, source: str, said_on: str | None) -> str:
        day = self.style.date(day_of(said_on)) if said_on else ""
        return ", ".join(part for part in (source, day) if part) or translated("not said by whom")

    # --- facts of the strip --------------------------------------------------------------------------------
    def _weight(self) -> MarginContent:
        style, facts = self.style, weight_facts(self.page.weights, self.page.meals)
        rows: list[Fact] = []
        if facts is not None:
            for name, compared in (
                (translated("since the last meal"), facts.since_meal),
                (translated("against a month before"), facts.short),
                (translated("against the year's highest"), facts.highest),
            ):
                rows.append(self._changed(name, compared))
        verdict = style.mass(facts.now.mass_dg) if facts else translated("not weighed")
        return self._content(
            translated("Why, for the weight"),
            verdict,
            weighed_words(facts.now, style) if facts else "",
            evidence=self._weighings(),
            facts=tuple(rows),
            rests_on=translated("A reading in doubt stays in the book and on the curve, and counts for nothing."),
            log="weight",
        )

    def _weighings(self) -> tuple[Evidence, ...]:
        style, rows = self.style, []
        weights = self.page.weights
        for number in range(len(weights) - 1, max(len(weights) - 1 - MOST, -1), -1):
            one = weights[number]
            before = next((w for w in reversed(weights[:number]) if not w.doubted and not w.undated), None)
            right = translated("in doubt") if one.doubted else ""
            if not one.doubted and not one.undated and before is not None:
                right = style.mass_change(before.mass_dg, one.mass_dg)
            shape = "doubted" if one.doubted else "dot"
            day = translated("day not said") if one.undated else self._day(one.at)
            rows.append(Evidence(day, shape, style.mass(one.mass_dg), right))
        return tuple(rows)

    def _changed(self, name: str, compared: Compared | None) -> Fact:
        """What a change is counted from stands with its name, so that the figure has its line for itself."""
        if compared is None:
            return Fact(name, "\u2013")
        return Fact(f"{name}, {self._day(compared.then.at)}", self.style.mass_change(1000, 1000 + compared.permille))

    def _fast(self) -> MarginContent:
        style, facts = self.style, fast_facts(self.page.meals, self.page.weights, self.today)
        column = strip(self.page, self.today, style)["fast"]
        start = self.page.meals.index(facts.meal) if facts.meal else 0
        since = self.page.meals[start:]
        rows = [Fact(translated("offers refused"), style.number(len(facts.refused)), strong=True)]
        if facts.days is not None:
            rows.insert(0, Fact(translated("since the last meal"), style.days(facts.days)))
        if facts.not_offered is not None:
            rows.append(Fact(translated("not offered for"), style.days(facts.not_offered)))
        if facts.weight is not None:
            rows.append(self._changed(translated("weight since"), facts.weight))
        why = translated("Counted from the last meal that was taken and kept.") if facts.meal else ""
        season = self.page.season
        if season is not None and season.fast is not None:
            why = " ".join(render(told, style) for told in (*season.stage.reasons, *season.fast.told))
            if season.fast.alarm_dg is not None:
                rows.append(Fact(translated("would alarm at"), style.mass(season.fast.alarm_dg)))
        return self._content(
            translated("Why, for the fast"),
            column.value,
            why,
            evidence=self._offers(since[-MOST:]),
            facts=tuple(rows),
            rests_on=translated(
                "An offer still in is neither taken nor refused; not offering is no offer. Falling weight in a fast is"
                " for a reptile veterinarian to judge (common practice)."
            ),
            log="feeding",
        )

    def _offers(self, meals: Sequence[Meal]) -> tuple[Evidence, ...]:
        rows = []
        for meal in reversed(meals):
            shape = meal.result.value if meal.kept else "back"
            word = words(meal.result) if meal.kept else translated("came back")
            rows.append(Evidence(self._day(meal.at), shape, word, prey_words(meal, self.style)))
        return tuple(rows)

    def _meals(self) -> MarginContent:
        column = strip(self.page, self.today, self.style)["meal"]
        own = self.page.who.interval_days or self.style.settings.default_interval_days
        return self._content(
            translated("Why, for the meals"),
            column.value,
            column.lines[1],
            evidence=self._offers(self.page.meals[-MOST:]),
            facts=(Fact(translated("offered every"), self.style.days(own)),),
            rests_on=translated("A meal that came back does not count as kept."),
            log="feeding",
        )

    def _shed(self) -> MarginContent:
        facts, style = shed_facts(self.page.sheds), self.style
        column = strip(self.page, self.today, style)["shed"]
        rows = []
        if facts.interval is not None:
            rows.append(Fact(translated("own interval, middle"), style.days(facts.interval), strong=True))
            rows.append(Fact(translated("gaps counted"), style.number(facts.counted)))
        return self._content(
            translated("Why, for the shed"),
            column.value,
            column.lines[0],
            evidence=self._sheds(),
            facts=tuple(rows),
            rests_on=translated("The interval is the middle one of the last four gaps between sheds."),
            log="shed",
        )

    def _sheds(self) -> tuple[Evidence, ...]:
        rows: list[Evidence] = []
        before: ShedSeen | None = None
        for one in self.page.sheds:
            done = one.kind in SHED_RESULTS
            gap = self.style.days((day_of(one.at) - day_of(before.at)).days) if done and before is not None else ""
            rows.append(Evidence(self._day(one.at), "shed" if done else "blue", words(one.kind), gap))
            before = one if done else before
        return tuple(reversed(rows))[:MOST]

    def _sale(self) -> MarginContent:
        young, style = self.page.young, self.style
        if young is None:
            return self._who()
        from coilbook.ui.animal.young_words import young_parts, young_sections, young_verdict

        return self._content(
            translated("Why, for the sale"),
            young_verdict(young, style),
            render(young.mind, style) if young.mind is not None else "",
            evidence=young_parts(young, style),
            sections=young_sections(young, style),
            rests_on=translated(
                "The rule is the species' ({mark}), yours to change. A meal taken with help is not told apart in the "
                "book; local law or a licence may ask for more."
            ).format(mark=young.rule.mark),
            links=(MarginLink(translated("Change the rule"), self.ways.rule),),
            log="feeding",
        )

    def _place(self) -> MarginContent:
        home, style = self.page.home, self.style
        moves = [e for e in self.page.entries if e.table == "move"][:MOST]
        evidence = tuple(Evidence(self._day(e.at or ""), "move", entry_words(e, style), e.who) for e in moves)
        links = tuple(MarginLink(translated("Open {id}").format(id=c.keeper_id), self._to(c)) for c in home.companions)
        return self._content(
            translated("Why, for the place"),
            home.label or translated("no place"),
            strip(self.page, self.today, style)["place"].lines[1],
            evidence=evidence,
            links=links,
            log="move",
        )

    # --- other things --------------------------------------------------------------------------------------
    def entry(self, entry: Entry, may_edit: bool, may_take_out: bool) -> MarginContent:
        """An entry of the timeline."""
        facts = [Fact(translated("when"), self._whole_day(entry))]
        if entry.who:
            facts.append(Fact(translated("entered by"), entry.who))
        links: list[MarginLink] = []
        if may_edit:
            links.append(MarginLink(translated("Correct it (Enter)"), self.ways.correct))
        if may_take_out:
            links.append(MarginLink(translated("Take it out (Del)"), self.ways.take_out))
        if entry.table in ("finding", "claim"):
            links.append(MarginLink(translated("Who else changed by this"), self.ways.consequences))
        links.append(MarginLink(translated("History of this animal"), self.ways.history))
        rests = (
            translated("Corrections keep the old value in History.")
            if may_edit
            else translated("An entry of this kind is taken back through History.")
        )
        words_of = entry_words(entry, self.style)
        short = len(words_of) <= 60
        return MarginContent(
            heading=translated("Entry in focus"),
            verdict=words_of if short else "",
            why="" if short else words_of,
            facts=tuple(facts),
            rests_on=rests,
            links=tuple(links),
            strip=words_of[:60],
        )

    def relative(self, relative: Relative) -> MarginContent:
        """A parent, a young one."""
        facts = []
        if relative.hatched is not None:
            facts.append(Fact(translated("hatched"), self.style.date(relative.hatched)))
        if relative.percent < 100:
            facts.append(Fact(translated("parentage"), f"{relative.percent}%"))
        return MarginContent(
            heading=translated("Family"),
            whose=relative.keeper_id,
            sex=relative_sex(relative, self.style),
            about=relative_words(relative) or translated("genetics not entered"),
            facts=tuple(facts),
            links=(MarginLink(translated("Open {id}").format(id=relative.keeper_id), self._to(relative)),),
        )

    def _content(
        self,
        heading: str,
        verdict: str,
        why: str,
        *,
        evidence: tuple[Evidence, ...] = (),
        facts: tuple[Fact, ...] = (),
        sections: tuple[MarginSection, ...] = (),
        rests_on: str = "",
        links: tuple[MarginLink, ...] = (),
        log: str = "",
    ) -> MarginContent:
        more = (MarginLink(translated(_LOG[log]), lambda: self.ways.log(log)),) if log else ()
        return MarginContent(
            heading=heading,
            verdict=verdict,
            why=why,
            evidence=evidence,
            facts=facts,
            sections=sections,
            rests_on=rests_on,
            links=(*more, *links, *self._always()),
            strip=f"{self.page.who.keeper_id} {verdict}",
        )

    def _always(self) -> tuple[MarginLink, ...]:
        return (
            MarginLink(translated("Cage card"), self.ways.card),
            MarginLink(translated("History of this animal"), self.ways.history),
        )

    def _to(self, relative: Relative) -> Callable[[], None]:
        return lambda: self.ways.travel(relative)

    def _day(self, at: str) -> str:
        if not at:
            return ""
        day = day_of(at)
        return self.style.date(day, year=(self.today - day).days > 300)

    def _whole_day(self, entry: Entry) -> str:
        if entry.at is None or len(entry.at) == 10:
            return entry_day(entry, self.today, self.style)
        return self.style.moment(entry.at)


_LOG = {
    "weight": "Log a weight",
    "feeding": "Log a feeding",
    "shed": "Log a shed",
    "move": "Log a move",
}
