"""Who lives in the demo: adults of the recipe, outside animals, and young hatched from the recipe's clutches."""

from __future__ import annotations

import datetime as dt
import random
from dataclasses import dataclass, field

from coilbook.app.demo_room.looks import Genes, hatch_genes, least_on_paper, read_looks, written
from coilbook.app.demo_room.recipe import Line, Recipe, partial_date
from coilbook.records.vocabulary import DepartureKind, Origin, Sex, SexBasis, Status
from coilbook.records.when import PartialDate, day

#: days from laying to hatching at the usual temperatures (common practice)
INCUBATION_DAYS = 57
_STATUS = {
    DepartureKind.SOLD: Status.SOLD,
    DepartureKind.DIED: Status.DEAD,
    DepartureKind.LOANED: Status.LOAN,
    DepartureKind.LOST: Status.LOST,
    DepartureKind.RETURNED: Status.HERE,
}


@dataclass(frozen=True, slots=True)
class Turn:
    """A sale, death, loan, loss or return."""

    on: dt.date
    kind: DepartureKind
    person: str = ""
    price_minor: int | None = None
    reason: str = ""


@dataclass(slots=True)
class Creature:
    """One animal: `first_place` from `in_care` to `moved`, then `place`; `born_as` is its id until `moved`."""

    keeper_id: str
    sex: Sex
    looks: str
    genes: Genes
    hatched: PartialDate
    in_care: dt.date
    grams: int
    place: str = ""
    first_place: str = ""
    moved: dt.date | None = None
    born_as: str = ""
    dam: str = ""
    sires: dict[str, int] = field(default_factory=dict)
    origin: Origin = Origin.BRED_HERE
    sex_percent: int = 100
    sex_basis: SexBasis = SexBasis.POPPED
    interval: int = 10
    laid: list[dt.date] = field(default_factory=list)
    #: this season's laying: the day, and what she was weighed at after it where the recipe says so
    laid_now: tuple[dt.date, int | None] | None = None
    #: days of sheds that belong to a season, which other sheds keep away from
    laying_sheds: list[dt.date] = field(default_factory=list)
    turns: list[Turn] = field(default_factory=list)
    line: Line = field(default_factory=dict)
    #: factor that brings the drawn growth to `grams` today
    scale: float = 0.0

    @property
    def status(self) -> Status:
        """Where it stands at the end."""
        return _STATUS[self.turns[-1].kind] if self.turns else Status.HERE

    def away(self, on: dt.date) -> bool:
        """True on days it was not in the room."""
        turn = next((t for t in reversed(self.turns) if t.on <= on), None)
        return on < self.in_care or (turn is not None and turn.kind is not DepartureKind.RETURNED)

    def place_on(self, on: dt.date) -> str:
        """Label of its slot on a day it was in the room."""
        return self.place if self.moved is None or on >= self.moved else self.first_place


def parse_sires(text: str) -> dict[str, int]:
    """Sires with percent from "M-03" or "M-03:70 M-11:30"."""
    pairs = (part.partition(":") for part in text.split())
    return {name: int(percent or 100) for name, _, percent in pairs}


def gather(recipe: Recipe) -> list[Creature]:
    """Everybody, parents before young."""
    adults = [_adult(recipe, line) for line in recipe.listed("adults")]
    outside = [_outside(recipe, line) for line in recipe.listed("outside")]
    everybody = {c.keeper_id: c for c in (*outside, *adults)}
    young: list[Creature] = []
    for line in recipe.listed("clutches"):
        young += _clutch(recipe, line, everybody)
        everybody[line["dam"]].laid.append(line["laid"])
    for line in recipe.lines.get("laid", []):
        everybody[line["dam"]].laid_now = line["on"], line.get("after")
    _house_young(recipe, young)
    everybody["M-18"].turns.append(Turn(dt.date(2026, 1, 10), DepartureKind.LOANED, "Rolf", None, "breeding loan"))
    return [*outside, *adults, *young]


