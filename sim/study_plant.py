"""The bench of `stepping` for many runs side by side, one array entry per run; for studies, not for devices.

The same state equations and the same order of a step, without valve and water: a study looks at the closed cell.
A test holds both against each other.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from sim.air import air_virial, air_virial_slope
from sim.liquids import Liquid, R
from sim.parameters import WATER_DENSITY, WATER_HEAT_CAPACITY
from sim.plant import NEAR

Array = NDArray[np.float64]

NO_LIQUID = 1e-12  # mol; keeps the share of what is dissolved finite where there is no liquid


@dataclass
class StudyBench:
    """Parameters of N benches, each an array of shape (N,); names and units as in `sim.parameters`.

    `probe_time` and `gauge_time` are the lags of the sensors; `leak_rate` is that of the over-pressure;
    `air_solubility` is a factor on the liquid's own; it brings `dissolved_air` of what it holds in its bottle.
    """

    room: Array
    room_pressure: Array
    volume: Array
    neck_fraction: Array
    neck_cooling: Array
    neck_time: Array
    tube: Array
    tube_time: Array
    stagnant_fraction: Array
    stagnant_time: Array
    glass: Array
    outer_time: Array
    inner_time: Array
    liquid_time: Array
    gas_time: Array
    evaporation_time: Array
    condensation_time: Array
    film: Array
    gas_heat: Array
    bath_mass: Array
    vessel: Array
    loss: Array
    mixing: Array
    probe_time: Array
    gauge_time: Array
    leak_rate: Array
    air_solubility: Array
    dissolved_air: Array
    air_solution_time: Array

    def __len__(self) -> int:
        return len(self.room)

    def copy(self) -> StudyBench:
        """A copy whose arrays are its own."""
        return StudyBench(**{field.name: getattr(self, field.name).copy() for field in fields(self)})


def horner(coefficients: tuple[float, ...], x: Array) -> Array:
    """Polynomial, constant first."""
    value: Array = np.full_like(x, coefficients[-1])
    for coefficient in coefficients[-2::-1]:
        value *= x
        value += coefficient
    return value


class StudyPlant:
    """N closed cells in their baths.

    Parameters
    ----------
    bench
        Their parameters.
    liquid
        One liquid for all.
    temperature
        Everything's temperature at the start, shape (N,).  [K]
    liquid_volume
        Liquid charged at the start, shape (N,); 0: dry.  [m3]
    step
        [s]
    """

    def __init__(
        self, bench: StudyBench, liquid: Liquid, temperature: Array, liquid_volume: Array, *, step: float = 1.0
    ) -> None:
        self.bench, self.liquid, self.step = bench, liquid, step
        self.t_bath, self.t_outer, self.t_inner = temperature.copy(), temperature.copy(), temperature.copy()
        self.t_liquid, self.t_gas, self.t_before = temperature.copy(), temperature.copy(), temperature.copy()
        self.unmixed = np.zeros(len(bench))
        self.mass = bench.bath_mass.copy()
        self.n_main, self.n_stagnant = np.zeros(len(bench)), np.zeros(len(bench))
        self.n_neck, self.n_tube = np.zeros(len(bench)), np.zeros(len(bench))
        t_neck = temperature + bench.neck_cooling * (bench.room - temperature)
        places = bench.volume * ((1.0 - bench.neck_fraction) / temperature + bench.neck_fraction / t_neck)
        density = bench.room_pressure / R
        # Room air at room pressure; the virial term of air is 3e-4 and taken at first order.
        bracket = 1.0 - air_virial(temperature) * density / bench.room
        self.n_air = density * (places + bench.tube / bench.room) * bracket
        self.n_liquid, self.n_air_liquid = np.zeros(len(bench)), np.zeros(len(bench))
        self.pressure = bench.room_pressure.copy()
        self.set_constants()
        self.charge(liquid_volume)
        self.t_probe = self.t_bath.copy()
        self.p_gauge = self.pressure.copy()

    def charge(self, volume: Array) -> None:
        """Put liquid in at the cell's temperature, plunger drawn back: the air's share of the space leaves.  [m3]

        The liquid brings air from its bottle, where it stood under air and its own vapour at the room's pressure.
        """
        bench = self.bench
        share = volume / (bench.volume + bench.tube)
        self.n_air = self.n_air * (1.0 - share)
        vapour = np.exp(self._log_pressure(bench.room))
        density = np.maximum(bench.room_pressure - vapour, 0.0) / (R * bench.room)
        self.n_air_liquid = self.n_air_liquid + bench.dissolved_air * self._ostwald * volume * density
        self.n_liquid = self.n_liquid + volume / self._polynomial(self.liquid.volume, self.t_liquid)
        self.refresh()

    def pour(self, volume: Array, temperature: Array) -> None:
        """Add bath water (0 where none).  [m3], [K]"""
        mass = volume * WATER_DENSITY
        self.mass = self.mass + mass
        self.unmixed = self.unmixed + mass * WATER_HEAT_CAPACITY * (temperature - self.t_bath)

    def draw(self, volume: Array) -> None:
        """Take bath water out.  [m3]"""
        self.mass = self.mass - volume * WATER_DENSITY

    def _polynomial(self, coefficients: tuple[float, ...], temperature: Array) -> Array:
        return horner(coefficients, temperature - self.liquid.reference_temperature)

    def _log_density(self, temperature: Array) -> Array:
        liquid = self.liquid
        at = np.clip(temperature, liquid.lowest, liquid.highest)
        density: Array = self._log_pressure(at) - np.log(self._polynomial(liquid.z_vapour, at) * R * at)
        return density

    def _log_pressure(self, temperature: Array) -> Array:
        liquid = self.liquid
        return horner(liquid.log_pressure, 1.0 / temperature - 1.0 / liquid.reference_temperature)

    def set_constants(self) -> None:
        """Take over changed parameters."""
        b, half = self.bench, 0.5 * self.step
        self._half_glass = 0.5 * b.glass
        self._k_outer = half * self._half_glass / b.outer_time
        self._k_inner = half * self._half_glass / b.inner_time
        self._k_gas = half * b.gas_heat / b.gas_time
        self._gas_whole = b.gas_heat + self._k_gas
        self._gas_share = self._k_gas / self._gas_whole
        self._gas_rest = self._k_gas * (1.0 - self._gas_share)
        self._inner_start = self._half_glass + self._k_inner
        self._outer_start = self._half_glass + self._k_outer
        self._tube_inverse = b.tube / b.room
        self._f_mix = -np.expm1(-self.step / b.mixing)
        self._f_evaporate = -np.expm1(-self.step / b.evaporation_time)
        self._f_condense = -np.expm1(-self.step / b.condensation_time)
        self._f_stagnant = -np.expm1(-self.step / b.stagnant_time)
        self._f_neck = -np.expm1(-self.step / b.neck_time)
        self._f_tube = -np.expm1(-self.step / b.tube_time)
        self._ostwald = self.liquid.ostwald_air * b.air_solubility
        self._f_air = -np.expm1(-self.step / b.air_solution_time)
        self._f_leak = -np.expm1(-self.step * b.leak_rate)
        self._main_part = (1.0 - b.neck_fraction) * (1.0 - b.stagnant_fraction)
        self._stagnant_part = (1.0 - b.neck_fraction) * b.stagnant_fraction
        self._has_stagnant = bool(np.any(b.stagnant_fraction > 0))
        self._has_neck = bool(np.any(b.neck_fraction > 0))
        self._has_tube = bool(np.any(b.tube > 0))
        self._leaks = bool(np.any(b.leak_rate > 0))
        self._density_tube = np.exp(self._log_density(b.room))
        ratio_t, ratio_p = self.step / b.probe_time, self.step / b.gauge_time
        self._probe_decay, self._gauge_decay = np.exp(-ratio_t), np.exp(-ratio_p)
        self._probe_ramp, self._gauge_ramp = -np.expm1(-ratio_t) / ratio_t, -np.expm1(-ratio_p) / ratio_p
        self._probe_rest, self._gauge_rest = 1.0 - self._probe_ramp, 1.0 - self._gauge_ramp
        self._probe_before, self._gauge_before = (
            self._probe_ramp - self._probe_decay,
            self._gauge_ramp - self._gauge_decay,
        )

    def refresh(self) -> None:
        """Bring what changes slowly up to date."""
        liquid, t = self.liquid, self.t_liquid
        low, mid, high = (self._log_density(t + d) for d in (-NEAR, 0.0, NEAR))
        self._at = t.copy()
        self._lnc, self._slope = mid, (high - low) / (2 * NEAR)
        self._curve = (high - 2 * mid + low) / (2 * NEAR * NEAR)
        density = np.exp(mid)
        at = np.clip(t, liquid.lowest, liquid.highest)
        z = self._polynomial(liquid.z_vapour, at)
        self._virial = (z - 1.0) / density
        self._saturation = z * R * at * density
        self._latent = self._polynomial(liquid.enthalpy, at)
        self._heat_capacity = self._polynomial(liquid.heat_capacity, at)
        self._volume = self._polynomial(liquid.volume, at)
        self._expansion = self._polynomial(liquid.volume, at + 0.5) - self._polynomial(liquid.volume, at - 0.5)
        t_neck = self.t_gas + self.bench.neck_cooling * (self.bench.room - self.t_gas)
        self._density_neck = np.exp(self._log_density(t_neck))
        self._air_slope = air_virial_slope(self.t_gas)
        self._air_constant = air_virial(self.t_gas) - self._air_slope * self.t_gas
        k_loss = 0.5 * self.step * self.bench.loss
        self._loss_heat = k_loss * self.bench.room
        self._capacity = self.mass * WATER_HEAT_CAPACITY + self.bench.vessel
        self._bath_start = self._capacity + k_loss

    def advance(self) -> None:
        """One step for all."""
        b, cross = self.bench, self.liquid.cross_virial_air
        bath_before, pressure_before = self.t_bath, self.pressure
        mixed = self.unmixed * self._f_mix
        self.unmixed = self.unmixed - mixed
        d_now = self.t_liquid - self._at
        volume = b.volume - self.n_liquid * (self._volume + self._expansion * d_now)
        v_main, space = volume * self._main_part, volume + b.tube
        moved_t = 0.5 * (self.t_liquid - self.t_before)
        d = d_now + moved_t
        density = self.n_main / v_main
        pure = np.exp(self._lnc + d * (self._slope + d * self._curve))
        shift = 2.0 * (self._virial * (pure - density) - (cross * self.n_air) / space)
        shift += self._volume * (self.pressure - self._saturation) / (R * (self.t_liquid + moved_t))
        shift -= self.n_air_liquid / np.maximum(self.n_liquid, NO_LIQUID)
        missing = pure * np.exp(shift) * v_main - self.n_main
        evaporated = np.minimum(missing * np.where(missing > 0.0, self._f_evaporate, self._f_condense), self.n_liquid)
        n_main = self.n_main + evaporated
        if self._has_stagnant:
            moved = (density * volume * self._stagnant_part - self.n_stagnant) * self._f_stagnant
            n_main -= moved
            self.n_stagnant = self.n_stagnant + moved
        if self._has_neck:
            t_neck = self.t_gas + b.neck_cooling * (b.room - self.t_gas)
            there = np.minimum(density * self.t_gas / t_neck, self._density_neck)
            moved = (there * volume * b.neck_fraction - self.n_neck) * self._f_neck
            n_main -= moved
            self.n_neck = self.n_neck + moved
        if self._has_tube:
            there = np.minimum(density * self.t_gas / b.room, self._density_tube)
            moved = (there * b.tube - self.n_tube) * self._f_tube
            n_main -= moved
            self.n_tube = self.n_tube + moved
        self.n_main = n_main
        soaked = self._ostwald * self.n_liquid * self._volume
        moved = (self.n_air + self.n_air_liquid) * soaked / (volume + soaked) - self.n_air_liquid
        moved *= self._f_air
        self.n_air_liquid = self.n_air_liquid + moved
        self.n_air = self.n_air - moved
        drying = evaporated > self._f_air * self.n_liquid
        if drying.any():
            # A film that dries faster than air finds its way out of it: the air of what is gone goes along.
            moved = self.n_air_liquid * np.where(drying, evaporated / np.where(drying, self.n_liquid, 1.0), 0.0)
            self.n_air_liquid = self.n_air_liquid - moved
            self.n_air = self.n_air + moved

        c_liquid = self.n_liquid * self._heat_capacity + b.film
        k_liquid = 0.5 * self.step * c_liquid / b.liquid_time
        whole = c_liquid + k_liquid
        liquid_share = k_liquid / whole
        b_liquid = (c_liquid * self.t_liquid - 0.5 * self._latent * evaporated) / whole
        b_gas = b.gas_heat * self.t_gas / self._gas_whole
        inner = self._inner_start + k_liquid * (1.0 - liquid_share) + self._gas_rest
        b_inner = (self._half_glass * self.t_inner + k_liquid * b_liquid + self._k_gas * b_gas) / inner
        inner_share = self._k_inner / inner
        outer = self._outer_start + self._k_inner * (1.0 - inner_share)
        b_outer = (self._half_glass * self.t_outer + self._k_inner * b_inner) / outer
        outer_share = self._k_outer / outer
        bath = self._bath_start + self._k_outer * (1.0 - outer_share)
        m_bath = self._capacity * self.t_bath + self._k_outer * b_outer + self._loss_heat + 0.5 * mixed
        m_bath /= bath
        m_outer = b_outer + outer_share * m_bath
        m_inner = b_inner + inner_share * m_outer
        self.t_before = self.t_liquid
        self.t_bath = 2.0 * m_bath - self.t_bath
        self.t_outer = 2.0 * m_outer - self.t_outer
        self.t_inner = 2.0 * m_inner - self.t_inner
        self.t_liquid = 2.0 * (b_liquid + liquid_share * m_inner) - self.t_liquid
        self.t_gas = 2.0 * (b_gas + self._gas_share * m_inner) - self.t_gas
        self.n_liquid = self.n_liquid - evaporated

        vapour = self.n_main + self.n_stagnant + self.n_neck + self.n_tube
        self.pressure = self._pressure_of(vapour, space, self._inverse(volume, self.t_gas), self.t_gas)
        if self._leaks:
            share = (self.pressure - b.room_pressure) / self.pressure * self._f_leak
            self.n_air = self.n_air * (1.0 - share)
            self.n_main = self.n_main * (1.0 - np.maximum(share, 0.0))
            self.pressure = self.pressure * (1.0 - share)
        self.t_probe = (
            self._probe_decay * self.t_probe + self._probe_before * bath_before + self._probe_rest * self.t_bath
        )
        self.p_gauge = (
            self._gauge_decay * self.p_gauge + self._gauge_before * pressure_before + self._gauge_rest * self.pressure
        )

    def _inverse(self, volume: Array, t_gas: Array) -> Array:
        """Sum of the volumes over their temperatures.  [m3/K]"""
        b = self.bench
        if not self._has_neck:
            return self._tube_inverse + volume / t_gas
        v_neck = volume * b.neck_fraction
        inverse = self._tube_inverse + (volume - v_neck) / t_gas
        inverse += v_neck / (t_gas + b.neck_cooling * (b.room - t_gas))
        return inverse

    def _pressure_of(self, vapour: Array, space: Array, inverse: Array, t_gas: Array) -> Array:
        air = self.n_air
        bracket = vapour * (vapour * self._virial + 2.0 * self.liquid.cross_virial_air * air)
        bracket += air * air * (self._air_constant + self._air_slope * t_gas)
        return R * (air + vapour + bracket / space) / inverse

    def equilibrium_pressure(self) -> Array:
        """Pressure if cell and liquid stayed at the bath's present temperature; cold places as they are.  [Pa]

        Valid where liquid is left.
        """
        b, t = self.bench, self.t_bath
        volume = b.volume - self.n_liquid * (self._volume + self._expansion * (t - self._at))
        space, inverse, main_part = volume + b.tube, self._inverse(volume, t), 1.0 - b.neck_fraction
        beside_air = 2.0 * self.liquid.cross_virial_air * self.n_air / space
        holding_air = self.n_air_liquid / np.maximum(self.n_liquid, NO_LIQUID)
        heat = R * t
        pure = np.exp(self._log_density(t))
        pressure, density = self.pressure, pure
        for _ in range(2):  # the second changes less than 1e-5 of the vapour
            shift = 2.0 * self._virial * (pure - density)
            shift -= beside_air
            shift += self._volume * (pressure - self._saturation) / heat
            shift -= holding_air
            density = pure * np.exp(shift)
            vapour = density * volume * main_part + self.n_neck + self.n_tube
            pressure = self._pressure_of(vapour, space, inverse, t)
        return pressure

    def slope(self) -> Array:
        """dp/dT of the equilibrium at the bath's present temperature.  [Pa/K]"""
        bath = self.t_bath
        self.t_bath = bath + 0.25
        above = self.equilibrium_pressure()
        self.t_bath = bath - 0.25
        below = self.equilibrium_pressure()
        self.t_bath = bath
        return (above - below) / 0.5
