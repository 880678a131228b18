"""Bath, glass, liquid, gas and cold places of one bench, stepped at a fixed interval with plain numbers.

Heat flows by the implicit midpoint rule, transfers of matter by exact relaxation towards the state at mid-step:
second order, stable for every lag, and exactly conservative. Knows no sensors, seeds or scenarios.

The state equations are those of a closed cell with air: the bath mixes and loses heat, the glass follows in two
nodes, liquid and gas follow the glass, vapour relaxes to the saturated density over the liquid (evaporation
slower than condensation), cold places hold vapour at most saturated at their own temperature, water and air
share themselves between gas and liquid. Gas density is that of the virial equation cut after the second term,
and the liquid's saturated density carries the fugacity and Poynting corrections that belong to it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from sim.air import air_virial, air_virial_slope
from sim.liquids import Liquid, R, load_liquid
from sim.parameters import (
    NEVER,
    WATER_DENSITY,
    WATER_HEAT_CAPACITY,
    BathParameters,
    CellParameters,
    ChargeParameters,
)

STEP = 0.5  # s; keeps plateau errors far below one digit of the sensors
REFRESH = 20  # steps between updates of what changes slowly
NEAR = 1.5  # K; a slow quantity is updated earlier when the liquid has moved this far
VALVE_TIME = 0.4  # s, equalising through the open valve
VALVE_SWAP_TIME = 500.0  # s, vapour finding its way out of the open valve
SWIRLED = 0.3  # factor on the times of exchange with the liquid while the cell is swirled; guessed
UNSTIRRED = 6.0  # factor on the mixing time of the bath when nobody stirs; guessed
BRIM = 1.02  # of its stated capacity is what a bath takes before it runs over
LIFTED_TO_AIR_TIME = 30.0  # s, glass held in air; guessed from natural convection on glass
LIFTED_TIME = 1.0  # s, equalising past a lifted stopper


@dataclass
class Ledger:
    """What has crossed the borders of the bench since the start; for tests of conservation."""

    heat_room: float = 0.0  # J into bath and glass from the room
    heat_poured: float = 0.0  # J with water in and out, charge included
    heat_latent: float = 0.0  # J taken by evaporation
    heat_carried: float = 0.0  # J that left the liquid with the matter that evaporated
    air_in: float = 0.0  # mol
    vapour_in: float = 0.0  # mol, liquid charged counted here
    water_in: float = 0.0  # mol


class Slow(NamedTuple):
    """What changes slowly, valid near `temperature` of the liquid; shares `f_` are those of one step."""

    temperature: float
    log_density: float  # of the saturated vapour, mol/m3; a parabola in temperature with the next two
    log_slope: float
    log_curve: float
    virial: float
    latent: float
    heat_capacity: float
    molar_volume: float
    expansion: float
    saturation: float
    water_pull: float  # mol/m3 of water vapour for each mole fraction of water in the liquid
    water_full: float  # mol/m3 of water vapour over liquid water
    density_neck: float
    density_tube: float
    f_evaporate: float
    f_condense: float
    f_stagnant: float
    f_neck: float
    f_tube: float
    f_air: float
    f_water: float
    f_mix: float
    liquid_time: float
    air_constant: float  # m3/mol; second virial coefficient of air, a line in the temperature of the gas
    air_slope: float


_NOTHING_YET = Slow(*([0.0] * len(Slow._fields)))


class Plant:
    """The physical bench.

    Parameters
    ----------
    cell, bath
        Parameters; changing them between steps takes effect at the next `refresh`.
    liquid
        The liquid that will be charged.
    room_temperature, room_pressure, humidity
        [K], [Pa], relative 0 to 1.
    bath_temperature, cell_temperature
        At the start; the room's where not given.  [K]
    step
        [s]
    """

    def __init__(
        self,
        cell: CellParameters,
        bath: BathParameters,
        liquid: Liquid,
        *,
        room_temperature: float,
        room_pressure: float,
        humidity: float = 0.0,
        bath_temperature: float | None = None,
        cell_temperature: float | None = None,
        step: float = STEP,
        refresh: int = REFRESH,
    ) -> None:
        self.cell, self.bath, self.liquid = cell, bath, liquid
        self.step, self.refresh_every = step, refresh
        self.room_temperature, self.room_pressure, self.humidity = room_temperature, room_pressure, humidity
        self.draught = 1.0  # factor on the bath's loss
        self.cell_lifted = False
        self.stirred = True
        self.swirl_until = 0  # step at which swirling ends
        self.valve_open = True
        self.leak_rate = 0.0  # 1/s, relaxation rate of the over-pressure
        self.lift_pressure = NEVER  # Pa over the room at which the stopper lifts
        self.reseat_pressure = -NEVER  # Pa over the room at which it falls back
        self.lifted = False
        self.lifted_at: float | None = None  # s, for the first time
        self.steps = 0
        self.ledger = Ledger()
        self._water = load_liquid("water")
        self._impurity: Liquid | None = None
        self._impurity_fraction = 0.0
        self.ostwald = liquid.ostwald_air  # volume of air that one volume of the liquid holds
        self.bath_mass = bath.volume * WATER_DENSITY
        start = cell_temperature if cell_temperature is not None else room_temperature
        self.t_bath = bath_temperature if bath_temperature is not None else room_temperature
        self.t_outer = self.t_inner = self.t_liquid = self.t_gas = self.t_liquid_before = start
        self.unmixed = 0.0  # J in poured water that has not mixed yet
        self.n_liquid = 0.0
        self.n_main = self.n_stagnant = self.n_neck = self.n_tube = 0.0  # vapour
        self.n_water_liquid = self.n_air_liquid = 0.0
        gas = self._moles_of_room_gas(cell.volume * (1.0 - cell.neck_fraction), start)
        gas += self._moles_of_room_gas(cell.volume * cell.neck_fraction, self.t_neck)
        gas += self._moles_of_room_gas(cell.tube, room_temperature)
        self.n_water_gas = gas * self.room_humid_share()
        self.n_air = gas - self.n_water_gas
        self.pressure = room_pressure
        self.slow = _NOTHING_YET
        self.refresh()
        self.pressure = self._pressure()

    # -- places ------------------------------------------------------------------------------------------
    @property
    def time(self) -> float:
        return self.steps * self.step

    @property
    def t_neck(self) -> float:
        """Temperature of the gas above the water line.  [K]"""
        return self.t_gas + self.cell.neck_cooling * (self.room_temperature - self.t_gas)

    @property
    def gas_volume(self) -> float:
        """Gas space of the cell without the tube.  [m3]"""
        return self.cell.volume - self.n_liquid * self.liquid.molar_volume(self._clipped(self.t_liquid))

    @property
    def n_vapour(self) -> float:
        return self.n_main + self.n_stagnant + self.n_neck + self.n_tube

    def heat_content(self) -> float:
        """Heat stored relative to 0 K with the present capacities; for tests of conservation.  [J]"""
        cell = self.cell
        return (
            self.bath_capacity() * self.t_bath
            + self.unmixed
            + 0.5 * cell.glass * (self.t_outer + self.t_inner)
            + self._liquid_capacity() * self.t_liquid
            + cell.gas_heat * self.t_gas
        )

    def bath_capacity(self) -> float:
        return self.bath_mass * WATER_HEAT_CAPACITY + self.bath.vessel

    def _liquid_capacity(self) -> float:
        return self.n_liquid * self.slow.heat_capacity + self.cell.film

    def _clipped(self, temperature: float) -> float:
        # A liquid without a value (bath overheated far past the table) keeps the last one: the simulated
        # bench must go on and misbehave, not stop.
        return min(max(temperature, self.liquid.lowest), self.liquid.highest)

    def _moles_of_room_gas(self, volume: float, temperature: float) -> float:
        density = self.room_pressure / (R * temperature)
        return volume * density / (1.0 + air_virial(temperature) * density)

    def room_humid_share(self) -> float:
        """Mole fraction of water in the room's air.  [1]"""
        water = self._water
        at = min(max(self.room_temperature, water.lowest), water.highest)
        return self.humidity * water.saturation_pressure(at) / self.room_pressure

    # -- acts --------------------------------------------------------------------------------------------
    def pour(self, volume: float, temperature: float) -> None:
        """Add bath water; what the bath cannot hold runs over.  [m3], [K]"""
        mass = volume * WATER_DENSITY
        self.bath_mass += mass
        self.unmixed += mass * WATER_HEAT_CAPACITY * (temperature - self.t_bath)
        self.ledger.heat_poured += mass * WATER_HEAT_CAPACITY * temperature
        over = self.bath_mass - BRIM * self.bath.capacity * WATER_DENSITY
        if over > 0.0:
            self._remove(over)

    def draw(self, volume: float) -> float:
        """Take bath water out; returns what really went, as some must stay over the vessel's floor.  [m3]"""
        mass = min(volume * WATER_DENSITY, 0.7 * self.bath_mass)
        self._remove(mass)
        return mass / WATER_DENSITY

    def _remove(self, mass: float) -> None:
        """Let bath water go, with its share of what has not mixed yet.  [kg]"""
        strange = self.unmixed * mass / self.bath_mass
        self.unmixed -= strange
        self.bath_mass -= mass
        self.ledger.heat_poured -= mass * WATER_HEAT_CAPACITY * self.t_bath + strange

    def charge(self, charge: ChargeParameters, temperature: float) -> None:
        """Put the liquid in through the septum; the gas it pushes aside goes into the drawn plunger.  [K]"""
        at = self._clipped(temperature)
        pure = charge.volume / self.liquid.molar_volume(at)
        if charge.plunger_drawn:
            share = min(charge.volume / (self.gas_volume + self.cell.tube), 0.9)
            self.let_out(share)
        water = pure * charge.water_fraction
        organic = pure - water
        heat = self._liquid_capacity() * self.t_liquid
        self.n_liquid += organic
        self.n_water_liquid += water
        self._impurity = load_liquid(charge.impurity) if charge.impurity else None
        self._impurity_fraction = charge.impurity_fraction
        room_density = self.room_pressure / (R * self.room_temperature)
        self.ostwald = self.liquid.ostwald_air * charge.air_solubility
        # In its bottle the liquid stands under air and its own vapour together at the room's pressure.
        vapour = self.liquid.saturation_pressure(self._clipped(self.room_temperature))
        share = max(1.0 - vapour / self.room_pressure, 0.0)
        dissolved = charge.dissolved_air * self.ostwald * charge.volume * share * room_density
        self.n_air_liquid += dissolved
        let_in = charge.air_volume * room_density
        self.n_air += let_in
        self.ledger.air_in += dissolved + let_in
        self.ledger.vapour_in += organic
        self.ledger.water_in += water
        added = organic * self.slow.heat_capacity
        self.t_liquid = (heat + added * temperature) / self._liquid_capacity()
        self.t_liquid_before = self.t_liquid
        self.ledger.heat_poured += added * temperature
        self.refresh()

    def let_out(self, share: float) -> None:
        """Remove a share of the gas in the main space."""
        ledger = self.ledger
        ledger.air_in -= share * self.n_air
        ledger.water_in -= share * self.n_water_gas
        ledger.vapour_in -= share * self.n_main
        self.n_air *= 1.0 - share
        self.n_water_gas *= 1.0 - share
        self.n_main *= 1.0 - share

    # -- slow quantities ---------------------------------------------------------------------------------
    def _log_density(self, temperature: float) -> float:
        """Logarithm of the saturated vapour density over the liquid as it is (impurity included)."""
        temperature = self._clipped(temperature)
        return math.log(self._with_impurity(self.liquid.density_vapour(temperature), temperature))

    def _with_impurity(self, density: float, temperature: float) -> float:
        """Density of the saturated vapour over the liquid as it is, from that over the pure liquid.  [mol/m3]"""
        if self._impurity is not None and self._impurity_fraction > 0.0:
            other = self._impurity
            at = min(max(temperature, other.lowest), other.highest)
            density += self._impurity_fraction * (other.density_vapour(at) - density)
        return density

    def refresh(self) -> None:
        """Bring what changes slowly up to date: properties, cold places, rates; changed parameters take effect."""
        cell, liquid, step = self.cell, self.liquid, self.step
        t = self.t_liquid
        at = self._clipped(t)
        saturation, z = liquid.saturation_pressure(at), liquid.compressibility_vapour(at)
        pure = saturation / (z * R * at)
        low, high = self._log_density(t - NEAR), self._log_density(t + NEAR)
        mid = math.log(self._with_impurity(pure, at))
        if self.n_liquid > 0.0:
            # The heat capacity of what is there is brought up to date at constant temperature.
            change = liquid.molar_heat_capacity(at) - self.slow.heat_capacity
            self.ledger.heat_carried += self.n_liquid * change * t
        above, below = self._clipped(t + 0.5), self._clipped(t - 0.5)
        wet = self._water.saturation_pressure(min(max(t, self._water.lowest), self._water.highest))
        air_slope = air_virial_slope(self.t_gas)
        hurry = SWIRLED if self.steps < self.swirl_until else 1.0

        def share(time: float) -> float:
            return 1.0 - math.exp(-step / time)

        self.slow = Slow(
            temperature=t,
            log_density=mid,
            log_slope=(high - low) / (2 * NEAR),
            log_curve=(high - 2 * mid + low) / (2 * NEAR * NEAR),
            virial=(z - 1.0) / pure,
            latent=liquid.enthalpy_vap(at),
            heat_capacity=liquid.molar_heat_capacity(at),
            molar_volume=liquid.molar_volume(at),
            expansion=(liquid.molar_volume(above) - liquid.molar_volume(below)) / max(above - below, 0.5),
            saturation=saturation,
            water_pull=liquid.activity_water * wet / (R * t),
            water_full=wet / (R * t),
            # Places that are not there cost nothing.
            density_neck=math.exp(self._log_density(self.t_neck)) if cell.neck_fraction > 0.0 else 0.0,
            density_tube=math.exp(self._log_density(self.room_temperature)) if cell.tube > 0.0 else 0.0,
            f_evaporate=share(cell.evaporation_time * hurry),
            f_condense=share(cell.condensation_time * hurry),
            f_stagnant=share(cell.stagnant_time * hurry),
            f_neck=share(cell.neck_time),
            f_tube=share(cell.tube_time),
            f_air=share(cell.air_solution_time * hurry),
            f_water=share(cell.water_solution_time * hurry),
            f_mix=share(self.bath.mixing * (1.0 if self.stirred else UNSTIRRED)),
            liquid_time=cell.liquid_time * hurry,
            air_constant=air_virial(self.t_gas) - air_slope * self.t_gas,
            air_slope=air_slope,
        )

    # -- pressure ----------------------------------------------------------------------------------------
    def _pressure(self) -> float:
        """Pressure of the gas from its amounts and places.  [Pa]"""
        cell = self.cell
        slow = self.slow
        grown = slow.molar_volume + slow.expansion * (self.t_liquid - slow.temperature)
        volume = cell.volume - self.n_liquid * grown
        return gas_pressure(
            self.n_air + self.n_water_gas,
            self.n_vapour,
            volume * (1.0 - cell.neck_fraction),
            volume * cell.neck_fraction,
            cell.tube,
            self.t_gas,
            self.t_neck,
            self.room_temperature,
            slow.virial,
            self.liquid.cross_virial_air,
        )


def gas_pressure(
    n_air: float,
    n_vapour: float,
    volume: float,
    volume_neck: float,
    volume_tube: float,
    t_gas: float,
    t_neck: float,
    t_tube: float,
    virial: float,
    cross: float,
) -> float:
    r"""Pressure of air and vapour shared by three places at one pressure.

    .. math:: p = \frac{nR}{\sum_j V_j/T_j}\left[1 + \frac{c_v^2 B_{vv} + 2 c_v c_a B_{va} + c_a^2 B_{aa}}{c}\right]

    with the densities c of the whole; the virial bracket differs from 1 by less than 1 % here, so taking it for the
    whole, and the air's coefficient at the temperature of the gas, costs nothing.  Amounts in mol, volumes in m3,
    temperatures in K, virials in m3/mol; result in Pa.
    """
    total = n_air + n_vapour
    room = volume + volume_neck + volume_tube
    inverse = volume / t_gas + volume_neck / t_neck + volume_tube / t_tube
    bracket = (n_vapour * (n_vapour * virial + 2.0 * n_air * cross) + n_air * n_air * air_virial(t_gas)) / (
        total * room
    )
    return R * total / inverse * (1.0 + bracket)