def _adult(recipe: Recipe, line: Line) -> Creature:
    chance = recipe.chance("adult", line["id"])
    sex = Sex.FEMALE if line["id"].startswith("F") else Sex.MALE
    hatched = partial_date(line["hatched"])
    bought = Origin.BOUGHT if "seller" in line else Origin.BRED_HERE if line.get("home") else Origin.UNKNOWN
    late_start = dt.date(hatched.first.year + 1, 3, 5) + dt.timedelta(chance.randrange(90))
    came = line["came"] if line.get("came", recipe.start) > recipe.start else max(recipe.start, late_start)
    creature = Creature(
        line["id"],
        sex,
        line["looks"],
        read_looks(line["looks"], chance),
        hatched,
        came,
        line["g"],
        place=line["place"],
        dam=line.get("dam", ""),
        sires=parse_sires(line.get("sires", "")),
        origin=Origin.RESCUE if line.get("rescue") else bought,
        sex_basis=_basis(line),
        interval=14 if sex is Sex.MALE and line["g"] > 1000 and not line["place"].startswith("R2") else 10,
        line=line,
    )
    if "gone" in line:
        turn = Turn(
            line["gone"], DepartureKind(line["kind"]), line.get("buyer", ""), line.get("price"), line.get("why", "")
        )
        creature.turns.append(turn)
    return creature


def _basis(line: Line) -> SexBasis:
    if "basis" in line:
        return SexBasis(line["basis"])
    known = SexBasis.BRED if line["g"] > 1500 else SexBasis.PROBED
    return SexBasis.SELLER if "seller" in line else known


def _outside(recipe: Recipe, line: Line) -> Creature:
    sex = Sex.FEMALE if line["sex"] == "F" else Sex.MALE
    genes = read_looks(line["looks"], recipe.chance("outside", line["id"]))
    hatched = PartialDate(dt.date(2017, 1, 1), partial_date("2017").precision)
    return Creature(line["id"], sex, line["looks"], genes, hatched, dt.date.max, 0, origin=Origin.UNKNOWN, line=line)


def _clutch(recipe: Recipe, line: Line, everybody: dict[str, Creature]) -> list[Creature]:
    """The hatched young of a clutch; about one good egg in ten does not hatch (invented)."""
    chance = recipe.chance("clutch", line["id"])
    sires = parse_sires(line["sires"])
    hatched = line["laid"] + dt.timedelta(INCUBATION_DAYS + chance.randrange(-2, 4))
    scripted: dict[int, str] = {}
    for text in line.get("young", ()):
        first = text.split(":")[0]
        scripted[int(first.rsplit("-", 1)[1]) if first.startswith("2") else len(scripted) + 1] = text
    young: list[Creature] = []
    for egg in range(1, line["good"] + 1):
        fails = chance.random() < 0.1
        if egg not in scripted if scripted else fails:
            continue
        father = chance.choices(list(sires), weights=list(sires.values()))[0]
        genes = hatch_genes(everybody[line["dam"]].genes, everybody[father].genes, chance)
        for other in sires:
            least_on_paper(genes, everybody[line["dam"]].genes, everybody[other].genes)
        young.append(_hatchling(chance, f"{line['id']}-{egg}", genes, hatched, recipe))
        young[-1].dam, young[-1].sires = line["dam"], sires
        if egg in scripted:
            _as_scripted(young[-1], scripted[egg], chance)
    if not scripted:
        young.sort(key=lambda c: (-sum(d for g, d in c.genes.doses.items() if d), c.born_as))
    for left_over in young[line["keep"] :]:
        left_over.turns.append(_sale(recipe, left_over, chance))
    return sorted(young, key=lambda c: c.born_as)


def _hatchling(chance: random.Random, name: str, genes: Genes, hatched: dt.date, recipe: Recipe) -> Creature:
    sex = chance.choice((Sex.FEMALE, Sex.MALE))
    age = (recipe.today - hatched).days / 365
    grown = 384 * age**1.05 if sex is Sex.FEMALE else 322 * min(age, 2.4) ** 1.05
    grams = int(chance.uniform(0.85, 1.15) * grown)
    young = Creature(name, sex, written(genes), genes, day(hatched.year, hatched.month, hatched.day), hatched, grams)
    young.born_as, young.interval = name, 7
    drawn = chance.random()
    if hatched.year == recipe.today.year - 1 and drawn < 0.08:
        young.sex, young.sex_percent, young.sex_basis = Sex.UNSEXED, 100, SexBasis.UNKNOWN
    elif hatched.year == recipe.today.year - 1 and drawn < 0.22:
        young.sex_percent = 80
    return young


