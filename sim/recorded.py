"""A run that was recorded before, played again as if it happened now: a bench whose bytes are already known."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from sim.device import BenchAct
from sim.errors import BenchActError
from sim.scenario import Scenario, load_scenario
from sim.wire import CLOCK_WRAP
from sim.wire_checks import xor

Column = NDArray[np.float64]


class RecordedBench:
    """Plays stored bytes; whoever rehearses on it decides on the traces as they unfold and cannot change them.

    Parameters
    ----------
    records
        (arrival in seconds since the run began, bytes), oldest first, as the journal of a run keeps them.
    profile
        Name of the profile that decodes them.

    It has the face of `SimulatedBench`, so a `VirtualPort` and a rehearsal take either. `acts` keeps what the
    trainee did and when; the recording goes on regardless.
    """

    def __init__(self, records: Iterable[tuple[float, bytes]], profile: str) -> None:
        self._records = [(float(arrival), bytes(data)) for arrival, data in records]
        for (a, _), (b, _) in zip(self._records[:-1], self._records[1:], strict=True):
            if b < a:
                raise BenchActError(f"found bytes of {b:g} s after those of {a:g} s; expected the oldest first")
        self.profile = profile
        self.scenario: Scenario = _pretended(len(self._records) / max(self.end, 1.0))
        self.time = 0.0
        self.acts: list[tuple[float, BenchAct]] = []
        self._next = 0

    @property
    def end(self) -> float:
        """When the last bytes came.  [s]"""
        return self._records[-1][0] if self._records else 0.0

    @property
    def plugged_in(self) -> bool:
        return True

    def advance(self, to: float) -> bytes:
        """Let time pass up to `to`; returns the bytes that came meanwhile.  [s]"""
        if to < self.time:
            raise ValueError(f"time cannot go back from {self.time:g} s to {to:g} s")
        pieces = []
        while self._next < len(self._records) and self._records[self._next][0] <= to:
            pieces.append(self._records[self._next][1])
            self._next += 1
        self.time = to
        return b"".join(pieces)

    def hear(self, data: bytes) -> bytes:
        """A recording does not answer."""
        return b""

    def act(self, act: BenchAct) -> None:
        """Note what the trainee did."""
        self.acts.append((self.time, act))


def _pretended(rate: float) -> Scenario:
    """The shipped scenario that a port may look at; only how often the device speaks is of this recording.  [Hz]"""
    calm = load_scenario("calm")
    return calm.model_copy(update={"device": calm.device.model_copy(update={"rate_Hz": max(rate, 0.1)})})


def encoded(temperature: tuple[Column, Column], pressure: tuple[Column, Column]) -> list[tuple[float, bytes]]:
    """Stored readings as the lines of the simulated bench, each at its time; "nan" where a channel had nothing then.

    Parameters
    ----------
    temperature, pressure
        Times [s] and values [K], [Pa], oldest first; readings of one millisecond share a line.
    """
    ticks = [np.round(1e3 * np.maximum(times, 0.0)).astype(np.int64) for times, _ in (temperature, pressure)]
    every = np.union1d(*ticks)
    columns = []
    for own, values in zip(ticks, (temperature[1] - 273.15, pressure[1] / 1e3), strict=True):
        column = np.full(len(every), np.nan)
        column[np.searchsorted(every, own)] = values
        columns.append(column)
    lines = []
    for tick, celsius, kilopascal in zip(every.tolist(), *(column.tolist() for column in columns), strict=True):
        body = b"SAT,%d,%.6f,%.6f" % (tick % CLOCK_WRAP, celsius, kilopascal)
        lines.append((1e-3 * tick, b"$%b*%02X\r\n" % (body, xor(body))))
    return lines
