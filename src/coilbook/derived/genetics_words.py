"""Genetics texts of a collection, each read once: labels of animals and claims, and the catalogues they are read by."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from coilbook.derived.genetics_locus import Inputs
from coilbook.derived.genetics_rows import FindingRow, Rows
from coilbook.genetics.catalogue import Catalogue, LineWord
from coilbook.genetics.known import Claim, LabelWords, claims_of, known_by_label
from coilbook.genetics.statement import Reading
from coilbook.storage.without_act import Readable

Claims = Mapping[int, Mapping[str, tuple[Claim, ...]]]


class Words:
    """Keeps catalogues and readings; the texts of a collection repeat by the thousand."""

    def __init__(self) -> None:
        self._catalogues: dict[str, Catalogue] = {}
        self._answers: dict[str, str] = {}
        self._readings: dict[tuple[str, str], Reading] = {}
        self._words: dict[tuple[Catalogue, str], LabelWords] = {}
        #: by species, the catalogue as it was given and with the lines the texts name
        self._whole: dict[str, tuple[Catalogue, Catalogue]] = {}

    def catalogues(self, collection: Readable, *, fresh: bool) -> Mapping[str, Catalogue]:
        """The catalogue of every species, the keeper's entries laid over it; read again when `fresh`."""
        if fresh or not self._catalogues:
            from coilbook.derived.genetics_catalogues import catalogues_of, genetics_answers

            self._catalogues = catalogues_of(collection)
            self._answers = genetics_answers(collection)
            self._readings.clear()
            self._words.clear()
        return self._catalogues

    def reading(self, text: str, catalogue: Catalogue) -> Reading:
        """One text read by a catalogue."""
        from coilbook.genetics.notation_reader import read

        found = self._readings.get((catalogue.species, text))
        if found is None:
            found = self._readings[catalogue.species, text] = read(text, catalogue, answers=self._answers)
        return found

    def read(
        self, rows: Rows, catalogue: Catalogue, before: Inputs | None
    ) -> tuple[Catalogue, tuple[LabelWords, ...], Claims]:
        """The catalogue with the lines the texts name, what each label says, and what claim rows say by animal."""
        if before is not None and self._may_go_on(before, rows, catalogue):
            return self._gone_on(before, rows, catalogue)
        readings = [self.reading(text, catalogue) for text in rows.labels]
        claimed = {text for claims in rows.claims.values() for _, text in claims}
        lines: dict[LineWord, None] = {}
        for reading in (*readings, *(self.reading(text, catalogue) for text in sorted(claimed))):
            lines.update(dict.fromkeys(reading.lines))
        lines.update(dict.fromkeys(line for line in _lines_found(rows) if line.key not in catalogue.merged))
        whole = self._with_lines(catalogue, lines)
        words = tuple(self._known(whole, reading) for reading in readings)
        by_text = {text: claims_of(self.reading(text, catalogue), whole) for text in claimed}
        return whole, words, {animal: _merged(claims, by_text) for animal, claims in rows.claims.items()}

    def _with_lines(self, catalogue: Catalogue, lines: Iterable[LineWord]) -> Catalogue:
        """The catalogue with these lines: the same object as long as neither it nor its lines have changed."""
        whole = catalogue.with_lines(lines)
        given, kept = self._whole.get(catalogue.species, (None, None))
        if given is catalogue and kept is not None and kept.genes.keys() == whole.genes.keys():
            return kept
        self._whole[catalogue.species] = (catalogue, whole)
        return whole

    def _may_go_on(self, before: Inputs, rows: Rows, catalogue: Catalogue) -> bool:
        """True when everything said now that was not said before names no new line."""
        if self._whole.get(catalogue.species, (None, None)) != (catalogue, before.catalogue):
            return False
        old = len(before.rows.labels)
        fresh = {text for claims in rows.claims.values() for _, text in claims} - {t for s, t in self._readings}
        if rows.labels[:old] != before.rows.labels or any(f.locus not in before.catalogue.loci for f in _all(rows)):
            return False
        said = (self.reading(text, catalogue) for text in (*rows.labels[old:], *sorted(fresh)))
        return all(line.key in before.catalogue.genes for reading in said for line in reading.lines)

    def _gone_on(
        self, before: Inputs, rows: Rows, catalogue: Catalogue
    ) -> tuple[Catalogue, tuple[LabelWords, ...], Claims]:
        """What an earlier revision read, and what is new."""
        whole, old = before.catalogue, len(before.rows.labels)
        new = tuple(self._known(whole, self.reading(text, catalogue)) for text in rows.labels[old:])
        claims = {}
        for animal, said in rows.claims.items():
            if before.rows.claims.get(animal) is said:
                claims[animal] = before.claims[animal]
            else:
                by_text = {text: claims_of(self.reading(text, catalogue), whole) for _, text in said}
                claims[animal] = _merged(said, by_text)
        return whole, (*before.words, *new), claims

    def _known(self, catalogue: Catalogue, reading: Reading) -> LabelWords:
        found = self._words.get((catalogue, reading.text))
        if found is None:
            found = self._words[catalogue, reading.text] = known_by_label(reading, catalogue)
        return found


def _lines_found(rows: Rows) -> Iterator[LineWord]:
    """The lines that findings are about: "axanthic (line b)"."""
    for findings in rows.findings.values():
        for finding in findings:
            gene, bracket, words = finding.locus.partition(" (")
            if bracket and words.endswith(")"):
                yield LineWord(gene, words[:-1])


def _all(rows: Rows) -> Iterator[FindingRow]:
    for findings in rows.findings.values():
        yield from findings


def _merged(
    claims: tuple[tuple[int, str], ...], by_text: Mapping[str, Mapping[str, tuple[Claim, ...]]]
) -> dict[str, tuple[Claim, ...]]:
    """Claims by locus, newest row first."""
    found: dict[str, tuple[Claim, ...]] = {}
    for _, text in claims:
        for key, said in by_text[text].items():
            found[key] = (*found.get(key, ()), *said)
    return found
