"""One vapour-pressure curve through the points of many runs, with shared errors fitted once and dCp measurable.

A run alone spans too few kelvin to show how its enthalpy changes with temperature; many together do.  Each run is
linearised about a start curve and reduced to one small matrix, summed over the runs of a bench: memory does not grow
with the number of runs.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from analysis.fit_input import FitPoint, SensorPriors
from analysis.liquids import GAS_CONSTANT, ROOM_TEMPERATURE, Liquid
from analysis.pooling.runs import Share
from analysis.reading_model import ReadingModel, VapourPrior, vapour_prior
from analysis.trapped_air import CellSetup, SealedBaseline

Floats = NDArray[np.float64]

#: Which thing carries each common error of the fit; errors not listed belong to the single run.
CARRIERS: dict[str, str] = {
    "offset": "pressure sensor",
    "gain": "pressure sensor",
    "bend": "pressure sensor",
    "offset_t": "thermometer",
    "gain_t": "thermometer",
    "dz": "liquid data",
    "log_gamma": "liquid data",
    "ostwald": "liquid data",
    "volume": "cell",
    "tube": "cell",
    "tube_vapour": "cell",
    "neck": "cell",
    "humidity": "room air",
    "room": "room air",
}
#: Carriers that differ from run to run unless a label says otherwise.
PASSING = ("room air",)
PARAMETERS = ("ln_pressure", "enthalpy_vap", "heat_capacity")
AIR, LEAK = "air", "leak"
_STEP = np.array([1e-4, 20.0, 2.0])  # differences for the derivatives: small against curvature


@dataclass(frozen=True)
class PooledRun:
    """What the pooled curve takes of one run: its points as the single fit takes them, and what carries its errors.

    `labels` names the individual things ({"pressure sensor": "B2", ...}).  What is not named is taken to be the
    bench's own, "liquid data" the same for all, and "room air" another in every run.

    `room_difference` is what the open cell's sensor read less what the room's pressure was, as far as other benches or
    a barometer say, with the standard uncertainty of that; NaN where not known.  [Pa]
    """

    run: str
    bench: str
    points: Sequence[FitPoint]
    baseline: SealedBaseline | None
    setup: CellSetup
    sensors: SensorPriors
    air: str = "sealed"
    labels: Mapping[str, str] = field(default_factory=dict)
    room_difference: float = math.nan
    u_room_difference: float = 200.0

    def share(self, key: str) -> Share | None:
        """The individual thing that carries this error, None where it is the run's own."""
        carrier = CARRIERS.get(key)
        if carrier is None or (carrier in PASSING and carrier not in self.labels):
            return None
        return carrier, self.labels.get(carrier, "all" if carrier == "liquid data" else self.bench)


@dataclass(frozen=True)
class Curve:
    """ln p, enthalpy of vaporisation [J/mol] and its change with temperature [J/mol/K] at `temperature` [K].

    `dz`, `dz_slope` [1/K] are the non-ideality of the vapour there.
    """

    ln_pressure: float
    enthalpy_vap: float
    heat_capacity: float
    dz: float = 1.0
    dz_slope: float = 0.0
    temperature: float = ROOM_TEMPERATURE

    def values(self) -> Floats:
        return np.array([self.ln_pressure, self.enthalpy_vap, self.heat_capacity])

    def moved(self, step: Floats) -> Curve:
        new = self.values() + step
        return replace(self, ln_pressure=float(new[0]), enthalpy_vap=float(new[1]), heat_capacity=float(new[2]))

    def ln_pressure_at(self, temperature: float | Floats) -> Floats:
        """ln(p/Pa), with the enthalpy and dZ both linear in temperature.  [ln Pa]"""
        tr, t = self.temperature, np.asarray(temperature, float)
        slope = self.enthalpy_vap / self.dz
        bend = self.heat_capacity / self.dz - slope * self.dz_slope / self.dz
        return np.asarray(
            self.ln_pressure
            - slope / GAS_CONSTANT * (1 / t - 1 / tr)
            + bend / GAS_CONSTANT * (tr / t - 1 + np.log(t / tr))
        )

    def enthalpy_at(self, temperature: float | Floats) -> Floats:
        """Enthalpy of vaporisation.  [J/mol]"""
        return np.asarray(self.enthalpy_vap + self.heat_capacity * (np.asarray(temperature) - self.temperature))


