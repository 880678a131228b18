"""What is kept of one run when it is pooled: plain data that goes through JSON and between processes."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass, field, fields
from typing import Any

import numpy as np

from analysis.pooling.curve import LinearRun
from analysis.pooling.runs import RunResult

USED, LEFT_OUT = "used", "left out"


@dataclass(frozen=True)
class Linearised:
    """A `LinearRun` as plain numbers: the upper triangle of its matrix, row by row."""

    size: int
    triangle: tuple[float, ...]
    shares: tuple[tuple[str, str, str], ...]
    points: int
    log_determinant: float
    room_effects: tuple[float, ...]

    @classmethod
    def of(cls, linear: LinearRun) -> Linearised:
        size = len(linear.matrix)
        return cls(
            size,
            tuple(linear.matrix[np.triu_indices(size)].tolist()),
            linear.shares,
            linear.points,
            linear.log_determinant,
            linear.room_effects,
        )

    def linear_run(self, run: str, bench: str) -> LinearRun:
        matrix = np.zeros((self.size, self.size))
        rows, columns = np.triu_indices(self.size)
        matrix[rows, columns] = self.triangle
        matrix[columns, rows] = self.triangle
        return LinearRun(run, bench, matrix, self.shares, self.points, self.log_determinant, self.room_effects)


@dataclass(frozen=True)
class AirPoints:
    """One run's residuals about the reference curve and its shares of air; see `analysis.pooling.blindspots`."""

    share: tuple[float, ...] = ()
    residual: tuple[float, ...] = ()
    temperature: tuple[float, ...] = ()


@dataclass(frozen=True)
class RunSummary:
    """One run, or one file that could not be used and why.

    Temperatures in K, pressures in Pa, enthalpies in J/mol; `start` in seconds since 1970 (NaN where not known),
    `content` the SHA-256 of the file, `shared` as (carrier, label, part) with signed parts of the uncertainty.
    """

    source: str
    content: str = ""
    status: str = USED
    reason: str = ""
    run: str = ""
    bench: str = ""
    liquid: str = ""
    air: str = ""
    simulated: bool = False
    start: float = math.nan
    value: float = math.nan
    u_own: float = math.nan
    interval_95: tuple[float, float] = (math.nan, math.nan)
    shared: tuple[tuple[str, str, float], ...] = ()
    points: int = 0
    room_pressure: float = math.nan
    findings: tuple[str, ...] = ()
    curve: Linearised | None = None
    air_points: AirPoints = field(default_factory=AirPoints)

    @property
    def used(self) -> bool:
        return self.status == USED

    @property
    def u(self) -> float:
        return math.sqrt(self.u_own**2 + math.fsum(part**2 for _, _, part in self.shared))

    def result(self) -> RunResult:
        """For the consensus."""
        shared = {(carrier, label): part for carrier, label, part in self.shared}
        return RunResult(self.run, self.bench, self.value, self.u_own, shared, self.start)

    def left_out(self, reason: str) -> RunSummary:
        """The same, left out for a reason."""
        return RunSummary(**{**_shallow(self), "status": LEFT_OUT, "reason": reason})

    def as_dict(self) -> dict[str, Any]:
        """Plain types; numbers that JSON has no word for are None."""
        return _plain(asdict(self))

    @classmethod
    def from_dict(cls, data: dict[str, Any]) -> RunSummary:
        """What `as_dict` wrote, also after a round through JSON."""
        known = {f.name for f in fields(cls)}
        given = {key: value for key, value in data.items() if key in known}
        for name in ("start", "value", "u_own", "room_pressure"):
            given[name] = _number(given.get(name))
        given["interval_95"] = tuple(_number(x) for x in given.get("interval_95", (None, None)))
        given["shared"] = tuple((str(c), str(label), float(p)) for c, label, p in given.get("shared", ()))
        given["findings"] = tuple(given.get("findings", ()))
        if given.get("curve"):
            curve = given["curve"]
            given["curve"] = Linearised(
                curve["size"],
                tuple(curve["triangle"]),
                tuple(tuple(share) for share in curve["shares"]),
                curve["points"],
                curve["log_determinant"],
                tuple(curve["room_effects"]),
            )
        air = given.get("air_points") or {}
        given["air_points"] = AirPoints(**{key: tuple(value) for key, value in air.items()})
        return cls(**given)


def _shallow(summary: RunSummary) -> dict[str, Any]:
    return {f.name: getattr(summary, f.name) for f in fields(summary)}


def _number(value: Any) -> float:
    return math.nan if value is None else float(value)


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
