"""A bench at rest with everything drawn from what the fit is told: for coverage, bias and power.

Saturation data and virials are the simulator's (`sim.liquids`, `sim.air`); nothing of the fit is used.  Unlike the
moving bench it gives each place its own virial equation and lets the liquid share air and water with all of them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from analysis.fit_input import FitPoint, SensorPriors
from analysis.liquids import Liquid
from analysis.liquids import load_liquid as fit_liquid
from analysis.trapped_air import CellSetup, SealedBaseline
from sim.air import air_virial
from sim.liquids import Liquid as SimulatedLiquid
from sim.liquids import R
from sim.liquids import load_liquid as simulated_liquid

WATER = simulated_liquid("water")
LOOPS = 60  # half a dozen do, but for a liquid that just runs out
DISSOLVES = 400.0  # [s] in which air comes to balance with the liquid


@dataclass
class Bench:
    """One bench as it really is.  SI."""

    volume: float
    charge: float
    drawn: float
    tube: float
    tube_vapour: float
    neck: float
    room: float
    humidity: float
    dissolved: float
    ostwald: float
    gamma: float
    air_factor: float
    t0: float
    p0: float
    offset: float
    gain: float
    bend: float
    drift: float
    offset_t: float
    gain_t: float


def draw_bench(setup: CellSetup, sensors: SensorPriors, liquid: Liquid, rng: np.random.Generator) -> Bench:
    """Truths of one bench, from the values and uncertainties the fit is told."""

    def near(value: float, u: float, low: float = -math.inf) -> float:
        return max(value + u * rng.standard_normal(), low)

    charge = near(setup.charge_volume, setup.u_charge_volume, 1e-8)
    # The plunger is drawn by what was meant; charge and drawing err on their own.
    drawn = near(setup.charge_volume, setup.u_drawn_volume, 0.0) if setup.plunger_drawn_back else 0.0
    activity = liquid.water_activity
    gamma = 1.0 if activity is None else activity.value * math.exp(activity.u / activity.value * rng.standard_normal())
    solubility = liquid.air_solubility
    humidity, u_humidity = (0.45, 0.18) if setup.room_humidity is None else (setup.room_humidity, setup.u_room_humidity)
    return Bench(
        volume=near(setup.cell_volume, setup.u_cell_volume),
        charge=charge,
        drawn=drawn,
        tube=near(setup.tubing_volume, setup.u_tubing_volume, 0.0),
        tube_vapour=min(near(setup.tubing_vapour, setup.u_tubing_vapour, 0.0), 1.0),
        neck=near(setup.gas_above_water, setup.u_gas_above_water, 0.0),
        room=near(setup.room_temperature, setup.u_room_temperature),
        humidity=min(near(humidity, u_humidity, 0.0), 1.0),
        dissolved=near(setup.dissolved_air, setup.u_dissolved_air, 0.0),
        ostwald=near(solubility.value, solubility.u, 0.0),
        gamma=gamma,
        air_factor=1 + setup.u_air * rng.standard_normal(),
        t0=295.15 + 0.3 * rng.standard_normal(),
        p0=100e3 + 800 * rng.standard_normal(),
        offset=sensors.u_offset_pressure * rng.standard_normal(),
        gain=sensors.u_gain_pressure * rng.standard_normal(),
        bend=sensors.u_nonlinearity_pressure * rng.standard_normal(),
        drift=sensors.u_drift_pressure * rng.standard_normal(),
        offset_t=sensors.u_offset_temperature * rng.standard_normal(),
        gain_t=sensors.u_gain_temperature * rng.standard_normal(),
    )


def _real(pressure: float, temperature: float) -> float:
    """Molar density of air.  [mol/m3]"""
    ideal = pressure / (R * temperature)
    return ideal / (1 + air_virial(temperature) * ideal)


class Place:
    """A part of the gas space at one temperature; densities in mol/m3."""

    def __init__(self, t: float, liquid: SimulatedLiquid) -> None:
        self.t, self.volume = t, 0.0
        self.pure, self.virial = liquid.density_vapour(t), liquid.virial(t)
        self.saturation, self.liquid_volume = liquid.saturation_pressure(t), liquid.molar_volume(t)
        self.virial_air = air_virial(t)
        self.vapour, self.foreign = self.pure, 0.0


class Cell:
    """The closed and charged cell: amounts fixed, pressure at any temperature."""

    def __init__(self, bench: Bench, liquid: SimulatedLiquid) -> None:
        b = bench
        self.bench, self.liquid = b, liquid
        water = b.humidity * WATER.saturation_pressure(b.room)
        places = ((b.volume * (1 - b.neck), b.t0), (b.volume * b.neck, 0.5 * (b.t0 + b.room)), (b.tube, b.room))
        total = sum(v * _real(b.p0, t) for v, t in places)
        left = 1 - b.drawn / (b.volume + b.tube - b.charge + b.drawn)
        self.n_water = total * water / b.p0 * left
        in_bottle = (b.p0 - liquid.saturation_pressure(b.room)) / (R * b.room)
        self.n_air = (total * (1 - water / b.p0) * left) * b.air_factor + b.dissolved * b.ostwald * b.charge * in_bottle
        self.brought = b.dissolved * b.ostwald * b.charge * in_bottle
        self.n_liquid = b.charge / liquid.molar_volume(b.room)
        self.leaked = 1.0  # share of the air still there

    def undissolved(self, t: float, since: float) -> float:
        """What air adds to the pressure that the liquid has yet to take up, `since` seconds after the charge.  [Pa]"""
        b = self.bench
        gas = b.volume + b.tube - b.charge
        held = self.n_air * b.ostwald * b.charge / (gas + b.ostwald * b.charge)
        return (held - self.brought) * R * t / gas * math.exp(-since / DISSOLVES)

    def pressure(self, t: float) -> float:
        """Total pressure at rest, liquid and gas at t, neck half-way to the room, tube at the room.  [Pa]

        Each place has its own densities by the virial equation, and all have one pressure.
        """
        b, liquid = self.bench, self.liquid
        cross = liquid.cross_virial_air
        neck_t = 0.5 * (t + b.room)
        wet = 0.0 if liquid.cas == WATER.cas else b.gamma * WATER.saturation_pressure(t) / (R * t)
        volume_molar = liquid.molar_volume(t)
        places = [Place(t, liquid), Place(neck_t, liquid), Place(b.room, liquid)]
        main, _, tube = places
        n_air, vapour_n, solved = self.n_air * self.leaked, 0.0, 0.0
        p = b.p0 * t / b.t0 + main.saturation
        for place in places:
            place.foreign = b.p0 / (R * place.t)
        for _ in range(LOOPS):
            n_liquid = max(self.n_liquid - vapour_n, 0.0)
            gas = b.volume - n_liquid * volume_molar
            main.volume, places[1].volume, tube.volume = gas * (1 - b.neck), gas * b.neck, b.tube
            for place in places:
                shift = 2 * place.virial * (place.pure - place.vapour) - 2 * cross * place.foreign
                shift += place.liquid_volume * (p - place.saturation) / (R * place.t)
                here = place.pure * math.exp(shift - (solved if place is main else 0.0))
                # What is no colder than the liquid holds as much as stands over it.
                place.vapour = here if place is main else min(here, main.vapour * t / place.t)
            tube.vapour *= b.tube_vapour
            vapour_n = sum(place.vapour * place.volume for place in places)
            if vapour_n > self.n_liquid:  # no liquid left: what there is spreads out
                for place in places:
                    place.vapour *= self.n_liquid / vapour_n
                vapour_n = self.n_liquid
            for place in places:
                c, f = place.vapour, place.foreign
                bracket = c * c * place.virial + 2 * c * f * cross + f * f * place.virial_air
                place.foreign = p / (R * place.t) - c - bracket
            foreign_n = sum(place.foreign * place.volume for place in places)
            spread = foreign_n / main.foreign  # volume at t that holds as much
            pull = wet * spread
            water_gas = self.n_water * pull / (pull + n_liquid) if wet and n_liquid else (self.n_water if wet else 0.0)
            air_liquid = b.ostwald * (foreign_n - water_gas) / spread * n_liquid * volume_molar
            if n_liquid:
                solved = ((self.n_water - water_gas if wet else 0.0) + air_liquid) / n_liquid
            missing = n_air + water_gas - foreign_n - air_liquid
            change = missing * R / sum(place.volume / place.t for place in places)
            p += change
            if abs(change) < 1e-4:
                break
        return p


def sensed(bench: Bench, sensors: SensorPriors, t: float, p: float, elapsed: float) -> tuple[float, float]:
    """What noiseless sensors show."""
    x = p / sensors.full_scale_pressure
    shown_p = bench.offset + (1 + bench.gain) * p + bench.bend * 4 * x * (1 - x) + bench.drift * elapsed
    return t + bench.offset_t + bench.gain_t * (t - bench.t0), shown_p


def run_of(
    name: str,
    temperatures: np.ndarray,
    setup: CellSetup,
    sensors: SensorPriors,
    rng: np.random.Generator,
    *,
    u_temperature: float = 0.03,
    u_pressure: float = 30.0,
    noise: float = 1.0,
) -> tuple[SealedBaseline, list[FitPoint], Liquid, float]:
    """Baseline, points, the fit's liquid and the true enthalpy at 298.15 K of one drawn run.

    `noise` is how much larger the real noise is than what is claimed.
    """
    simulated, liquid = simulated_liquid(name), fit_liquid(name)
    # The value the fit is told is the fit's own; the truth scatters about it as the fit is told.
    bench = draw_bench(setup, sensors, liquid, rng)
    cell = Cell(bench, simulated)

    def read(t: float, p: float, elapsed: float) -> tuple[float, float]:
        shown_t, shown_p = sensed(bench, sensors, t, p, elapsed)
        return (
            shown_t + noise * u_temperature * rng.standard_normal(),
            shown_p + noise * u_pressure * rng.standard_normal(),
        )

    base = SealedBaseline(*read(bench.t0, bench.p0, 0.0), u_temperature, u_pressure)
    points = []
    for k, t in enumerate(temperatures):
        shown = read(float(t), cell.pressure(float(t)), k / (len(temperatures) - 1))
        points.append(FitPoint(*shown, u_temperature, u_pressure, time=360.0 * (k + 1)))
    # What no reading can tell is drawn too: dZ and the heat-capacity difference are known only so well.
    form, capacity = liquid.dz_form, liquid.heat_capacity_difference
    assert form is not None
    told_dz = replace(form, coefficients=moved_dz(form.coefficients, form.u * rng.standard_normal(), liquid))
    told = replace(
        liquid,
        dz_form=told_dz,
        heat_capacity_difference=replace(capacity, value=capacity.value + capacity.u * rng.standard_normal()),
    )
    return base, points, told, simulated.enthalpy_vap(298.15)


def moved_dz(coefficients: tuple[float, ...], amount: float, liquid: Liquid) -> tuple[float, ...]:
    """The form of dZ moved by `amount` near 303 K; ln(1 - dZ) moves by -amount/(1 - dZ), kept from crossing zero."""
    gap = 1 - float(liquid.dz(303.15))
    return (coefficients[0] + math.log(max(1 - amount / gap, 0.02)), *coefficients[1:])