def _as_scripted(young: Creature, text: str, chance: random.Random) -> None:
    name, looks, sex = text.split(":")
    young.keeper_id, young.looks = name, looks
    young.genes = read_looks(looks, chance)
    young.sex = Sex.FEMALE if sex == "F" else Sex.MALE


def _sale(recipe: Recipe, young: Creature, chance: random.Random) -> Turn:
    """What became of a young that was not kept: nearly all sold, a few died, one escaped."""
    earliest = young.hatched.first + dt.timedelta(100)
    latest = min(dt.date(young.hatched.first.year + 1, 2, 8), recipe.today)
    on = earliest + dt.timedelta(chance.randrange(max(1, (latest - earliest).days)))
    drawn = chance.random()
    if drawn < 0.05:
        return Turn(young.hatched.first + dt.timedelta(20), DepartureKind.DIED, reason="Never started to eat.")
    if drawn < 0.11:
        return Turn(on, DepartureKind.LOST, reason="Tub found open in the morning.")
    price = chance.choice((9000, 12000, 15000, 18000, 24000, 32000))
    return Turn(on, DepartureKind.SOLD, chance.choice(list(recipe.lines["buyers"])), price)


def _house_young(recipe: Recipe, young: list[Creature]) -> None:
    """Slots and lasting ids: the first winter in R7 to R9, then the grow-out racks, in walking order."""
    small = [f"{r.name}-{s}" for r in recipe.racks if r.name in ("R7", "R8", "R9") for s in r.slots]
    grown = [f"{r.name}-{s}" for r in recipe.racks if r.name in ("R2", "R3", "R5", "R6") for s in r.slots]
    taken = {line["place"] for line in recipe.listed("adults")}
    free = [slot for slot in grown if slot not in taken]
    juveniles = [slot for slot in free if slot[:2] in ("R2", "R3")]
    for season in sorted({c.hatched.first.year for c in young}):
        kin = [c for c in young if c.hatched.first.year == season]
        for creature, slot in zip(kin, small, strict=False):
            creature.first_place = creature.place = slot
        if season == recipe.today.year - 1:
            continue
        for creature in kin:
            if creature.turns:
                continue
            creature.moved = dt.date(season + 1, 2, 12) + dt.timedelta(recipe.chance(creature.born_as).randrange(20))
    second = [c for c in young if c.moved and c.hatched.first.year == recipe.today.year - 2]
    third = [c for c in young if c.moved and c.hatched.first.year == recipe.today.year - 3]
    _number_juveniles(second, juveniles + [slot for slot in free if slot not in juveniles][len(third) :])
    _number_breeders(third, [slot for slot in free if slot not in juveniles])


def _number_juveniles(young: list[Creature], slots: list[str]) -> None:
    named = {c.keeper_id for c in young if c.keeper_id.startswith("J-")}
    numbers = (n for n in range(1, 400) if f"J-{n:02d}" not in named)
    for creature in young:
        if creature.keeper_id not in named:
            creature.keeper_id = f"J-{next(numbers):02d}"
    for creature, slot in zip(sorted(young, key=lambda c: c.keeper_id), slots, strict=False):
        creature.place = slot
    back = next(c for c in young if c.born_as.startswith("24-03"))
    back.turns += [
        Turn(dt.date(2025, 4, 5), DepartureKind.SOLD, "Cora", 24000),
        Turn(dt.date(2025, 6, 14), DepartureKind.RETURNED, "Cora", None, "an allergy in the family"),
    ]


def _number_breeders(young: list[Creature], slots: list[str]) -> None:
    counts = {Sex.FEMALE: 53, Sex.MALE: 22}
    for creature, slot in zip(young, slots, strict=False):
        letter = "F" if creature.sex is Sex.FEMALE else "M"
        creature.keeper_id = f"{letter}-{counts[creature.sex]:03d}" if letter == "F" else f"M-{counts[creature.sex]}"
        counts[creature.sex] += 1
        creature.place = slot
        creature.interval = 10
