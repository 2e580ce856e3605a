"""The outlook of pairings from a real collection: scenario S9's odds, the ranking, and what is left out with why."""

from __future__ import annotations

import datetime as dt

import pytest

from coilbook.derived.genetics_book import book_of
from coilbook.genetics.inference import weighing
from coilbook.genetics.outlook_chance import Who
from coilbook.genetics.statement import Says
from coilbook.genetics.wish import Wish, wish_for
from coilbook.operations.animals import AnimalDetails, add_animal, edit_animal, set_parents
from coilbook.operations.departures import lose
from coilbook.operations.health import CourseDetails, begin_treatment
from coilbook.operations.weighing import weigh
from coilbook.reads.identify import identity, read_base
from coilbook.reads.outlook import Asked, Pairing, read_outlook
from coilbook.reads.outlook_fit import floors_now
from coilbook.reads.outlook_genetics import KeptGenetics, kept_genetics
from coilbook.reads.outlook_ranking import read_ranking
from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal
from coilbook.records.quantities import Mass
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import Sex
from coilbook.records.when import PartialDate
from coilbook.storage.collection import Collection
from coilbook.wording.texts import render
from tests.operations.conftest import book, clock

__all__ = ["book", "clock"]

SPECIES = "ball_python"


class Season:
    """The animals of scenario S9, by the keeper's ids."""

    def __init__(self, book: Collection) -> None:
        self.book = book
        self.ids: dict[str, AnimalId] = {}
        for keeper_id, genetics in (
            ("M-03", "Clown"),
            ("M-11", "Pastel 100% het clown"),
            ("M-15", "Piebald"),
            ("F-022", "Enchi 66% het clown"),
            ("F-031", "100% het clown piebald"),
            ("F-041", "100% het piebald"),
            ("F-005", "100% het piebald"),
            ("X-01", "Piebald"),
            ("X-02", "normal"),
        ):
            self.add(keeper_id, genetics)
        self.parents("M-15", "F-005", "X-01")
        self.parents("F-041", "F-005", "X-02")

    def add(self, keeper_id: str, genetics: str, **more: object) -> AnimalId:
        sex = Sex.FEMALE if keeper_id.startswith("F") else Sex.MALE
        details = AnimalDetails(keeper_id=keeper_id, sex=sex, genetics=genetics, **more)  # type: ignore[arg-type]
        self.ids[keeper_id] = add_animal(self.book, details=details).value
        return self.ids[keeper_id]

    def parents(self, young: str, dam: str, sire: str) -> None:
        set_parents(self.book, animal=self.ids[young], dam=self.ids[dam], sires={self.ids[sire]: 100})

    @property
    def genetics(self) -> KeptGenetics:
        return kept_genetics(self.book, SPECIES)

    def wish(self, *genes: str, sex: Sex | None = None) -> Wish:
        return wish_for(self.genetics.catalogue, dict.fromkeys(genes), sex)

    def odds(self, dam: str, sire: str, *genes: str, count: int = 6):
        pairing = Pairing(self.ids[dam], ((self.ids[sire], 100),))
        return read_outlook(self.book, self.genetics, pairing, Asked(count, self.wish(*genes)))


@pytest.fixture
def season(book: Collection) -> Season:
    return Season(book)


def test_a_clown_from_a_possible_het(season: Season) -> None:
    """S9: F-022 x M-03, at least one Clown in 6 = 65.6%, not 91%."""
    odds = season.odds("F-022", "M-03", "clown")
    assert odds.wish is not None
    parts = odds.wish.parts
    assert (round(100 * parts.overall, 1), round(100 * parts.coins, 1)) == (65.6, 91.2)
    assert parts.who is Who.DAM
    assert round(100 * odds.wish.if_none.dam, 1) == 3.0
    assert [needs.count for needs in odds.wish.eggs] == [3, None, None]


