"""From a scenario and a seed to the parameters of one bench; the only place where what is true gets drawn."""

from __future__ import annotations

from dataclasses import dataclass

from sim.noise import Normals
from sim.parameters import (
    BathParameters,
    CellParameters,
    ChargeParameters,
    RoomParameters,
    SensorParameters,
)
from sim.scenario import Scenario

# One stream of deviates for each use, so that a new use does not shift the others.
STREAM_DRAWN, STREAM_ROOM, STREAM_TEMPERATURE, STREAM_PRESSURE, STREAM_OPERATOR, STREAM_LINE, STREAM_MISHAPS = range(7)
STREAM_AIR = 7


@dataclass(frozen=True)
class Drawn:
    """One bench as it really is."""

    cell: CellParameters
    bath: BathParameters
    room: RoomParameters
    charge: ChargeParameters
    temperature: SensorParameters
    pressure: SensorParameters
    clock_rate: float  # device seconds per second


def draw(scenario: Scenario, seed: int) -> Drawn:
    """Draw the bench of this scenario and seed."""
    normals = Normals(seed, STREAM_DRAWN)

    def spread(value: float, percent: float) -> float:
        return value * max(1.0 + 0.01 * percent * normals.normal(), 0.3)

    air = Normals(seed, STREAM_AIR)
    part = scenario.cell
    lag = part.lag_spread_percent
    cell = CellParameters(
        volume=scenario.cell_volume + scenario.u_cell_volume * normals.normal(),
        neck_fraction=max(part.neck_percent + part.u_neck_percent * normals.normal(), 0.0) * 0.01,
        neck_cooling=part.neck_cooling,
        tube=max(part.tube_mL + part.u_tube_mL * normals.normal(), 0.0) * 1e-6,
        tube_time=part.tube_s,
        stagnant_fraction=part.stagnant_percent * 0.01,
        stagnant_time=spread(part.stagnant_s, lag),
        glass=part.glass_J_per_K,
        outer_time=spread(0.55 * part.glass_lag_s, lag),
        inner_time=spread(0.45 * part.glass_lag_s, lag),
        liquid_time=spread(part.liquid_lag_s, lag),
        gas_time=spread(part.gas_lag_s, lag),
        evaporation_time=spread(part.evaporation_s, lag),
        condensation_time=spread(part.condensation_s, lag),
    )
    charge = ChargeParameters(
        volume=max(scenario.charge_volume + scenario.u_charge_volume * normals.normal(), 1e-9),
        dissolved_air=_dissolved(scenario, air.normal()),
        air_solubility=max(1.0 + 0.01 * scenario.charge.solubility_spread_percent * air.normal(), 0.1),
    )
    return Drawn(
        cell=cell,
        bath=_bath(scenario),
        room=_room(scenario, air),
        charge=charge,
        temperature=_temperature_sensor(scenario, normals),
        pressure=_pressure_sensor(scenario, normals),
        clock_rate=1.0 + scenario.device.clock_ppm * 1e-6 * normals.normal(),
    )


def _bath(scenario: Scenario) -> BathParameters:
    part = scenario.bath
    return BathParameters(
        volume=part.volume_mL * 1e-6,
        capacity=part.capacity_mL * 1e-6,
        vessel=part.vessel_J_per_K,
        loss=part.loss_W_per_K,
        mixing=part.mixing_s,
        layering=part.layering_K,
    )


def _dissolved(scenario: Scenario, normal: float) -> float:
    part = scenario.charge
    return 0.01 * max(part.dissolved_air_percent + part.u_dissolved_air_percent * normal, 0.0)


def _room(scenario: Scenario, air: Normals) -> RoomParameters:
    part = scenario.room
    return RoomParameters(
        temperature=scenario.room_temperature,
        drift=part.drift_K_per_h / 3600.0,
        wander=part.wander_K,
        wander_time=part.wander_s,
        pressure=scenario.room_pressure,
        pressure_drift=part.pressure_drift_kPa_per_h / 3.6,
        humidity=min(max(scenario.humidity + 0.01 * part.u_humidity_percent * air.normal(), 0.0), 1.0),
        draughts=part.draughts_percent * 0.01,
        draught_time=part.draught_s,
    )


def _temperature_sensor(scenario: Scenario, normals: Normals) -> SensorParameters:
    part = scenario.temperature
    return SensorParameters(
        lag=part.lag_s,
        offset=part.u_offset_K * normals.normal(),
        gain=0.01 * part.u_gain_percent * normals.normal(),
        centre=scenario.room_temperature,
        drift=part.drift_K_per_h / 3600.0,
        warm_up=part.warm_up_K,
        warm_up_time=part.warm_up_s,
        self_heating=part.self_heating_K,
        noise=part.noise_K,
        wander=part.wander_K,
        wander_time=part.wander_s,
        resolution=part.resolution_K,
        zero=273.15,
    )


def _pressure_sensor(scenario: Scenario, normals: Normals) -> SensorParameters:
    part = scenario.pressure
    return SensorParameters(
        lag=part.lag_s,
        offset=part.u_offset_kPa * 1e3 * normals.normal(),
        gain=0.01 * part.u_gain_percent * normals.normal(),
        centre=0.0,
        bow=0.01 * part.bow_percent * part.full_scale_kPa * 1e3,
        span=(0.0, part.full_scale_kPa * 1e3),
        drift=part.drift_kPa_per_h / 3.6,
        room_effect=part.room_kPa_per_K * 1e3,
        against_room=part.against_air,
        warm_up=part.warm_up_kPa * 1e3,
        warm_up_time=part.warm_up_s,
        noise=part.noise_kPa * 1e3,
        wander=part.wander_kPa * 1e3,
        wander_time=part.wander_s,
        resolution=part.resolution_kPa * 1e3,
    )
