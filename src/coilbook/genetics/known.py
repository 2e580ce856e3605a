"""What is known of one animal itself at one locus, before any relative is asked: looks, tests, claims.

Equal knowledge is one object, so that the thousands of normal-looking animals of a collection share one row of
evidence. `known_by_label` reads it from a genetics text; the rules are beside each function.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from coilbook.genetics.catalogue import EVERYTHING, Catalogue
from coilbook.genetics.locus import Locus
from coilbook.genetics.statement import Flag, FlagKind, Reading, Says, Statement, Tier
from coilbook.records.vocabulary import Sex

#: open questions of a text that leave its gene words themselves in doubt: such a text says nothing until answered
_IN_DOUBT = frozenset(
    {
        FlagKind.SPELLING,
        FlagKind.SCOPE,
        FlagKind.LOOSE_PERCENT,
        FlagKind.ALLELES,
        FlagKind.TWICE,
        FlagKind.COUNT,
        FlagKind.HET_BEHIND,
    }
)


@dataclass(frozen=True, slots=True)
class Sighting:
    """She has one of `looks` (keys) - or none of them, where not `seen` -, with the chance `sure` (0 to 1)."""

    looks: frozenset[str]
    seen: bool = True
    sure: float = 1.0


@dataclass(frozen=True, slots=True)
class LabTest:
    """A test counted `copies` of the allele `gene`; such a test is wrong with the chance `error`."""

    gene: str
    copies: int
    error: float


@dataclass(frozen=True, slots=True)
class Claim:
    """Somebody says she carries `gene` with the chance `chance`; None where no number was said."""

    gene: str
    chance: float | None


@dataclass(frozen=True, slots=True)
class Known:
    """Everything known of one animal itself at one locus. The default knows nothing.

    `hidden`: genes whose single dose could not be seen in her, or EVERYTHING (`masking.apparent_looks`). `sex` and
    `sex_sure` matter on the sex chromosomes only and are left out elsewhere. `claims` are priors: see
    `evidence.founder_law`. `assumed` are the keeper's own carrier chances for a founder and stand over claims.
    """

    sightings: tuple[Sighting, ...] = ()
    tests: tuple[LabTest, ...] = ()
    proven: tuple[str, ...] = ()
    claims: tuple[Claim, ...] = ()
    assumed: tuple[Claim, ...] = ()
    hidden: frozenset[str] = frozenset()
    sex: Sex = Sex.UNSEXED
    sex_sure: float = 1.0


NOTHING = Known()
#: nothing was noticed: she looks wild
PLAIN = (Sighting(frozenset({""})),)


@dataclass(frozen=True, slots=True)
class LabelWords:
    """What a genetics text says, locus by locus, with what it implies of the loci it does not name.

    `full`: the text was read to its end, so that a look it does not name was not there. `hidden`: genes whose single
    dose cannot be seen in an animal of these looks; with EVERYTHING (a white animal) nothing else can be seen at all.
    """

    named: Mapping[str, Known] = field(default_factory=dict)
    full: bool = False
    hidden: frozenset[str] = frozenset()
    #: what the look of each locus hides elsewhere
    hides: Mapping[str, frozenset[str]] = field(default_factory=dict)

    def at(self, locus: Locus) -> Known:
        """What the text says at a locus."""
        hidden = hidden_at(locus, self.hidden)
        found = self.named.get(locus.key)
        if found is not None:
            return replace(found, hidden=hidden) if hidden else found
        if not self.full or EVERYTHING in self.hidden:
            return Known(hidden=hidden) if hidden else NOTHING
        return Known(PLAIN, hidden=hidden)


NO_LABEL = LabelWords()


def hidden_at(locus: Locus, hidden: frozenset[str]) -> frozenset[str]:
    """The genes of one locus among those hidden; EVERYTHING where no look of it can be seen at all."""
    if not hidden:
        return hidden
    return frozenset({EVERYTHING}) if EVERYTHING in hidden else frozenset(locus.alleles[1:]) & hidden


def questions_of(reading: Reading) -> tuple[Flag, ...]:
    """The open questions of a text that leave its words in doubt; "het" without a number is none of them here."""
    return tuple(flag for flag in reading.flags if flag.open and flag.kind in _IN_DOUBT)


def label_asks(reading: Reading) -> tuple[Flag, ...]:
    """What can be answered of a text where it stands: what leaves it in doubt first, then strange words."""
    words = (FlagKind.LINE, FlagKind.UNKNOWN_WORD)
    return (*questions_of(reading), *(flag for flag in reading.questions if flag.kind in words))


def known_by_label(reading: Reading, catalogue: Catalogue) -> LabelWords:
    """What a text means as a record of one animal.

    * A look it names was seen. With a question mark and no number it says nothing either way; nothing is made up.
    * "Het" and "possible het" are claims. "Proven" before or after them says that her young have shown it.
    * A text read to its end that does not name a look says that it was not there, unless another look hides it.
    * A text that says nothing but a sex, or nothing at all, says nothing of her looks: "normal" is a word of its own.
    * A text whose own words are still in question, or that cannot be one animal, says nothing.
    """
    if reading.refused is not None or not reading.text.strip():
        return NO_LABEL
    if questions_of(reading):
        return NO_LABEL
    by_locus: dict[str, list[Statement]] = {}
    for statement in reading.statements:
        gene = catalogue.current(statement.gene)
        if gene in catalogue.genes:
            by_locus.setdefault(catalogue.genes[gene].locus, []).append(replace(statement, gene=gene))
    full = is_read_to_its_end(reading)
    named = {key: _at_locus(catalogue.loci[key], said, full) for key, said in by_locus.items()}
    hides = {key: hides_of(catalogue, key, known) for key, known in named.items()}
    return LabelWords(named, full, frozenset[str]().union(*hides.values()), hides)


def is_read_to_its_end(reading: Reading) -> bool:
    """Whether every word was understood, or is known to be a remark: from the start, or since the keeper said so.

    A text without a word on her genes ("0.1", "-") was not written by somebody who looked for them.
    """
    if reading.tier is Tier.TEXT_KEPT or not (reading.statements or reading.normal):
        return False
    unknown = [flag for flag in reading.flags if flag.kind is FlagKind.UNKNOWN_WORD]
    if any(flag.open for flag in unknown):
        return False
    return not reading.rest or bool(unknown) or any(flag.kind is FlagKind.REMARK for flag in reading.flags)


def claims_of(reading: Reading, catalogue: Catalogue) -> dict[str, tuple[Claim, ...]]:
    """What a seller's or a sheet's text claims of carried recessives, by locus."""
    words = known_by_label(reading, catalogue)
    return {key: known.claims for key, known in words.named.items() if known.claims}


def _at_locus(locus: Locus, said: list[Statement], full: bool) -> Known:
    shown = [s for s in said if s.says in (Says.ONE, Says.TWO, Says.ONE_OR_TWO, Says.VISUAL)]
    looks = _looks_shown(locus, shown)
    sightings: tuple[Sighting, ...] = ()
    if any(s.doubtful for s in shown):
        sure = [s for s in shown if not s.doubtful]
        percents = [s.percent for s in shown if s.doubtful and s.percent is not None]
        if sure:
            # "yellow belly? gravel": the one is there, with or without the other
            sightings = (Sighting(looks | _looks_shown(locus, sure)),)
        if percents:
            sightings = (*sightings, Sighting(looks, sure=min(percents) / 100))
    elif shown:
        sightings = (Sighting(looks),)
    elif full:
        sightings = PLAIN
    return Known(
        sightings,
        proven=tuple(s.gene for s in said if s.proven and s.says in (Says.HET, Says.POSSIBLE_HET)),
        claims=tuple(
            Claim(s.gene, _claimed(s))
            for s in said
            if s.says in (Says.HET, Says.POSSIBLE_HET, Says.PROVEN_NOT) and not s.proven
        ),
    )


def _claimed(statement: Statement) -> float | None:
    match statement.says:
        case Says.HET:
            return None if statement.doubtful else 1.0
        case Says.PROVEN_NOT:
            return 0.0
        case _:
            return None if statement.percent is None else exact_percent(statement.percent)


def exact_percent(percent: int) -> float:
    """The chance a trade percentage stands for: 66 and 33 are thirds rounded down, all others as they are."""
    return {66: 2 / 3, 67: 2 / 3, 33: 1 / 3}.get(percent, percent / 100)


def _looks_shown(locus: Locus, shown: list[Statement]) -> frozenset[str]:
    """Keys of the looks meant by what is said to show at one locus."""
    if len(shown) == 2:
        first, second = (locus.allele_index(s.gene) for s in shown)
        return frozenset({locus.look(first, second).key})
    looks: set[str] = set()
    for statement in shown:
        allele = locus.allele_index(statement.gene)
        if statement.says in (Says.ONE, Says.ONE_OR_TWO):
            looks.add(locus.look(0, allele).key)
        if statement.says in (Says.TWO, Says.ONE_OR_TWO, Says.VISUAL):
            looks.add(locus.look(allele, allele).key)
    return frozenset(looks)


def hides_of(catalogue: Catalogue, locus: str, known: Known) -> frozenset[str]:
    """Genes elsewhere whose single dose cannot be seen in an animal that surely looks as is known at this locus."""
    sure = [s.looks for s in known.sightings if s.seen and s.sure == 1.0]
    if not sure:
        return frozenset()
    # only what every look that may be meant hides is surely hidden; what one of them hides may be, which is enough
    return frozenset[str]().union(
        *(catalogue.masks.get((locus, look), frozenset()) for looks in sure for look in looks if look)
    )