def test_piebald_and_het_clown(season: Season) -> None:
    """S9: F-031 x M-15 gives pied 1/2 an egg, and half of all young carry clown."""
    odds = season.odds("F-031", "M-15", "piebald")
    assert odds.wish is not None and odds.wish.each == pytest.approx(0.5)
    pairing = Pairing(season.ids["F-031"], ((season.ids["M-15"], 100),))
    het = wish_for(season.genetics.catalogue, {"clown": Says.HET})
    carried = read_outlook(season.book, season.genetics, pairing, Asked(6, het))
    assert carried.wish is not None and carried.wish.each == pytest.approx(0.5)


def test_the_looks_of_a_pairing(season: Season) -> None:
    """What is looked for stands first; what a look hides is opened; what is carried is told with its chance."""
    odds = season.odds("F-022", "M-11", "clown")
    rows = odds.looks()
    assert rows[0].title == "Clown, Pastel and Enchi or not" and rows[0].wanted and rows[0].in_doubt
    assert {row.carried for row in rows[1:]} == {"60% het clown"}
    assert sum(row.each for row in rows) == pytest.approx(1.0)
    assert sorted(row.title for row in odds.inside(rows[0])) == [
        "Clown",
        "Enchi Clown",
        "Pastel Clown",
        "Pastel Enchi Clown",
    ]


def test_the_ranking_and_who_is_left_out(season: Season) -> None:
    """S9: M-15 x F-041 is left out with 12.5%; lost males are named with why."""
    lost = season.add("M-77", "Piebald")
    lose(season.book, animal=lost)
    ranked = read_ranking(season.book, season.genetics, season.ids["F-041"], season.wish("piebald"), 6, SPECIES)
    left = {out.mate.keeper_id: str(out.why) for out in ranked.left_out}
    assert "12.5%" in left["M-15"] and left["M-77"] == "lost"
    assert lost not in [mate.mate.id for mate in ranked.mates]
    assert ranked.mates[0].mate.keeper_id == "X-01"
    chances = [mate.at_least_one for mate in ranked.mates]
    assert chances == sorted(chances, reverse=True)


def test_a_ranking_says_what_the_page_says(season: Season) -> None:
    """Every ranked chance is that of the pairing looked at alone, both ways round."""
    for animal in ("F-022", "M-11"):
        ranked = read_ranking(
            season.book, season.genetics, season.ids[animal], season.wish("clown", "pastel"), 6, SPECIES
        )
        for mate in ranked.mates:
            dam, sire = (animal, mate.mate.keeper_id) if animal[0] == "F" else (mate.mate.keeper_id, animal)
            odds = season.odds(dam, sire, "clown", "pastel")
            assert odds.wish is not None
            assert odds.wish.parts.overall == pytest.approx(mate.at_least_one, abs=1e-9)


def test_parents_that_share_a_doubt(season: Season) -> None:
    """Two 66% full sibs whose brother was shown to carry nothing more: never two marginals multiplied.

    Their dam is 66% het, their sire het: the doubt about her is one doubt, in both of them.
    """
    season.add("F-090", "66% het clown")
    season.add("M-90", "100% het clown")
    for young in ("F-091", "M-91"):
        season.add(young, "normal")
        season.parents(young, "F-090", "M-90")
    odds = season.odds("F-091", "M-91", "clown")
    assert odds.wish is not None
    both = odds.wish.parts.carries
    genetics = season.genetics
    alone = [1 - genetics.joint("clown", season.ids["M-91"], season.ids["F-091"]).sum(axis=axis)[0] for axis in (0, 1)]
    # by hand: dam het 2/3 given (not visual young are a little likelier from a plain dam): weights 2/3 (3/4)^2, 1/3
    het = (2 / 3) * (9 / 16)
    plain = 1 / 3
    total = het + plain
    assert alone[0] == pytest.approx((het * 2 / 3 + plain / 2) / total)
    assert both == pytest.approx((het * 4 / 9 + plain / 4) / total)
    assert both > alone[0] * alone[1] + 1e-3


