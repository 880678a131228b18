"""The run plan: what a run intends (liquid, cell, bath, steps, limits, uncertainties); read from TOML, SI inside."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from acquire.plan_quantities import (
    STORED,
    Duration,
    Fraction,
    Pressure,
    Temperature,
    TemperatureDifference,
    Volume,
)
from drivers.tomlfile import load_model

ZERO_CELSIUS = 273.15  # [K] exact, SI brochure


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Cell(_Part):
    """The closed vessel.  Standard uncertainties are those of careful volumetric ware, guessed; edit them."""

    volume: Volume = 140e-6  # [m3] gas space of the empty cell up to the valve, tubing not included
    u_volume: Volume = 1e-6
    tubing: Volume = 2e-6  # [m3] between cell and sensor
    u_tubing: Volume = 0.5e-6
    charge: Volume = 2.5e-6  # [m3] of liquid
    u_charge: Volume = 0.05e-6
    plunger_drawn_back: bool = True  # after the charge: the liquid then does not compress the air
    gas_above_water: Fraction = 0.0  # share of the gas space above the water line
    u_gas_above_water: Fraction = 0.005
    degassed: bool = False


class Room(_Part):
    humidity: Fraction | None = None  # relative humidity of the air shut in; None: not measured, wide
    u_humidity: Fraction = 0.05


class Bath(_Part):
    volume: Volume = 480e-6
    room_to_pour: Volume = 250e-6  # [m3] that may be added before water must be taken out
    hot_water: Temperature = ZERO_CELSIUS + 70.0
    cold_water: Temperature = ZERO_CELSIUS + 15.0
    first_as_found: bool = True  # the first plateau is taken before any hot water
    targets: tuple[Temperature, ...] = tuple(ZERO_CELSIUS + t for t in (25.0, 28.0, 31.0, 34.0, 37.0))
    return_to: Temperature | None = ZERO_CELSIUS + 26.0  # None: no return point

    @model_validator(mode="after")
    def _rising(self) -> Bath:
        if list(self.targets) != sorted(set(self.targets)):
            raise ValueError("expected targets that rise from step to step")
        if not self.targets and not self.first_as_found:
            raise ValueError("expected a plateau; give targets, or first_as_found = true")
        return self


class Limits(_Part):
    """Where cautions begin.  40 degC for a stoppered flask is common practice, no source; edit to local rules."""

    temperature: Temperature = ZERO_CELSIUS + 40.0
    over_pressure: Pressure = 25e3  # [Pa] above the room baseline


class ThermometerPrior(_Part):
    u_offset: TemperatureDifference = 0.3
    u_gain: Fraction = 0.003


class ManometerPrior(_Part):
    u_offset: Pressure = 2e3
    u_gain: Fraction = 0.02
    u_nonlinearity: Pressure = 100.0  # height of a parabola over the sensor's range
    u_drift: Pressure = 20.0  # over the run


class Sensors(_Part):
    temperature: ThermometerPrior = ThermometerPrior()
    pressure: ManometerPrior = ManometerPrior()


class Settle(_Part):
    """How it is decided that a plateau is ready; what each setting costs stands in docs/settings.md."""

    tolerance: TemperatureDifference = 0.1  # [K-equivalent]
    # "raw" waits until the readings themselves are level, "corrected" only until the lag-corrected pair is known well
    # enough; points are corrected for their lag either way.
    mode: Literal["raw", "corrected"] = "raw"
    automatic: bool = True  # take each plateau as soon as it is offered
    baseline: Duration = 30.0  # least length of the room baseline
    soak: Duration = 45.0  # cell in the bath, valve open, before it is closed
    leak_hold: Duration = 60.0  # valve closed, before the charge
    shortest: Duration = 60.0  # no plateau is offered sooner after the charge or a bath change
    separation: TemperatureDifference = 0.8  # from the last point, before another is offered


class Air(_Part):
    mode: Literal["sealed", "none", "corrected"] = "sealed"


class Mark(_Part):
    """A scale for rehearsals; without one no mark is given.  Weights say what counts how much."""

    names: tuple[str, ...] = Field(min_length=2, max_length=20)  # best first
    least: tuple[Fraction, ...]  # share of the full number for each name but the last
    points: float = Field(default=4.0, ge=0)  # points not taken too early
    mishaps: float = Field(default=3.0, ge=0)  # reactions to mishaps that could be seen
    result: float = Field(default=2.0, ge=0)  # the interval holds the true value
    waiting: float = Field(default=1.0, ge=0)  # no time lost after the moment of level
    patience: Duration = 120.0  # [s] a point that may be waited for nothing off

    @model_validator(mode="after")
    def _falling(self) -> Mark:
        if len(self.least) != len(self.names) - 1 or list(self.least) != sorted(set(self.least), reverse=True):
            raise ValueError(
                f"expected least to hold {len(self.names) - 1} falling shares, one for each name but the last; "
                f"found {len(self.least)}"
            )
        if not self.points + self.mishaps + self.result + self.waiting > 0:
            raise ValueError("expected at least one of points, mishaps, result, waiting with a weight above 0")
        if not self.patience > 0:
            raise ValueError("expected patience above 0 s")
        return self


class RunPlan(_Part):
    """One run plan.  See docs/plans.md for every key with an example."""

    title: str = Field(default="Vapour-pressure run", max_length=200)
    liquid: str = Field(default="n-heptane", max_length=100)
    operator: str = Field(default="", max_length=100)
    bench: str = Field(default="", max_length=100)
    notes: str = Field(default="", max_length=4000)
    mixture: bool = False  # the sample is known to be one
    cell: Cell = Cell()
    room: Room = Room()
    bath: Bath = Bath()
    limits: Limits = Limits()
    sensors: Sensors = Sensors()
    settle: Settle = Settle()
    air: Air = Air()
    mark: Mark | None = None  # of a rehearsal

    @model_validator(mode="after")
    def _below_limit(self) -> RunPlan:
        for target in self.bath.targets:
            if target > self.limits.temperature:
                raise ValueError(
                    f"expected targets up to the limit of {self.limits.temperature - ZERO_CELSIUS:.1f} degC; "
                    f"lower {target - ZERO_CELSIUS:.1f} degC, or raise limits.temperature where your local rules "
                    "allow it"
                )
        return self

    @property
    def plateau_targets(self) -> tuple[float | None, ...]:
        """Bath temperature of each plateau in order; None: as the bath is found.  [K]"""
        first: tuple[float | None, ...] = (None,) if self.bath.first_as_found else ()
        return first + self.bath.targets


def load_plan(path: Path) -> tuple[RunPlan, str]:
    """A plan and its text.

    Raises
    ------
    drivers.tomlfile.TomlError
        With file, line, found, expected and the nearest known key of every fault.
    """
    return load_model(path, RunPlan, name="run plan"), path.read_text(encoding="utf-8")


def stored_plan(data: dict[str, Any]) -> RunPlan:
    """The plan that `RunPlan.model_dump()` wrote, all numbers in SI."""
    return RunPlan.model_validate(data, context=STORED)


def load_settle(changes: Mapping[str, str]) -> Settle:
    """Settling settings from `key=value` texts; the rest are defaults.

    Raises
    ------
    drivers.tomlfile.TomlError
        An unknown key, or a value that does not fit.
    """
    lines = []
    for key, value in changes.items():
        plain = value in ("true", "false") or value.replace(".", "", 1).isdigit()
        lines.append(f"{key} = {value}" if plain else f"{key} = {json.dumps(value)}")
    return load_model("\n".join(lines), Settle, name="settings")