def start_curve(liquid: Liquid) -> Curve:
    """The reference curve of a liquid as the point to linearise at; the fit is free to leave it."""
    vapour = vapour_prior(liquid, ROOM_TEMPERATURE, 1e4, 40e3)
    slope = float(liquid.slope(ROOM_TEMPERATURE))
    return Curve(
        float(np.log(liquid.saturation_pressure(ROOM_TEMPERATURE))),
        slope * vapour.dz,
        vapour.heat_capacity,
        vapour.dz,
        vapour.dz_slope,
    )


@dataclass(frozen=True)
class LinearRun:
    """One run as weighted products: `matrix` over [residual, three parameters, shared errors, air, leak].

    `shares` says which shared error stands in each middle column (carrier, label, error key); errors that are the
    run's own have been eliminated with their priors.
    """

    run: str
    bench: str
    matrix: Floats
    shares: tuple[tuple[str, str, str], ...]
    points: int
    log_determinant: float
    room_effects: tuple[float, ...] = ()

    def with_room(self, difference: float, u: float) -> LinearRun:
        """The same run with its room reading as one more observation of the pressure sensor's errors.

        `difference` is what the sensor read less the room's pressure, `u` the standard uncertainty of that.  [Pa]
        """
        row = np.zeros(len(self.matrix))
        row[0] = difference / u
        row[4 : 4 + len(self.room_effects)] = np.array(self.room_effects) / u
        return replace(self, matrix=self.matrix + np.outer(row, row))


def linearise(run: PooledRun, liquid: Liquid | None, curve: Curve) -> LinearRun:
    """The run's readings about the curve, in units of their own noise."""
    model = ReadingModel(run.points, run.baseline, run.setup, run.sensors, liquid, run.air, leak=False)
    tm = model.mean_temperature
    keys = [error.key for error in model.errors]
    own_curve = _vapour_at(liquid, curve, tm)
    cases = np.vstack([np.zeros(3), *(sign * np.diag(_STEP)[k] for k in range(3) for sign in (1, -1))])
    count = len(keys)
    theta = np.array([_theta(curve.moved(step), own_curve, tm) for step in cases])
    z = np.zeros((len(cases) + 2 * count, count))
    for k in range(count):
        z[len(cases) + 2 * k, k], z[len(cases) + 2 * k + 1, k] = 1.0, -1.0
    if "dcp" in keys:
        capacity = np.array([curve.moved(step).heat_capacity for step in cases])
        shift = (capacity - own_curve.heat_capacity) / max(own_curve.u_heat_capacity, 1e-12)
        z[:, keys.index("dcp")] += np.concatenate([shift, np.full(2 * count, shift[0])])
    else:
        own_curve = replace(own_curve, heat_capacity=curve.heat_capacity)
    theta = np.vstack([theta, np.repeat(theta[:1], 2 * count, axis=0)])
    slope = float(theta[0, 1]) * GAS_CONSTANT * tm
    readings, foreign = model.predict(theta, z, own_curve, slope)
    half = 0.5 * (readings[1::2] - readings[2::2])
    design = (half[:3] / _STEP[:, None]).T
    columns = half[3:].T
    if "dz" in keys:
        # to the fit dZ only scales the slope into an enthalpy; here the enthalpy is the parameter and dZ moves the
        # readings: an enthalpy too large by u(dZ)/dZ is a slope too large by as much
        columns[:, keys.index("dz")] = -design[:, 1] * curve.enthalpy_vap * own_curve.u_dz / own_curve.dz
    noise = model.noise(theta[0], foreign[0], model.line(model.temperature, theta[:1], own_curve)[0])
    kept = [k for k, key in enumerate(keys) if key != "dcp"]
    things = {k: thing for k in kept if (thing := run.share(keys[k])) is not None}
    shared, own = list(things), [k for k in kept if k not in things]
    everything = np.column_stack(
        [model.pressure - readings[0], design, columns[:, shared], foreign[0], -foreign[0] * model.exposure]
    )
    weighted = everything / np.sqrt(noise)[:, None]
    matrix = weighted.T @ weighted
    log_determinant = float(np.log(noise).sum())
    if own:
        private = columns[:, own] / np.sqrt(noise)[:, None]
        inner = np.eye(len(own)) + private.T @ private
        cross = private.T @ weighted
        matrix -= cross.T @ np.linalg.solve(inner, cross)
        log_determinant += float(np.linalg.slogdet(inner)[1])
    shares = tuple((*thing, keys[k]) for k, thing in things.items())
    linear = LinearRun(
        run.run,
        run.bench,
        matrix,
        shares,
        len(noise),
        log_determinant,
        _room_effects(run, [share[2] for share in shares]),
    )
    if math.isfinite(run.room_difference):
        return linear.with_room(run.room_difference, run.u_room_difference)
    return linear