def test_pairs_that_are_none(season: Season) -> None:
    assert str(season.odds("F-022", "F-031", "clown").refused) == "F-022 and F-031 are both female."
    assert "other way round" in str(season.odds("M-03", "F-022", "clown").refused)
    assert "both parents" in str(season.odds("F-022", "F-022", "clown").refused)
    with pytest.raises(Refusal):
        read_outlook(season.book, season.genetics, Pairing(AnimalId(999), ((AnimalId(998), 100),)), Asked())


def test_a_sire_list(season: Season) -> None:
    """70 : 30 over M-03 and X-02: the chance of each, by weight."""
    sires = ((season.ids["M-03"], 70), (season.ids["X-02"], 30))
    pairing = Pairing(season.ids["F-022"], sires)
    odds = read_outlook(season.book, season.genetics, pairing, Asked(6, season.wish("clown")))
    assert odds.wish is not None
    assert odds.wish.parts.overall == pytest.approx(0.7 * (2 / 3) * (1 - 0.5**6))
    assert len(odds.related) == 2


@pytest.fixture
def doubtful(season: Season) -> Season:
    """F-051, Pastel, of a normal dam and of M-03 (Clown) or M-11 (Pastel het clown); F-052 is her daughter."""
    season.add("F-050", "normal")
    young = season.add("F-051", "Pastel")
    either = {season.ids["M-03"]: 50, season.ids["M-11"]: 50}
    set_parents(season.book, animal=young, dam=season.ids["F-050"], sires=either)
    season.add("F-052", "normal")
    season.parents("F-052", "F-051", "M-15")
    return season


def carries(season: Season, animal: str, gene: str) -> float:
    """The chance that an animal carries a gene."""
    law = season.genetics.joint(gene, season.ids[animal], season.ids[animal]).sum(axis=1)
    states = season.genetics.states_of(gene)
    return float(law[states.copies(states.locus.alleles.index(gene)) > 0].sum())


def test_what_one_gene_shows_of_the_sire_counts_at_every_gene(doubtful: Season) -> None:
    """Pastel comes by M-11 alone, who gives clown to half; by clown alone either sired her: (1 + 1/2) / 2."""
    assert carries(doubtful, "F-051", "clown") == pytest.approx(0.5, abs=1e-15)
    assert doubtful.odds("F-051", "M-15", "piebald").by_gene == ()


def test_a_dam_of_a_clown_or_a_pied_is_never_het_for_both(season: Season) -> None:
    """Het for one of the two for sure: with a mate that is visual for both no young ever shows both."""
    young = season.add("F-060", "normal")
    season.add("F-050", "normal")
    season.add("M-60", "Clown Piebald")
    either = {season.ids["M-03"]: 50, season.ids["M-15"]: 50}
    set_parents(season.book, animal=young, dam=season.ids["F-050"], sires=either)
    both, clown = (season.odds("F-060", "M-60", *genes).wish for genes in (("clown", "piebald"), ("clown",)))
    assert both is not None and clown is not None
    assert both.parts.overall == 0 and both.parts.who is Who.NEVER
    assert clown.each == pytest.approx(1 / 4) and clown.parts.carries == pytest.approx(1 / 2)
    wish = season.wish("clown", "piebald")
    ranked = read_ranking(season.book, season.genetics, season.ids["M-60"], wish, 6, SPECIES)
    chances = {one.mate.keeper_id: one.at_least_one for one in ranked.mates}
    assert chances["F-060"] == 0
    # het for both: a quarter of her young by him
    assert chances["F-031"] == pytest.approx(1 - 0.75**6)
    listed = season.odds("F-060", "M-60").looks(20)
    assert sum(row.each for row in listed) == pytest.approx(1)
    assert not any("Clown" in row.title and "Piebald" in row.title for row in listed)


