"""What checks separate of the hypotheses *that need different repairs*.

EC2 (Golovin, Krause, Ray, arXiv 1010.3091): every two hypotheses that need different
repairs weigh the product of their probabilities; a check cuts the weight of those it tells
apart.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.planning.costs import Indices
from lightoff.engine.reasoning.planning.repairing import repairs_of
from lightoff.engine.reasoning.table import Floats

TINY = np.finfo(float).tiny


def ec2_weight(shares: Floats) -> Floats:
    """EC2 weight of masses of shape (..., repairs): all pairs that need different repairs."""
    return np.asarray((shares.sum(-1) ** 2 - (shares**2).sum(-1)) / 2)


@dataclass(frozen=True, slots=True, eq=False)
class Separation:
    """What checks separate in any state, by three matrix products for many states at once.

    For answers without noise this is EC2 as published: what is left after an outcome is
    the weight of the posterior times the square of the share of hypotheses that allow the
    outcome. With noise the share is the effective one, (sum p L)^2 / sum p L^2 (own
    extension): the same where L is 0 or 1, and 1 where an outcome is equally likely under
    all. So a check that says nothing gains 0, and one that is not answered with chance d
    gains exactly (1 - d) of what it would.
    """

    start: Indices
    """First row of each check, and the number of rows, shape (checks + 1,)."""
    top: Floats
    """The highest likelihood of each row, shape (outcome rows,)."""
    scaled: Floats
    """Likelihoods over the highest of their row: squares of tiny chances do not vanish."""
    squares: Floats
    one: Indices
    other: Indices
    """All pairs of hypotheses that need the same repair, shape (pairs,)."""
    products: Floats
    """Twice the product of the scaled likelihoods of the two, shape (outcome rows, pairs)."""

    @classmethod
    def of(cls, likelihood: Floats, start: Indices, number: Indices) -> Separation:
        """From likelihoods of shape (outcome rows, hypotheses), and which repair each needs."""
        top = likelihood.max(axis=1, initial=0.0)
        scaled = likelihood / np.where(top > 0.0, top, 1.0)[:, None]
        one, other = _same_repair(number)
        products = 2.0 * scaled[:, one] * scaled[:, other]
        return cls(start, top, scaled, np.square(scaled), one, other, products)

    def weight(self, shares: Floats) -> Floats:
        """EC2 weight, shape (states,), for shares of (states, hypotheses), rows summing to 1."""
        pairs = (shares[:, self.one] * shares[:, self.other]).sum(-1)
        return np.asarray((1.0 - np.square(shares).sum(-1) - 2.0 * pairs) / 2)

    def gains(self, shares: Floats) -> Floats:
        """EC2 weight that each check is expected to cut, shape (states, checks)."""
        chance = shares @ self.scaled.T
        spread = shares @ self.squares.T
        effective = chance * (chance / np.where(spread > 0.0, spread, 1.0))
        left = self.top * np.square(effective) * self._apart(shares, chance) / 2
        kept = np.add.reduceat(left, self.start[:-1], axis=-1)
        gains: Floats = np.maximum(self.weight(shares)[:, None] - kept, 0.0)
        return gains

    def gain_shares(self, shares: Floats) -> Floats:
        """The same as a share of the weight there is, 0 to 1."""
        weight = np.maximum(self.weight(shares), TINY)
        return np.asarray(self.gains(shares) / weight[:, None])

    def _apart(self, shares: Floats, chance: Floats) -> Floats:
        """Weight of hypotheses with different repairs after each outcome, over its chance."""
        alone = np.square(shares) @ self.squares.T
        together = (shares[:, self.one] * shares[:, self.other]) @ self.products.T
        return np.asarray(chance - (alone + together) / np.where(chance > 0.0, chance, 1.0))


def _same_repair(number: Indices) -> tuple[Indices, Indices]:
    """All pairs of places with the same number, each pair once."""
    order = np.argsort(number, kind="stable")
    groups = np.split(order, np.flatnonzero(np.diff(number[order])) + 1)
    pairs = [np.triu_indices(len(group), 1) for group in groups]
    one = [group[first] for group, (first, _) in zip(groups, pairs, strict=True)]
    other = [group[second] for group, (_, second) in zip(groups, pairs, strict=True)]
    return np.concatenate(one), np.concatenate(other)


def separation_of(belief: Belief) -> Separation:
    """What the checks of a table separate, over all its hypotheses."""
    table = belief.table
    return Separation.of(table.likelihood, table.start, repairs_of(table).number)


def ec2_gains(belief: Belief) -> Floats:
    """EC2 weight that each check is expected to cut, shape (checks,)."""
    return np.asarray(separation_of(belief).gains(belief.probabilities[None])[0])


def ec2_shares(belief: Belief) -> Floats:
    """Share of the EC2 weight that each check is expected to cut, shape (checks,), 0 to 1."""
    return np.asarray(separation_of(belief).gain_shares(belief.probabilities[None])[0])
