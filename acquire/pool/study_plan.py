"""What a method study varies: a grid of choices a course owner has, read from TOML."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from acquire.plan_quantities import Duration, Fraction, Pressure, TemperatureDifference
from drivers.tomlfile import load_model

MOST_SETTINGS = 240
MOST_RUNS = 100_000
WINDOW = 30  # [s] of readings that make a point
EXAMPLE = """# A method study: every combination of the lists below is simulated `runs` times.
title = "Which thermometer and how long to wait"
liquid = "n-heptane"
runs = 400
seed = 1

[vary]
plateaus = [4, 6]              # temperatures at which a point is taken
span = ["8 K", "16 K"]         # from the first to the last of them
wait = ["120 s", "300 s"]      # from pouring hot water to the point; the longest wait with take = "settled"
take = ["waited"]              # "settled": when the settling judge says so, corrected for lag (30 times slower)
return_point = [true]          # cool back for one more point
sensors = ["usual", "good"]    # defined below
physics = ["plain"]            # or "slow vapour", "wall lag", "wandering", "cold neck", "slow lags", "everything"
mishaps = [0.0, 1.0]           # none, and as often as stands below; 0.5 would be a course that halves them

[mishaps]                      # share of the runs to which it happens, at most one of them to a run
leak = "5 %"                   # the cell loses its over-pressure with an e-fold of 1 to 10 h
stopper_lifts = "2 %"          # once, in the middle of a plateau
air_with_charge = "5 %"        # 0.3 to 1 mL of air with the liquid
plunger_left_in = "5 %"        # the liquid squeezes the air
cell_not_soaked = "5 %"        # closed before it has the temperature of the bath
small_charge = "2 %"           # less than 0.1 mL: it runs dry
stirrer_stops = "5 %"          # poured water mixes slowly
sensors_swapped = "1 %"

[sensors.usual]                # standard uncertainties; `noise` multiplies the usual scatter of readings
offset_temperature = "0.3 K"
gain_temperature = 0.003
offset_pressure = "2 kPa"
gain_pressure = 0.02
noise = 1.0

[sensors.good]
offset_temperature = "0.05 K"
gain_temperature = 0.001
offset_pressure = "0.3 kPa"
gain_pressure = 0.003
noise = 0.5
"""


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class SensorSet(_Part):
    """Standard uncertainties of a pair of sensors, and how much they scatter beside the usual."""

    offset_temperature: TemperatureDifference = 0.3
    gain_temperature: Fraction = 0.003
    offset_pressure: Pressure = 2000.0
    gain_pressure: Fraction = 0.02
    noise: float = Field(default=1.0, gt=0.0, le=20.0)


class Vary(_Part):
    """Lists of choices; every combination is tried."""

    plateaus: tuple[int, ...] = (5,)
    span: tuple[TemperatureDifference, ...] = (16.0,)
    wait: tuple[Duration, ...] = (300.0,)
    take: tuple[Literal["waited", "settled"], ...] = ("waited",)
    return_point: tuple[bool, ...] = (True,)
    sensors: tuple[str, ...] = ("usual",)
    physics: tuple[str, ...] = ("plain",)
    mishaps: tuple[float, ...] = (1.0,)

    @model_validator(mode="after")
    def _sensible(self) -> Vary:
        for name, values in self:
            if not values or len(set(values)) != len(values):
                raise ValueError(f"{name} is {list(values)}; expected at least one choice, each once")
        if not all(2 <= n <= 20 for n in self.plateaus):
            raise ValueError(f"plateaus is {list(self.plateaus)}; expected 2 to 20 each")
        if not all(WINDOW <= wait <= 3600 for wait in self.wait):
            raise ValueError(f"wait is {list(self.wait)} s; expected {WINDOW} s to 3600 s each")
        if not all(0 <= times <= 100 for times in self.mishaps):
            raise ValueError(
                f"mishaps is {list(self.mishaps)}; expected multiples of the shares in [mishaps], 0 to 100"
            )
        if not all(1 <= span <= 40 for span in self.span):
            raise ValueError(f"span is {list(self.span)} K; expected 1 K to 40 K each")
        return self


class Mishaps(_Part):
    """Share of the runs with each mishap; a run has one at most."""

    leak: Fraction = 0.0
    stopper_lifts: Fraction = 0.0
    air_with_charge: Fraction = 0.0
    plunger_left_in: Fraction = 0.0
    cell_not_soaked: Fraction = 0.0
    small_charge: Fraction = 0.0
    stirrer_stops: Fraction = 0.0
    sensors_swapped: Fraction = 0.0

    def shares(self, times: float = 1.0) -> tuple[tuple[str, float], ...]:
        """Name and share of those that happen, so many times as often."""
        return tuple((name, times * share) for name, share in self if share > 0 and times > 0)


class StudyPlan(_Part):
    """One study."""

    title: str = Field(default="Method study", max_length=200)
    liquid: str = "n-heptane"
    runs: int = Field(default=400, ge=20, le=MOST_RUNS)
    seed: int = Field(default=1, ge=0)
    vary: Vary = Vary()
    mishaps: Mishaps = Mishaps()
    sensors: dict[str, SensorSet] = Field(default_factory=lambda: {"usual": SensorSet()})

    @model_validator(mode="after")
    def _known(self) -> StudyPlan:
        from sim.study_draws import KINDS

        for name in self.vary.sensors:
            if name not in self.sensors:
                raise ValueError(f"vary.sensors names {name!r}; expected one of {', '.join(sorted(self.sensors))}")
        for kind in self.vary.physics:
            if kind not in KINDS:
                raise ValueError(f"vary.physics names {kind!r}; expected one of {', '.join(KINDS)}")
        worst = sum(share for _, share in self.mishaps.shares(max(self.vary.mishaps)))
        if worst > 1.0:
            raise ValueError(f"the shares in [mishaps] make {100 * worst:g} % together; expected 100 % at most")
        count = len(list(self.settings()))
        if count > MOST_SETTINGS:
            raise ValueError(f"the lists make {count} combinations; expected {MOST_SETTINGS} at most; shorten a list")
        return self

    def settings(self) -> Iterator[Setting]:
        """All combinations, the last list fastest."""
        v = self.vary
        for values in itertools.product(
            v.plateaus, v.span, v.wait, v.take, v.return_point, v.sensors, v.physics, v.mishaps
        ):
            yield Setting(*values)


@dataclass(frozen=True)
class Setting:
    """One combination.  [K], [s]"""

    plateaus: int
    span: float
    wait: float
    take: str
    return_point: bool
    sensors: str
    physics: str
    mishaps: float = 1.0  # times the shares of the plan

    def as_dict(self) -> dict[str, Any]:
        return asdict(self)


def load_study(path: Path) -> StudyPlan:
    """A study plan.

    Raises
    ------
    drivers.tomlfile.TomlError
        With file, line, found, expected and the nearest known key of every fault.
    """
    return load_model(path, StudyPlan, name="study plan")
