"""The bench's state equations written a second time, continuous in time, for scipy's stiff solvers.

Nothing is shared with the stepping code but the liquid tables: no splitting, no shares of a step, no quantities that
are updated now and then. Amounts in mol, temperatures in K, volumes in m3.
"""

from __future__ import annotations

import numpy as np
from scipy.integrate import solve_ivp

from sim.air import air_virial
from sim.liquids import Liquid, R, load_liquid
from sim.parameters import BathParameters, CellParameters

NAMES = (
    "t_bath", "unmixed", "t_outer", "t_inner", "t_liquid", "t_gas", "n_liquid", "n_main", "n_stagnant", "n_neck",
    "n_tube", "n_air", "n_air_liquid", "n_water_gas", "n_water_liquid",
)  # fmt: skip


def pressure(y: np.ndarray, cell: CellParameters, liquid: Liquid, t_room: float) -> float:
    """Pressure of a state.  [Pa]"""
    s = dict(zip(NAMES, y, strict=True))
    volume = cell.volume - s["n_liquid"] * liquid.molar_volume(s["t_liquid"])
    neck = volume * cell.neck_fraction
    t_neck = s["t_gas"] + cell.neck_cooling * (t_room - s["t_gas"])
    vapour = s["n_main"] + s["n_stagnant"] + s["n_neck"] + s["n_tube"]
    dry = s["n_air"] + s["n_water_gas"]
    whole = volume + cell.tube
    second = vapour**2 * liquid.virial(s["t_liquid"]) + 2 * vapour * dry * liquid.cross_virial_air
    second += dry**2 * air_virial(s["t_gas"])
    inverse = (volume - neck) / s["t_gas"] + neck / t_neck + cell.tube / t_room
    return R * (vapour + dry + second / whole) / inverse


def rates(
    y: np.ndarray, cell: CellParameters, bath: BathParameters, liquid: Liquid, mass: float, t_room: float
) -> np.ndarray:
    """Time derivative of the state of a closed, tight cell in its bath."""
    s = dict(zip(NAMES, y, strict=True))
    d = dict.fromkeys(NAMES, 0.0)
    capacity = mass * 4184.0 + bath.vessel
    half = 0.5 * cell.glass
    c_liquid = s["n_liquid"] * liquid.molar_heat_capacity(s["t_liquid"]) + cell.film
    to_outer = half / cell.outer_time * (s["t_bath"] - s["t_outer"])
    to_inner = half / cell.inner_time * (s["t_outer"] - s["t_inner"])
    to_liquid = c_liquid / cell.liquid_time * (s["t_inner"] - s["t_liquid"])
    to_gas = cell.gas_heat / cell.gas_time * (s["t_inner"] - s["t_gas"])
    d["unmixed"] = -s["unmixed"] / bath.mixing
    d["t_bath"] = (s["unmixed"] / bath.mixing - to_outer + bath.loss * (t_room - s["t_bath"])) / capacity
    d["t_outer"] = (to_outer - to_inner) / half
    d["t_inner"] = (to_inner - to_liquid - to_gas) / half
    d["t_gas"] = to_gas / cell.gas_heat

    volume = cell.volume - s["n_liquid"] * liquid.molar_volume(s["t_liquid"])
    v_main = volume * (1 - cell.neck_fraction) * (1 - cell.stagnant_fraction)
    v_stagnant = volume * (1 - cell.neck_fraction) * cell.stagnant_fraction
    v_neck = volume * cell.neck_fraction
    density = s["n_main"] / v_main
    t = s["t_liquid"]
    pure = liquid.density_vapour(t)
    total = pressure(y, cell, liquid, t_room)
    air = (s["n_air"] + s["n_water_gas"]) / (volume + cell.tube)
    shift = 2 * liquid.virial(t) * (pure - density) - 2 * liquid.cross_virial_air * air
    shift += liquid.molar_volume(t) * (total - liquid.saturation_pressure(t)) / (R * t)
    shift -= (s["n_air_liquid"] + s["n_water_liquid"]) / s["n_liquid"]
    missing = pure * np.exp(shift) * v_main - s["n_main"]
    evaporation = missing / (cell.evaporation_time if missing > 0 else cell.condensation_time)
    d["t_liquid"] = (to_liquid - liquid.enthalpy_vap(t) * evaporation) / c_liquid
    d["n_liquid"] = -evaporation
    d["n_stagnant"] = (density * v_stagnant - s["n_stagnant"]) / cell.stagnant_time
    t_neck = s["t_gas"] + cell.neck_cooling * (t_room - s["t_gas"])
    there = min(density * s["t_gas"] / t_neck, liquid.density_vapour(t_neck))
    d["n_neck"] = (there * v_neck - s["n_neck"]) / cell.neck_time
    there = min(density * s["t_gas"] / t_room, liquid.density_vapour(t_room))
    d["n_tube"] = (there * cell.tube - s["n_tube"]) / cell.tube_time
    d["n_main"] = evaporation - d["n_stagnant"] - d["n_neck"] - d["n_tube"]

    soaked = liquid.ostwald_air * s["n_liquid"] * liquid.molar_volume(t)
    full = (s["n_air"] + s["n_air_liquid"]) * soaked / (volume + soaked)
    d["n_air_liquid"] = (full - s["n_air_liquid"]) / cell.air_solution_time
    d["n_air"] = -d["n_air_liquid"]
    wet = load_liquid("water").saturation_pressure(t)
    pull = liquid.activity_water * wet / (R * t) * volume
    gas = (s["n_water_gas"] + s["n_water_liquid"]) * pull / (pull + s["n_liquid"])
    d["n_water_gas"] = (min(gas, wet / (R * t) * volume) - s["n_water_gas"]) / cell.water_solution_time
    d["n_water_liquid"] = -d["n_water_gas"]
    return np.array([d[name] for name in NAMES])


def solve(
    y: np.ndarray, times: np.ndarray, cell: CellParameters, bath: BathParameters, liquid: Liquid, mass: float,
    t_room: float, method: str,
) -> np.ndarray:  # fmt: skip
    """States at `times`, shape (len(NAMES), n); tolerances far below one digit of any sensor."""
    result = solve_ivp(
        lambda _, state: rates(state, cell, bath, liquid, mass, t_room),
        (times[0], times[-1]), y, method=method, t_eval=times, rtol=1e-8, atol=1e-12, max_step=5.0,
    )  # fmt: skip
    assert result.success
    return result.y
