"""A case: one locus, some animals, what is known of them and questions, as JSON; answered by the engine.

So that anyone can put a family to the engine and to an enumeration of their own. The form of the file, all chances from
0 to 1, is described in DEVELOPERS.md ("A case file"); `demo/case.json` is one.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from coilbook.derived.genetics_book import solve_again
from coilbook.derived.genetics_lift import Descent
from coilbook.derived.genetics_locus import Inputs, LocusView, build_locus
from coilbook.derived.genetics_rows import SEXES, FindingRow, Rows
from coilbook.genetics.catalogue import Catalogue, Gene, Grade, Provenance
from coilbook.genetics.known import NO_LABEL, Claim
from coilbook.genetics.locus import Inheritance, Linkage, Locus, Look, SexSystem, series_locus, simple_locus
from coilbook.genetics.problem import NONE, Litter, Pedigree
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import FindingKind, Sex

#: what stands for a finding in a case, and what is kept of it
_KINDS = {
    "seen": FindingKind.SEEN,
    "not_seen": FindingKind.NOT_SEEN,
    "test": FindingKind.TEST,
    "proven": FindingKind.PROVEN,
    "assumed": FindingKind.ASSUMED,
}
MOST_ANIMALS = 5_000


def answer_case(text: str) -> dict[str, Any]:
    """Answer a case; `Refusal` names what of it cannot be read."""
    try:
        case = json.loads(text)
        return _answer(case)
    except (KeyError, TypeError, ValueError, AttributeError, RecursionError) as error:
        raise Refusal(say("This case cannot be read: {why}.", why=str(error) or type(error).__name__)) from error


def _answer(case: Mapping[str, Any]) -> dict[str, Any]:
    names = [str(animal["id"]) for animal in case["animals"]]
    places = {name: place for place, name in enumerate(names)}
    if len(places) != len(names) or len(names) > MOST_ANIMALS:
        raise ValueError(f"animals have different ids, {MOST_ANIMALS} at most")
    catalogue = _catalogue(case)
    view = build_locus(_inputs(case, catalogue, places), next(iter(catalogue.loci)), solve_again)
    answers = [_one(view, question, places) for question in case.get("questions") or [{"animal": n} for n in names]]
    clashes = [[names[a] for a in clash.animals] for clash in view.answer.clashes]
    lifted = sorted(names[a] for a in view.lifted)
    return {
        "locus": view.states.locus.key, "exact": view.answer.exact, "answers": answers, "contradictions": clashes,
        "assumption_lifted": lifted,
    }  # fmt: skip


def _catalogue(case: Mapping[str, Any]) -> Catalogue:
    said = case["locus"]
    locus = _locus(said)
    genes = {a: Gene(a, a, locus.key, Provenance(Grade.KEEPER)) for a in locus.alleles[1:]}
    system = SexSystem(case.get("system", "XY"))
    return Catalogue("case", "case", system, {locus.key: locus}, genes)


def _locus(said: Mapping[str, Any]) -> Locus:
    key, linked = str(said["key"]), said.get("linkage")
    linkage = Linkage(float(linked.get("recombination", 0)), bool(linked.get("hemizygous", False))) if linked else None
    if "alleles" not in said:
        lethal = bool(said.get("lethal_double", False))
        return simple_locus(key, Inheritance(said["inheritance"]), linkage=linkage, lethal_double=lethal)
    looks = tuple(
        Look(str(k["key"]), str(k.get("name", k["key"])), bool(k.get("lethal", False))) for k in said["looks"]
    )
    pairs = {(str(a), str(b)): str(look) for a, b, look in said["pairs"]}
    made = series_locus(key, tuple(map(str, said["alleles"])), looks, pairs)
    return Locus(made.key, made.alleles, made.looks, made.table, linkage)


def _inputs(case: Mapping[str, Any], catalogue: Catalogue, places: Mapping[str, int]) -> Inputs:
    animals, size = case["animals"], len(places)
    dam = np.array([places[a["dam"]] if a.get("dam") else NONE for a in animals], dtype=np.int64)
    sire = np.array([places[a["sire"]] if a.get("sire") else NONE for a in animals], dtype=np.int64)
    litters = tuple(_litters(case, places))
    codes = {sex: code for code, sex in enumerate(SEXES)}
    pedigree = Pedigree(sire, dam, litters)
    litter_of = {young: litter for litter in litters for young in litter.young}
    locus = next(iter(catalogue.loci))
    findings: dict[int, tuple[FindingRow, ...]] = {}
    claims: dict[int, dict[str, tuple[Claim, ...]]] = {}
    for number, said in enumerate(case.get("findings", ())):
        animal = places[said["animal"]]
        if "claim" in said:
            more = Claim(str(said["claim"]), float(said.get("chance", 1)))
            claims.setdefault(animal, {})[locus] = (*claims.get(animal, {}).get(locus, ()), more)
        else:
            findings[animal] = (*findings.get(animal, ()), _finding(number, locus, said))
    rows = Rows(
        np.arange(size, dtype=np.int64), {place: place for place in range(size)},
        np.array([codes[Sex(a.get("sex", "unsexed"))] for a in animals], dtype=np.uint8),
        np.array([round(100 * a.get("sex_sure", 1)) for a in animals], dtype=np.uint8),
        np.zeros(size, dtype=np.int32), ("",), pedigree, litter_of, {}, {}, findings,
    )  # fmt: skip
    return Inputs(rows, Descent(pedigree, litter_of), catalogue, (NO_LABEL,), claims)


def _litters(case: Mapping[str, Any], places: Mapping[str, int]) -> Iterator[Litter]:
    for said in case.get("litters", ()):
        sires = {(NONE if name == "?" else places[name]): float(weight) for name, weight in said["sires"].items()}
        total = sum(sires.values())
        weights = tuple(weight / total for weight in sires.values())
        yield Litter(tuple(places[y] for y in said["young"]), tuple(sires), weights, bool(said.get("shared", True)))


def _finding(number: int, locus: str, said: Mapping[str, Any]) -> FindingRow:
    key = next((key for key in _KINDS if key in said), None)
    if key is None:
        raise ValueError(f"a finding is one of {', '.join([*_KINDS, 'claim'])}")
    kind = _KINDS[key]
    if kind in (FindingKind.SEEN, FindingKind.NOT_SEEN):
        looks = tuple(str(look) for look in said[key])
        return FindingRow(number, "", kind, locus, "", looks, None, round(1_000_000 * said.get("sure", 1)))
    chance = said.get("error", 0.01) if kind is FindingKind.TEST else said.get("chance", 1)
    return FindingRow(number, "", kind, locus, str(said[key]), (), said.get("copies"), round(1_000_000 * chance))


def _one(view: LocusView, question: Mapping[str, Any], places: Mapping[str, int]) -> dict[str, Any]:
    if "pair" in question:
        sire, dam = (places[name] for name in question["pair"])
        joint = view.answer.joint(sire, dam)
        cells = [
            {"sire": state_words(view, s), "dam": state_words(view, d), "chance": float(joint[s, d])}
            for s, d in zip(*np.nonzero(joint), strict=True)
        ]
        return {"pair": list(question["pair"]), "joint": cells}
    animal = places[question["animal"]]
    law = view.law(animal)
    genes = {}
    for allele, gene in enumerate(view.states.locus.alleles[1:], start=1):
        paper = view.paper.value(animal, allele)
        genes[gene] = {
            "with_evidence": _number(float(law[view.states.copies(allele) > 0].sum())),
            "on_paper": str(paper.carrier) if paper is not None else None,
        }
    states = [{"state": state_words(view, s), "chance": _number(float(p))} for s, p in enumerate(law) if p != 0]
    return {"animal": question["animal"], "carries": genes, "states": states, "error": view.answer.error(animal)}


def state_words(view: LocusView, place: int) -> str:
    """A genotype in one word: "+/clown"; where the chromosomes differ, the X (Z) allele first and a bar between."""
    state, alleles = view.states.states[place], view.states.locus.alleles
    second = "-" if state.second < 0 else alleles[state.second]
    words = f"{alleles[state.first]}{'|' if state.ordered else '/'}{second}"
    return f"{words} {state.sex.value}" if state.sex is not None else words


def _number(chance: float) -> float | None:
    return None if np.isnan(chance) else chance
