"""What a bench is made of, as plain numbers in SI; knows nothing of scenarios or time."""

from __future__ import annotations

import math
from dataclasses import dataclass

WATER_HEAT_CAPACITY = 4184.0  # J/(kg K)
WATER_DENSITY = 997.0  # kg/m3


@dataclass
class BathParameters:
    """Water bath: a stirred vessel that loses heat to the room."""

    volume: float = 0.5e-3  # m3 at the start
    capacity: float = 0.75e-3  # m3 that fit in; more has to be taken out first
    vessel: float = 115.0  # J/K of glass, stirrer, stand
    loss: float = 1.2  # W/K to the room
    mixing: float = 8.0  # s, time constant in which poured water mixes
    layering: float = 0.0  # K by which the probe's place is warmer per 10 K above the room
    heater: float = 0.0  # W


@dataclass
class CellParameters:
    """Closed cell: glass, gas space, liquid, the cold places, and how fast each follows."""

    volume: float = 140e-6  # m3, total with its neck, without the tube
    neck_fraction: float = 0.0  # of the gas space, above the water line
    neck_cooling: float = 0.5  # 0: as warm as the gas; 1: as cold as the room
    neck_time: float = 60.0  # s
    tube: float = 0.5e-6  # m3 at room temperature
    tube_time: float = 900.0  # s, vapour finding its way in
    stagnant_fraction: float = 0.0  # of the gas space that exchanges vapour slowly
    stagnant_time: float = 180.0  # s
    glass: float = 60.0  # J/K
    outer_time: float = 6.0  # s, bath to glass
    inner_time: float = 5.0  # s, through the glass
    liquid_time: float = 25.0  # s, glass to liquid
    gas_time: float = 20.0  # s, glass to gas
    evaporation_time: float = 20.0  # s
    condensation_time: float = 10.0  # s
    air_solution_time: float = 400.0  # s
    water_solution_time: float = 90.0  # s
    film: float = 0.4  # J/K, glass that goes with the liquid
    gas_heat: float = 0.17  # J/K


@dataclass
class RoomParameters:
    """Room air and what it does during a run."""

    temperature: float = 294.65  # K at the start
    drift: float = 0.0  # K/s
    wander: float = 0.0  # K, standard deviation of the slow part
    wander_time: float = 600.0  # s
    pressure: float = 100.9e3  # Pa
    pressure_drift: float = 0.0  # Pa/s
    humidity: float = 0.0  # relative, 0 to 1
    draughts: float = 0.0  # relative standard deviation of the bath's loss
    draught_time: float = 60.0  # s


@dataclass
class SensorParameters:
    """One sensor: how it lags, how wrong it is and how it flickers, in the unit of its reading (K or Pa)."""

    lag: float = 4.0  # s
    offset: float = 0.0
    gain: float = 0.0  # relative deviation from 1, about `centre`
    centre: float = 0.0
    bow: float = 0.0  # largest deviation of a parabola over the span below
    span: tuple[float, float] = (0.0, 1.0)
    drift: float = 0.0  # per second
    warm_up: float = 0.0  # left at power-on
    warm_up_time: float = 600.0  # s
    room_effect: float = 0.0  # per K that the room is warmer than at the start
    against_room: bool = False  # measures against the air, which is added as it was at the start
    self_heating: float = 0.0  # shift while in water; about five times as much in air
    noise: float = 0.0  # white, standard deviation of one sample
    wander: float = 0.0  # slow noise, standard deviation
    wander_time: float = 20.0  # s
    resolution: float = 0.0
    zero: float = 0.0  # of the scale whose steps the resolution counts


@dataclass
class ChargeParameters:
    """What goes in with the liquid."""

    volume: float = 2.5e-6  # m3
    dissolved_air: float = 1.0  # of saturation in a bottle at room conditions
    air_solubility: float = 1.0  # factor on the liquid's own, which is known roughly
    impurity: str = ""  # name of a second liquid
    impurity_fraction: float = 0.0  # mole fraction
    water_fraction: float = 0.0  # mole fraction of water
    air_volume: float = 0.0  # m3 of room air let in
    plunger_drawn: bool = True


NEVER = math.inf