def _room_effects(run: PooledRun, keys: Sequence[str]) -> tuple[float, ...]:
    """What each shared error adds to a reading of the room pressure.  [Pa]"""
    pressure = run.setup.room_pressure or (run.baseline.pressure if run.baseline else 1e5)
    effects = {"offset": run.sensors.u_offset_pressure, "gain": run.sensors.u_gain_pressure * pressure}
    return tuple(effects.get(key, 0.0) for key in keys)


def _vapour_at(liquid: Liquid | None, curve: Curve, tm: float) -> VapourPrior:
    pressure = float(np.exp(curve.ln_pressure_at(tm)))
    vapour = vapour_prior(liquid, tm, pressure, curve.enthalpy_vap / curve.dz)
    # one dZ for all runs: two forms of it a few kelvin apart would look like a change of enthalpy
    dz = curve.dz + curve.dz_slope * (tm - curve.temperature)
    return replace(vapour, dz=dz, dz_slope=curve.dz_slope)


def _theta(curve: Curve, vapour: VapourPrior, tm: float) -> Floats:
    """The curve as the single run's parameters (ln p_m, s/(R Tm)) at its mean temperature."""
    slope = float(curve.enthalpy_at(tm)) / vapour.dz
    return np.array([float(curve.ln_pressure_at(tm)), slope / (GAS_CONSTANT * tm)])


@dataclass
class BenchBlock:
    """The summed products of all runs of one bench that share the same things."""

    bench: str
    shares: tuple[tuple[str, str, str], ...]
    matrix: Floats
    runs: int = 0
    points: int = 0


class CurveSums:
    """Runs summed by bench, all linearised about one curve; mergeable, and of fixed size per bench."""

    def __init__(self, liquid: Liquid | None, curve: Curve) -> None:
        self.liquid, self.curve = liquid, curve
        self.blocks: dict[tuple[str, tuple[tuple[str, str, str], ...]], BenchBlock] = {}

    def add(self, run: PooledRun) -> LinearRun:
        linear = linearise(run, self.liquid, self.curve)
        self.add_linear(linear)
        return linear

    def add_linear(self, linear: LinearRun) -> None:
        key = (linear.bench, linear.shares)
        block = self.blocks.setdefault(key, BenchBlock(linear.bench, linear.shares, np.zeros_like(linear.matrix)))
        block.matrix = block.matrix + linear.matrix
        block.runs += 1
        block.points += linear.points

    def merge(self, other: CurveSums) -> None:
        """Add the sums of other runs linearised about the same curve."""
        if other.curve != self.curve:
            raise ValueError("these sums were linearised about another curve; they cannot be merged")
        for key, theirs in other.blocks.items():
            mine = self.blocks.setdefault(key, BenchBlock(theirs.bench, theirs.shares, np.zeros_like(theirs.matrix)))
            mine.matrix = mine.matrix + theirs.matrix
            mine.runs += theirs.runs
            mine.points += theirs.points


