"""Repeatable random numbers: the same seed gives the same numbers on every machine and with every numpy.

Only the raw bit stream of PCG64 is used, which numpy promises not to change; its normal deviates carry no such
promise, so the deviates are made here.
"""

from __future__ import annotations

import math

import numpy as np

_BLOCK = 512


class Normals:
    """An endless stream of standard normal and uniform deviates.

    Parameters
    ----------
    seed
        Any whole number from 0.
    stream
        Number of the stream; different streams of one seed are independent.
    """

    def __init__(self, seed: int, stream: int) -> None:
        self._bits = np.random.PCG64(np.random.SeedSequence([seed, stream]))
        self._block: list[float] = []
        self._next = 0

    def _uniforms(self, count: int) -> np.ndarray:
        return (self._bits.random_raw(count) >> np.uint64(11)) * 2.0**-53

    def normal(self) -> float:
        """One standard normal deviate."""
        if self._next == len(self._block):
            # Box and Muller's transform; 1 - u avoids the logarithm of zero.
            radius = np.sqrt(-2.0 * np.log(1.0 - self._uniforms(_BLOCK)))
            angle = 2.0 * math.pi * self._uniforms(_BLOCK)
            self._block = np.concatenate((radius * np.cos(angle), radius * np.sin(angle))).tolist()
            self._next = 0
        self._next += 1
        return self._block[self._next - 1]

    def uniform(self) -> float:
        """One deviate between 0 and 1."""
        return float(self._uniforms(1)[0])
