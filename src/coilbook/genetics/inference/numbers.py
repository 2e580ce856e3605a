"""Evidence into the factors of a network, and laws of animals out of its marginals."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coilbook.genetics.inference.broods import BroodPart, fold_part, young_laws
from coilbook.genetics.inference.laws import Laws
from coilbook.genetics.inference.network import Kin, Network, Pairs
from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Floats


@dataclass(frozen=True)
class Sorted:
    """The pairs of leaves by the kind of their mating: `order` sorts them, kind k has `cuts[k]` to `cuts[k+1]`."""

    order: Ints
    cuts: Ints

    def of(self, kin: int) -> Ints:
        """The pairs of one kind, by mating."""
        return self.order[self.cuts[kin] : self.cuts[kin + 1]]


@dataclass(frozen=True)
class Before:
    """Factors of the same network when the evidence of these `animals` only was another."""

    logs: Floats
    animals: tuple[int, ...]


def sort_pairs(network: Network, pairs: Pairs) -> Sorted:
    """Sort the pairs by kind of mating."""
    kin = network.kin_of[pairs.mating].astype(np.int16 if len(network.kin) < 2**15 else np.int64)
    order = np.argsort(kin, kind="stable")
    return Sorted(order, np.searchsorted(kin[order], np.arange(len(network.kin) + 1)))


def factors(network: Network, laws: Laws, pairs: Pairs, by_kin: Sorted, before: Before | None = None) -> Floats:
    """(entries,) logarithms of all factors under this evidence; those that did not change are taken from `before`."""
    logs = network.base.copy()
    kinds = None if before is None else network.kinds_of(before.animals)
    with np.errstate(divide="ignore"):
        own = np.log(laws.evidence[laws.evidence_of[network.animals]] * laws.prior[laws.prior_of[network.animals]])
        for number, variables, group in network.own:
            rows = own[variables][:, network.masks.members(number)]
            logs[group.offset : group.offset + rows.size] += rows.reshape(-1)
        for number, kin in enumerate(network.kin):
            if kin.factor is None:
                continue
            where = slice(kin.factor.offset, kin.factor.offset + kin.still.size)
            if before is not None and kinds is not None and number not in kinds:
                logs[where] = before.logs[where]
            else:
                _add_young(network, laws, pairs, kin, by_kin.of(number), logs[where].reshape(kin.still.shape))
        for part in network.broods:
            fold_part(part, _rows_of(network, laws, part), logs)
    return logs


def _add_young(network: Network, laws: Laws, pairs: Pairs, kin: Kin, mine: Ints, table: Floats) -> None:
    """Add what the folded young of one kind of mating say to its factors (matings, a*b)."""
    table += kin.still
    if len(mine):
        seen = np.log(_seen(kin, laws, pairs.row[mine])) * pairs.count[mine, None]
        rows = kin.folded_at[network.place_of[pairs.mating[mine]]]
        first = np.flatnonzero(np.diff(rows, prepend=-1))
        table[rows[first]] += np.add.reduceat(seen, first, axis=0)


def _seen(kin: Kin, laws: Laws, rows: Ints) -> Floats:
    """(k, a*b) chance of rows of evidence of young for all states of the parents."""
    size = kin.law.shape[2]
    return np.asarray(laws.evidence[rows] @ kin.law.reshape(-1, size).T)


def _rows_of(network: Network, laws: Laws, part: BroodPart) -> Floats:
    """(k, S) what is known of the folded young of a brood, and of those settled that breed."""
    rows = laws.evidence[laws.evidence_of[list(part.folded)]]
    if not part.still:
        return rows
    only = network.masks.only[network.slots.sets[network.families.breeder_at[list(part.still)]]]
    return np.concatenate([rows, np.eye(rows.shape[1])[only]])


def animal_laws(network: Network, laws: Laws, pairs: Pairs, by_kin: Sorted, marginals: Floats) -> Floats:
    """(count, S) laws of all animals, fresh parents too; rows of zeros where the evidence cannot be."""
    families, masks = network.families, network.masks
    found = np.zeros((families.count, laws.young.shape[0]))
    breeders = np.zeros((len(families.breeders), found.shape[1]))
    settled = network.variable_of < 0
    only = masks.only[network.slots.sets[: len(breeders)][settled]]
    rows = laws.evidence_of[families.breeders[settled]]
    breeders[settled, only] = laws.evidence[rows, only] > 0
    places = np.flatnonzero(~settled)
    for number, variables, group in network.own:
        size = group.entries
        values = marginals[group.offset : group.offset + len(variables) * size].reshape(-1, size)
        breeders[places[variables][:, None], masks.members(number)] = values
    found[families.breeders] = _scaled(breeders)
    found[pairs.leaves] = _scaled(pair_laws(network, laws, pairs, by_kin, marginals)).take(pairs.of, axis=0)
    alone = np.flatnonzero(families.founder & (families.breeder_at < 0))
    found[alone] = _scaled(laws.evidence[laws.evidence_of[alone]] * laws.prior[laws.prior_of[alone]])
    for part in network.broods:
        if part.folded:
            folded = list(part.folded)
            found[folded] = _scaled(young_laws(part, laws.evidence[laws.evidence_of[folded]], marginals))
    return found


def _scaled(rows: Floats) -> Floats:
    """Rows that sum to 1, or to 0 where nothing can be."""
    # a product, since a sum over so short an axis is several times slower
    total = rows @ np.ones((rows.shape[1], 1))
    return np.asarray(rows / np.where(total > 0, total, 1.0))


def pair_laws(network: Network, laws: Laws, pairs: Pairs, by_kin: Sorted, marginals: Floats) -> Floats:
    """(P, S) laws of leaves, one a mating and row of evidence, not scaled."""
    found = np.zeros((len(pairs.mating), laws.young.shape[0]))
    for number, kin in enumerate(network.kin):
        mine = by_kin.of(number)
        if not len(mine):
            continue
        law = kin.law.reshape(-1, kin.law.shape[2])
        if kin.factor is None:
            found[mine] = law[0]
            continue
        values = marginals[kin.factor.offset : kin.factor.offset + kin.still.size].reshape(kin.still.shape)
        joint = values[kin.folded_at[network.place_of[pairs.mating[mine]]]]
        seen = _seen(kin, laws, pairs.row[mine])
        found[mine] = np.divide(joint, seen, out=np.zeros_like(joint), where=seen > 0) @ law
    return found * laws.evidence[pairs.row]