def test_a_hatchling_is_known_by_what_its_siblings_show_of_the_sire(season: Season) -> None:
    """Two of a clutch by M-03 (Clown) or M-11: its sister is Pastel, so M-11 sired both."""
    season.add("F-050", "normal")
    either = {season.ids["M-03"]: 50, season.ids["M-11"]: 50}
    for name, genetics in (("F-061", "Pastel"), ("F-062", "")):
        young = season.add(name, genetics, hatched=PartialDate(dt.date(2025, 8, 1)))
        set_parents(season.book, animal=young, dam=season.ids["F-050"], sires=either)
    base = read_base(season.book, season.genetics, season.ids["F-062"])
    found = identity(base, {})
    assert found is not None and found.sires == pytest.approx((0.0, 1.0))
    clown = next(trait for trait in found.traits if trait.name == "Clown")
    assert clown.doubt.parents[1] == pytest.approx(0.5)
    # her sister's page tells of the clutch without herself: either male
    alone = identity(read_base(season.book, season.genetics, season.ids["F-061"]), {})
    assert alone is not None and not base.by_gene


def test_a_hatchling_of_a_dam_whose_own_sire_is_in_doubt(season: Season) -> None:
    """Het clown or het piebald, never both: her young by a Clown Piebald show one (1/4 each) or neither, never both."""
    season.add("F-050", "normal")
    season.add("M-60", "Clown Piebald")
    either = {season.ids["M-03"]: 50, season.ids["M-15"]: 50}
    dam, young = season.add("F-060", "normal"), season.add("F-061", "")
    set_parents(season.book, animal=dam, dam=season.ids["F-050"], sires=either)
    season.parents("F-061", "F-060", "M-60")
    base = read_base(season.book, season.genetics, young)
    found = identity(base, {})
    assert found is not None and found.sires == (1.0,)
    assert {trait.name: round(trait.doubt.parents[2], 12) for trait in found.traits} == {"Clown": 0.25, "Piebald": 0.25}
    assert sorted(one.chance for _, one in found.candidates) == pytest.approx([0.25, 0.25, 0.5])


def test_a_contradiction_is_named_with_gene_and_animals(season: Season) -> None:
    """A Super Pastel of a Pastel and of one without it: what is known of the three cannot all be true."""
    for name, genetics in (("F-070", "Pastel"), ("M-70", "Enchi"), ("F-071", "Super Pastel")):
        season.add(name, genetics)
    season.parents("F-071", "F-070", "M-70")
    odds = season.odds("F-071", "M-03")
    assert odds.outlook is None and odds.refused is not None
    said = render(odds.refused)
    assert said.startswith("Pastel: ") and "F-071" in said.replace(",", "").split()


def test_too_many_possible_sires_are_told(doubtful: Season, monkeypatch: pytest.MonkeyPatch) -> None:
    """Beyond the limit each gene weighs the sires by itself, and everybody whose odds do is named."""
    monkeypatch.setattr(weighing, "MOST_COMBINATIONS", 1)
    book_of(doubtful.book).forget()

    def named(dam: str, sire: str) -> list[str]:
        return [mate.keeper_id for mate in doubtful.odds(dam, sire, "clown").by_gene]

    assert carries(doubtful, "F-051", "clown") == pytest.approx(0.75)
    assert named("F-051", "M-15") == ["F-051"]
    assert named("F-052", "X-01") == ["F-052"]
    assert named("F-031", "M-15") == []
    assert read_base(doubtful.book, doubtful.genetics, doubtful.ids["F-051"]).by_gene
    assert not read_base(doubtful.book, doubtful.genetics, doubtful.ids["M-15"]).by_gene


def test_a_list_for_the_clutch_to_come_alone_is_no_such_list(season: Season) -> None:
    """Its chances are the keeper's and are summed out over all genes together."""
    pairing = Pairing(season.ids["F-022"], ((season.ids["M-03"], 70), (season.ids["M-11"], 30)))
    assert read_outlook(season.book, season.genetics, pairing, Asked()).by_gene == ()


