"""A run as plain data: what a run file holds, and what review, report, fit and export start from."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from acquire.journal import Entry


@dataclass(frozen=True)
class Trace:
    """All readings of one channel, oldest first; the arrays are never changed."""

    channel: str
    unit: str  # SI: "K" or "Pa"
    time: NDArray[np.float64]  # (n,) [s]
    value: NDArray[np.float64]  # (n,)
    raw: NDArray[np.float64]  # (n,) as received
    quality: NDArray[np.uint8]  # (n,) drivers.readings.Quality bits
    device: str = ""

    def __len__(self) -> int:
        return len(self.time)

    @property
    def first_time(self) -> float:
        """NaN without a reading.  [s]"""
        return float(self.time[0]) if len(self.time) else float("nan")

    @property
    def last_time(self) -> float:
        """NaN without a reading.  [s]"""
        return float(self.time[-1]) if len(self.time) else float("nan")

    def between(self, start: float, end: float) -> Trace:
        """The readings from `start` on and before `end`.  [s]"""
        first, last = np.searchsorted(self.time, [start, end])
        part = slice(int(first), int(last))
        columns = (self.time[part], self.value[part], self.raw[part], self.quality[part])
        return Trace(self.channel, self.unit, *columns, self.device)

    def values_between(self, start: float, end: float) -> NDArray[np.float64]:
        """The values alone of the readings from `start` on and before `end`.  [s]"""
        return self.between(start, end).value


@dataclass(frozen=True)
class Baseline:
    """A (T, p) with the cell at rest: the room baseline (valve open) or the sealed baseline.  [K, Pa]"""

    kind: str  # "room" | "sealed"
    temperature: float
    pressure: float
    u_temperature: float
    u_pressure: float
    start: float  # [s]
    end: float  # [s]


@dataclass(frozen=True)
class PointRecord:
    """One taken plateau: a (T, p) with its covariance and the window of readings it came from."""

    number: int  # 1, 2, ... in the order of taking
    label: str
    branch: str  # "up" | "down" | "return"
    start: float  # [s] window
    end: float  # [s]
    temperature_probe: float  # [K] as the probe read
    temperature: float  # [K] corrected for the lag; what the fit uses
    pressure: float  # [Pa] total
    u_temperature: float  # [K]
    u_pressure: float  # [Pa]
    correlation: float
    lag: float  # [K] probe minus liquid
    u_lag: float  # [K]
    drift: float  # [K/s]
    readings: int
    taken_by: str  # journal actor
    used: bool = True  # False after it was set aside
    reason: str = ""  # why set aside or edited


@dataclass(frozen=True)
class RunRecord:
    """A whole run, live or closed, as plain data.  Everything in SI."""

    title: str
    plan: dict[str, Any]  # RunPlan.model_dump(), SI numbers
    plan_text: str  # the TOML as given
    profile_texts: dict[str, str]  # device name -> profile TOML
    devices: dict[str, str]  # device name -> URL and identity
    start_time: str  # ISO 8601 with offset
    end_time: str | None  # None: still running, or it ended without being closed
    program: str  # "satline 0.1.0"
    traces: dict[str, Trace]
    journal: tuple[Entry, ...]
    baselines: tuple[Baseline, ...]
    points: tuple[PointRecord, ...]
    results: tuple[dict[str, Any], ...] = ()  # EnthalpyFit.as_dict() in the order computed; never overwritten
    truth: dict[str, Any] | None = None  # of a simulated run
    versions: dict[str, str] = field(default_factory=dict)  # libraries, Python, system
    path: str = ""  # where it was read from
    integrity: str = ""  # "sealed" | "open" | "unsealed"
    seal: str = ""  # SHA-256 over the content of the file, "" where it was not sealed

    @property
    def duration(self) -> float:
        """Time of the last reading.  [s]"""
        return max((trace.last_time for trace in self.traces.values() if len(trace)), default=0.0)