@dataclass(frozen=True)
class PooledCurve:
    """The curve, the covariance of its three values, and how well the points lie on it.

    `chi2` over `dof` near one says that points and priors explain each other.
    """

    curve: Curve
    covariance: Floats
    chi2: float
    dof: int
    runs: int
    benches: int
    pulls: Mapping[tuple[str, str, str], float]

    @property
    def scale(self) -> float:
        """What the claimed noise has to be multiplied with, never below one."""
        return max(1.0, math.sqrt(self.chi2 / self.dof)) if self.dof > 0 else 1.0

    def u(self, parameter: str) -> float:
        """Standard uncertainty of one of `PARAMETERS`, widened by `scale`."""
        index = PARAMETERS.index(parameter)
        return self.scale * math.sqrt(float(self.covariance[index, index]))

    def band(self, temperature: Floats) -> tuple[Floats, Floats]:
        """ln p and its standard uncertainty.  [ln Pa]"""
        t = np.asarray(temperature, float)
        base = self.curve.ln_pressure_at(t)
        rows = np.array([self.curve.moved(np.diag(_STEP)[k]).ln_pressure_at(t) - base for k in range(3)])
        gradient = rows / _STEP.reshape((3,) + (1,) * t.ndim)
        variance = np.einsum("i...,ij,j...->...", gradient, self.covariance, gradient)
        return base, self.scale * np.sqrt(variance)


class JointSystem:
    """Normal equations of all benches together: three parameters and every shared error with its prior."""

    def __init__(self, blocks: Iterable[BenchBlock]) -> None:
        self.blocks = tuple(blocks)
        self.shares = tuple(dict.fromkeys(share for block in self.blocks for share in block.shares))
        self.index = {share: 3 + i for i, share in enumerate(self.shares)}
        size = 3 + len(self.shares)
        self.matrix, self.right, self.square = np.zeros((size, size)), np.zeros(size), 0.0
        for block in self.blocks:
            where = self.where(block)
            inside = slice(1, 1 + len(where))
            self.matrix[np.ix_(where, where)] += block.matrix[inside, inside]
            self.right[where] += block.matrix[inside, 0]
            self.square += float(block.matrix[0, 0])
        self.matrix[np.arange(3, size), np.arange(3, size)] += 1.0

    def where(self, block: BenchBlock) -> list[int]:
        """Positions of the block's parameter and shared-error columns in the joint system."""
        return [0, 1, 2, *(self.index[share] for share in block.shares)]


def curve_of_sums(sums: CurveSums) -> PooledCurve:
    """The pooled curve from sums over any number of runs.

    Raises
    ------
    ValueError
        Fewer than four points in all, or points that do not determine the curve.
    """
    system = JointSystem(sums.blocks.values())
    points = sum(block.points for block in system.blocks)
    if not points >= 4:
        raise ValueError(f"a pooled curve needs at least four points; got {points}")
    scale = 1.0 / np.sqrt(np.diag(system.matrix))
    scaled = system.matrix * scale[:, None] * scale[None, :]
    try:
        solution = scale * np.linalg.solve(scaled, scale * system.right)
        covariance = np.linalg.inv(scaled) * scale[:, None] * scale[None, :]
    except np.linalg.LinAlgError as singular:
        raise ValueError("the points do not determine a curve: they lie at too few temperatures") from singular
    chi2 = system.square - float(system.right @ solution)
    return PooledCurve(
        curve=sums.curve.moved(solution[:3]),
        covariance=covariance[:3, :3],
        chi2=chi2,
        dof=points - 3,
        runs=sum(block.runs for block in system.blocks),
        benches=len({block.bench for block in system.blocks}),
        pulls={share: float(solution[at]) for share, at in system.index.items()},
    )


def fit_pooled_curve(
    runs: Sequence[PooledRun], liquid: Liquid | None, start: Curve | None = None, *, steps: int = 3
) -> tuple[PooledCurve, CurveSums]:
    """The pooled curve of runs held in memory, relinearised `steps` times; and the sums it came from."""
    curve = start
    if curve is None:
        if liquid is None or not liquid.known:
            raise ValueError("a pooled curve of an unknown liquid needs a start curve, for example from one run's fit")
        curve = start_curve(liquid)
    for _ in range(max(1, steps)):
        sums = CurveSums(liquid, curve)
        for run in runs:
            sums.add(run)
        pooled = curve_of_sums(sums)
        curve = pooled.curve
    return pooled, sums
