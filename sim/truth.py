"""What was true in a simulated run, as plain data for debriefs, tests and studies; never for a run's decisions."""

from __future__ import annotations

import bisect
import math
from dataclasses import dataclass, field
from typing import Any

from sim.air import air_virial
from sim.build import Drawn
from sim.liquids import Liquid, R, load_liquid
from sim.mishaps import MishapRecord
from sim.plant import gas_pressure

SAMPLE_TEMPERATURES = tuple(273.15 + t for t in range(10, 51, 5))


@dataclass(frozen=True, slots=True)
class State:
    """The bench at one moment, in SI and without noise; `shown_` is what the sensors indicate of it."""

    time: float
    bath: float
    liquid: float
    gas: float
    pressure: float
    moles_dry: float
    moles_vapour: float
    moles_liquid: float
    moles_solved: float  # air and water in the liquid
    room: float
    shown_temperature: float
    shown_pressure: float


@dataclass
class Truth:
    """The truth of one run.

    Attributes
    ----------
    liquid
        Its table, from a reference equation of state.
    drawn
        The bench as it really is.
    states
        One for each second since the start.
    acts
        (time, kind, amount, temperature) of everything done to the bench.  [s, -, m3, K]
    mishaps
        Records of what went wrong.
    """

    scenario: str
    seed: int
    liquid: Liquid
    drawn: Drawn
    states: list[State] = field(default_factory=list)
    acts: list[tuple[float, str, float, float]] = field(default_factory=list)
    mishaps: list[MishapRecord] = field(default_factory=list)

    @property
    def enthalpy_vap(self) -> float:
        """Enthalpy of vaporisation at 298.15 K from the reference equation.  [J/mol]"""
        return self.liquid.enthalpy_vap(298.15)

    def saturation_pressure(self, temperature: float) -> float:
        """Of the pure liquid.  [Pa]"""
        return self.liquid.saturation_pressure(temperature)

    def vapour_density(self, temperature: float) -> float:
        """Of the vapour over the liquid as it was charged, impurity included, at saturation.  [mol/m3]"""
        pure, charge = self.liquid.density_vapour(temperature), self.drawn.charge
        if not charge.impurity or charge.impurity_fraction <= 0.0:
            return pure
        other = load_liquid(charge.impurity)
        at = min(max(temperature, other.lowest), other.highest)
        return pure + charge.impurity_fraction * (other.density_vapour(at) - pure)

    def state_at(self, time: float) -> State:
        """The last stored state not after `time` (the first before the start).  [s]"""
        place = bisect.bisect_right(self.states, time, key=lambda state: state.time)
        return self.states[max(place - 1, 0)]

    def equilibrium_pressure(self, time: float, temperature: float) -> float:
        """Pressure the cell of that moment would reach if all of it stayed at `temperature`.  [Pa]

        The amounts of air and of liquid are those of the moment; cold places keep their temperature.
        """
        state, cell = self.state_at(time), self.drawn.cell
        liquid = self.liquid
        at = min(max(temperature, liquid.lowest), liquid.highest)
        organic = state.moles_liquid + state.moles_vapour
        volume = cell.volume - state.moles_liquid * liquid.molar_volume(at)
        neck = temperature + cell.neck_cooling * (state.room - temperature)
        places = (
            (volume * (1.0 - cell.neck_fraction), temperature),
            (volume * cell.neck_fraction, neck),
            (cell.tube, state.room),
        )
        virial = liquid.virial(at)
        pressure = state.pressure
        for _ in range(20):
            dry = state.moles_dry / (volume + cell.tube)
            pure = self.vapour_density(at)
            shift = -2.0 * liquid.cross_virial_air * dry
            shift += liquid.molar_volume(at) * (pressure - liquid.saturation_pressure(at)) / (R * temperature)
            if state.moles_liquid > 0.0:
                shift -= state.moles_solved / state.moles_liquid
            density = pure * math.exp(shift)
            # 2 B (pure - density), the vapour's own share of the fugacity, to first order.
            density *= math.exp(2.0 * virial * (pure - density))
            vapour = sum(size * self._held(density, temperature, place) for size, place in places if size > 0.0)
            vapour = min(vapour, organic)
            new = gas_pressure(
                state.moles_dry, vapour, places[0][0], places[1][0], places[2][0],
                temperature, neck, state.room, virial, liquid.cross_virial_air,
            )  # fmt: skip
            if abs(new - pressure) < 1e-4:
                break
            pressure = new
        return new

    def _held(self, density: float, temperature: float, place: float) -> float:
        """Vapour density in a place of another temperature: the same pressure, at most saturated there."""
        if place == temperature:
            return density
        own = min(max(place, self.liquid.lowest), self.liquid.highest)
        return min(density * temperature / place, self.vapour_density(own))

    def slope(self, time: float, temperature: float) -> float:
        """Derivative of `equilibrium_pressure` by temperature.  [Pa/K]"""
        return self.equilibrium_pressure(time, temperature + 0.5) - self.equilibrium_pressure(time, temperature - 0.5)

    def pair_error(self, time: float, temperature: float, pressure: float) -> float:
        """How far a true pair is from equilibrium, as temperature.  [K]"""
        return (pressure - self.equilibrium_pressure(time, temperature)) / self.slope(time, temperature)

    def air_pressure(self, time: float, temperature: float) -> float:
        """Pressure of the dry gas alone, air with the room's water, if all stayed at `temperature`.  [Pa]"""
        state, cell, liquid = self.state_at(time), self.drawn.cell, self.liquid
        at = min(max(temperature, liquid.lowest), liquid.highest)
        volume = cell.volume - state.moles_liquid * liquid.molar_volume(at)
        neck = temperature + cell.neck_cooling * (state.room - temperature)
        inverse = volume * ((1.0 - cell.neck_fraction) / temperature + cell.neck_fraction / neck)
        density = state.moles_dry / (volume + cell.tube)
        return R * state.moles_dry / (inverse + cell.tube / state.room) * (1.0 + air_virial(temperature) * density)

    def course(self, every: float = 5.0) -> list[dict[str, float]]:
        """The true course of the run for pictures: one row each `every` seconds, SI."""
        stride = max(round(every), 1)
        rows = []
        for state in self.states[::stride]:
            equilibrium = self.equilibrium_pressure(state.time, state.bath)
            row = {"time": state.time, "bath": state.bath, "liquid": state.liquid, "pressure": state.pressure}
            row |= {"equilibrium_pressure": equilibrium, "room": state.room}
            rows.append(row)
        return rows

    def as_dict(self) -> dict[str, Any]:
        """Everything but the states, ready for JSON; SI."""
        return {
            "scenario": self.scenario,
            "seed": self.seed,
            "liquid": self.liquid.name,
            "source": f"{self.liquid.source}, {self.liquid.library}",
            "enthalpy_vap": self.enthalpy_vap,
            "temperature": 298.15,
            "saturation_pressure": [
                [t, self.saturation_pressure(t)]
                for t in SAMPLE_TEMPERATURES
                if self.liquid.lowest <= t <= self.liquid.highest
            ],
            "cell_volume": self.drawn.cell.volume,
            "charge_volume": self.drawn.charge.volume,
            "temperature_offset": self.drawn.temperature.offset,
            "temperature_gain": self.drawn.temperature.gain,
            "pressure_offset": self.drawn.pressure.offset,
            "pressure_gain": self.drawn.pressure.gain,
            "acts": [list(act) for act in self.acts],
            "mishaps": [record.as_dict() for record in self.mishaps],
        }
