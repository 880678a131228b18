"""The tables of a scenario file; every key carries its unit, every limit is a limit of the simulation."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from drivers.tomlfile import Record

Positive = Annotated[float, Field(gt=0)]
NotNegative = Annotated[float, Field(ge=0)]
Percent = Annotated[float, Field(ge=0, le=100)]
Celsius = Annotated[float, Field(ge=0, le=60)]  # the liquid tables end a little beyond


class RoomPart(Record):
    """Room air and its weather."""

    temperature_degC: Annotated[float, Field(ge=5, le=40)] = 21.5
    pressure_kPa: Annotated[float, Field(ge=60, le=110)] = 100.9
    humidity_percent: Percent = 0.0
    u_humidity_percent: Percent = 0.0  # of its own unit; the truth is drawn from it
    drift_K_per_h: Annotated[float, Field(ge=-10, le=10)] = 0.0
    pressure_drift_kPa_per_h: Annotated[float, Field(ge=-2, le=2)] = 0.0
    wander_K: NotNegative = 0.0
    wander_s: Positive = 600.0
    draughts_percent: Percent = 0.0  # standard deviation of the bath's heat loss
    draught_s: Positive = 60.0


class BathPart(Record):
    """The water bath."""

    volume_mL: Annotated[float, Field(ge=50, le=20000)] = 500.0
    capacity_mL: Annotated[float, Field(ge=50, le=20000)] = 800.0
    vessel_J_per_K: NotNegative = 115.0
    loss_W_per_K: NotNegative = 1.2
    mixing_s: Positive = 8.0
    layering_K: NotNegative = 0.0  # warmer at the probe, per 10 K above the room
    limit_degC: Annotated[float, Field(ge=20, le=60)] = 40.0
    start_degC: Celsius | None = None  # the room's where not given


class CellPart(Record):
    """The cell. What the run plan may know carries a standard uncertainty; the truth is drawn from it."""

    volume_mL: Annotated[float, Field(ge=10, le=5000)] = 140.0
    u_volume_mL: NotNegative = 0.3
    neck_percent: Annotated[float, Field(ge=0, le=60)] = 0.0
    u_neck_percent: NotNegative = 0.0
    neck_cooling: Annotated[float, Field(ge=0, le=1)] = 0.5
    tube_mL: NotNegative = 0.5
    u_tube_mL: NotNegative = 0.0
    tube_s: Positive = 900.0
    stagnant_percent: Annotated[float, Field(ge=0, le=60)] = 0.0
    stagnant_s: Positive = 180.0
    glass_J_per_K: Positive = 60.0
    glass_lag_s: Positive = 11.0
    liquid_lag_s: Positive = 25.0
    gas_lag_s: Positive = 20.0
    evaporation_s: Positive = 20.0
    condensation_s: Positive = 10.0
    lag_spread_percent: Percent = 10.0
    starts_warmer_K: Annotated[float, Field(ge=-15, le=15)] = 0.0  # cell not at room temperature at first


class ChargePart(Record):
    """The liquid that goes in."""

    volume_mL: Positive = 2.5
    u_volume_mL: NotNegative = 0.02
    dissolved_air_percent: Annotated[float, Field(ge=0, le=200)] = 100.0
    u_dissolved_air_percent: Percent = 10.0
    solubility_spread_percent: Percent = 30.0  # of the air that the liquid can hold, known roughly


class TemperatureSensorPart(Record):
    """The temperature probe; offset and gain are drawn from their uncertainties."""

    lag_s: Positive = 4.0
    u_offset_K: NotNegative = 0.1
    u_gain_percent: NotNegative = 0.1
    drift_K_per_h: float = 0.0
    warm_up_K: float = 0.0
    warm_up_s: Positive = 600.0
    self_heating_K: float = 0.0
    noise_K: NotNegative = 0.012
    wander_K: NotNegative = 0.004
    wander_s: Positive = 20.0
    resolution_K: NotNegative = 0.01


class PressureSensorPart(Record):
    """The gas-pressure sensor; offset and gain are drawn from their uncertainties."""

    lag_s: Positive = 0.4
    u_offset_kPa: NotNegative = 1.0
    u_gain_percent: NotNegative = 0.5
    bow_percent: float = 0.0  # parabola over the full scale, of the full scale
    full_scale_kPa: Positive = 200.0
    drift_kPa_per_h: float = 0.0
    room_kPa_per_K: float = 0.0  # shift of the zero with the room's temperature
    against_air: bool = False  # a gauge sensor; the day's air pressure was added once, so weather shows
    warm_up_kPa: float = 0.0
    warm_up_s: Positive = 600.0
    noise_kPa: NotNegative = 0.02
    wander_kPa: NotNegative = 0.006
    wander_s: Positive = 20.0
    resolution_kPa: NotNegative = 0.01


class DevicePart(Record):
    """How the device speaks."""

    profile: str = "simulated-bench"
    rate_Hz: Annotated[float, Field(ge=0.1, le=1000)] = 10.0
    clock_ppm: Annotated[float, Field(ge=-1000, le=1000)] = 20.0  # standard deviation of the clock's rate


class ProcedurePart(Record):
    """What the run is meant to be."""

    soak_s: NotNegative = 45.0
    targets_degC: tuple[Celsius, ...] = (25.0, 28.0, 31.0, 34.0, 37.0)
    return_degC: Celsius | None = 28.0
    hot_water_degC: Annotated[float, Field(ge=30, le=95)] = 70.0
    cold_water_degC: Annotated[float, Field(ge=1, le=25)] = 15.0


class OperatorPart(Record):
    """The scripted person."""

    reaction_s: NotNegative = 6.0  # median until a told thing is begun
    reaction_spread_percent: Percent = 40.0
    pour_s: NotNegative = 8.0
    amount_error_percent: Percent = 5.0
    water_error_K: NotNegative = 2.0
    swirl_s: NotNegative = 20.0