def test_what_the_words_of_a_pair_leave_open_is_said(season: Season) -> None:
    """A doubt without a number counts as nothing, "het" as sure: both are told with the odds."""
    season.add("F-1", "Pastel?, pos het clown")
    season.add("M-1", "het piebald")
    season.add("M-2", "Clown")
    odds = season.odds("F-1", "M-2", "clown")
    assert odds.wish is not None and odds.wish.each == 0
    told = [(str(one.words), one.uncounted) for one in odds.left_open]
    assert told == [
        ("F-1: Pastel is written in doubt without a number, and counts as nothing here.", True),
        ("F-1: Clown is written in doubt without a number, and counts as nothing here.", True),
    ]
    told = [(str(one.words), one.uncounted) for one in season.odds("F-041", "M-1", "piebald").left_open]
    assert told == [("M-1: 'het' without a number is taken as sure (100%): Piebald.", False)]
    assert season.odds("F-022", "M-03", "clown").left_open == ()
    # with a number it counts, and nothing is left to say
    edit_animal(season.book, animal=season.ids["F-1"], details=AnimalDetails(genetics="66% het clown"))
    assert season.odds("F-1", "M-2", "clown").left_open == ()
    edit_animal(season.book, animal=season.ids["F-1"], details=AnimalDetails(genetics="Pastal"))
    (one,) = season.odds("F-1", "M-2", "clown").left_open
    assert "can be read in several ways" in str(one.words) and one.uncounted


def test_who_is_too_light_too_young_treated_or_retired_is_left_out_with_why(season: Season) -> None:
    book, today = season.book, dt.date(2026, 3, 29)
    grown, light, _young, older, treated, retired = (
        season.add(name, "Piebald", hatched=PartialDate(hatched))
        for name, hatched in (
            ("M-71", dt.date(2022, 7, 1)),
            ("M-72", dt.date(2022, 7, 1)),
            ("M-73", dt.date(2025, 11, 1)),
            ("M-74", dt.date(2024, 7, 1)),
            ("M-75", dt.date(2022, 7, 1)),
            ("M-76", dt.date(2022, 7, 1)),
        )
    )
    weigh(book, animal=grown, mass=Mass(5_000))
    weigh(book, animal=light, mass=Mass(4_990))
    begin_treatment(book, animal=treated, details=CourseDetails(what_for="mites", done="as the vet said"))
    edit_animal(book, animal=retired, details=AnimalDetails(retired=True))
    floors = floors_now(book, Settings(), today)
    asked = season.ids["F-041"], season.wish("piebald"), 6, SPECIES
    ranked = read_ranking(book, season.genetics, *asked, floors=floors)
    left = {out.mate.keeper_id: render(out.why) for out in ranked.left_out}
    assert left["M-72"] == "499 g; they breed from 500 g (common practice)"
    assert left["M-73"] == "4 months old and not weighed lately; they breed from 9 months (common practice)"
    assert (left["M-75"], left["M-76"]) == ("under treatment", "retired from breeding")
    assert {grown, older} <= {one.mate.id for one in ranked.mates}
    # her chance with them stands beside the reason
    assert all(out.at_least_one is not None for out in ranked.left_out)
    weigh(book, animal=season.ids["F-041"], mass=Mass(14_000))
    ranked = read_ranking(book, season.genetics, *asked, floors=floors)
    assert ranked.not_now is not None and render(ranked.not_now) == "1,400 g; they breed from 1,500 g (common practice)"
    # the floors are the keeper's
    lower = floors_now(book, Settings(male_floor_g=400), today)
    assert light in {m.mate.id for m in read_ranking(book, season.genetics, *asked, floors=lower).mates}


def test_a_mate_whose_label_is_in_question_is_left_out_with_why(season: Season) -> None:
    season.add("M-78", "Piebold")
    ranked = read_ranking(season.book, season.genetics, season.ids["F-041"], season.wish("piebald"), 6, SPECIES)
    left = {out.mate.keeper_id: str(out.why) for out in ranked.left_out}
    assert left["M-78"].startswith("its label can be read in several ways")
