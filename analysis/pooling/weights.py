"""Weights of results that share errors: never below zero, and blind to small differences of the stated shared parts.

With the covariance V = D + C C' of results (D what each has alone, C its parts of shared errors) the weights of
generalised least squares, V^-1 1 normed to one, take the entries of C for exact.  Two results that state 100 and
105 for one common error are then worth (21, -20): that sum is free of the error, if the parts are right to far better
than their difference.  Stated uncertainties never are; with many results such sums win, and the mean leaves the data.

Here a weight comes from a levelled covariance instead, and only the uncertainty of the mean from the full one,
w' V w, so that every stated part is carried whole.  Levelled means:

- each thing acts on all that have it with its mean part, `level`.  What everybody has then changes no weight; what
  only a group has makes the group count less, since its members repeat one error;
- by how much a result states more than the level counts, for its weight alone, as an error of its own (`beyond`): of
  two that share a barometer the one that it disturbs far more counts less, as in any weighted mean.  The square of the
  difference is what is left when the level is taken out, and makes nothing of a few per cent.

Groups are taken as if nested, smaller ones first: joining a group's error of variance s**2 to results of weight w
divides their weights by 1 + s**2 sum(w) (J. Sherman and W. J. Morrison, Ann. Math. Stat. 21 (1950) 124-127).  Where
groups are nested or apart these are the least-squares weights of the levelled covariance; where they cross (rooms and
types of thermometer) those could be negative again, these never are.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Levelled:
    """What units (runs, or benches with several runs) share, by mean parts.

    Attributes
    ----------
    members : array, shape (units, groups)
        Which fraction of each unit is in a group: 0 or 1 for a run.  What all have is in none of them.
    variance : array, shape (groups,)
        Of the error that the group has in common.  Smaller groups come first.
    beyond : array, shape (units,)
        Variance from what a unit states beyond the levels.
    """

    members: Floats
    variance: Floats
    beyond: Floats

    def weights(self, own: Floats) -> Floats:
        """Weights, each above zero and one in sum, of units with these variances of their own, shape (..., units)."""
        weight = 1.0 / (own + self.beyond)
        for member, variance in self._groups():
            weight = weight / (1.0 + variance * member * (weight @ member)[..., None])
        return weight / weight.sum(axis=-1, keepdims=True)

    def _groups(self) -> Iterator[tuple[Floats, float]]:
        return zip(self.members.T, self.variance.tolist(), strict=True)


def levelled(members: Floats, parts: Floats) -> Levelled:
    """From what each unit has and states.

    Parameters
    ----------
    members : array, shape (units, things)
        Which fraction of each unit's runs shares each thing.
    parts : array, shape (units, things)
        Mean over the unit's runs of the signed part of each thing, zero for runs without it.
    """
    having = members.sum(axis=0)
    level = np.divide(parts.sum(axis=0), having, out=np.zeros(len(having)), where=having > 0)
    usual = members * level
    beyond = np.where(np.abs(parts) > np.abs(usual), parts - usual, 0.0) ** 2
    apart = (members < 1.0).any(axis=0) & (level != 0.0)
    groups, place = np.unique(members[:, apart], axis=1, return_inverse=True)
    variance = np.bincount(place.ravel(), level[apart] ** 2, groups.shape[1])
    order = np.argsort(groups.sum(axis=0), kind="stable")
    return Levelled(groups[:, order], variance[order].astype(float), beyond.sum(axis=1))
