"""Make the liquid tables in sim/data from reference equations of state; run by hand, never at run time.

    python -m sim.tabulate [FOLDER]

Needs CoolProp and chemicals (test requirements). Each table records the equation's citation key, the version of
CoolProp, the samples as they came, and the smooth functions through them with their largest deviation.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import numpy as np

R = 8.31446261815324  # J/(mol K), exact in the SI of 2019

LOWEST, HIGHEST, STEP = 263.15, 343.15, 2.5  # K; the bench works from an ice bath to 60 °C
ABOVE_FREEZING = 0.35  # K above the equation's lower limit, so that every property can be evaluated
REFERENCE_TEMPERATURE = 300.0  # K, centre of the powers of 1/T and T

#: name, name in CoolProp, activity coefficient of a trace of water, Ostwald coefficient of air at 298 K.
#: The last two are from memory and rough (30 % or more); they only set the size of small disturbances.
LIQUIDS = (
    ("n-heptane", "n-Heptane", 1850.0, 0.25),
    ("n-hexane", "n-Hexane", 2100.0, 0.28),
    ("n-pentane", "n-Pentane", 2200.0, 0.33),
    ("n-octane", "n-Octane", 1700.0, 0.22),
    ("2-methylpentane", "Isohexane", 2100.0, 0.29),
    ("cyclohexane", "CycloHexane", 3300.0, 0.18),
    ("cyclopentane", "CycloPentane", 2500.0, 0.20),
    ("toluene", "Toluene", 370.0, 0.15),
    ("ethanol", "Ethanol", 2.7, 0.14),
    ("methanol", "Methanol", 1.6, 0.17),
    ("acetone", "Acetone", 6.0, 0.20),
    ("diethyl ether", "DiethylEther", 18.0, 0.30),
    ("tetrahydrofuran", "Tetrahydrofuran", 7.0, 0.13),
    ("dimethyl carbonate", "DimethylCarbonate", 14.0, 0.12),
    ("water", "Water", 1.0, 0.018),
)


def samples(fluid: str) -> dict[str, np.ndarray]:
    """Saturation properties of `fluid` on the grid: SI units, arrays of one length."""
    import CoolProp
    from CoolProp.CoolProp import AbstractState, PropsSI

    lowest = max(LOWEST, PropsSI("Tmin", fluid) + ABOVE_FREEZING)
    start = LOWEST + STEP * np.ceil((lowest - LOWEST) / STEP - 1e-9)
    grid = np.arange(start, HIGHEST + 1e-6, STEP)
    state = AbstractState("HEOS", fluid)
    rows = []
    for temperature in grid:
        state.update(CoolProp.QT_INPUTS, 1.0, temperature)
        pressure, vapour_density, vapour_enthalpy = state.p(), state.rhomolar(), state.hmolar()
        state.update(CoolProp.QT_INPUTS, 0.0, temperature)
        rows.append(
            (
                temperature,
                pressure,
                pressure / (vapour_density * R * temperature),
                1.0 / state.rhomolar(),
                state.cpmolar(),
                vapour_enthalpy - state.hmolar(),
            )
        )
    names = ("temperature", "pressure", "z_vapour", "volume_liquid", "heat_capacity_liquid", "enthalpy_vap")
    return dict(zip(names, np.array(rows).T, strict=True))


def cross_virial(fluid: str, temperature: float) -> float:
    """Second virial coefficient between the vapour and nitrogen, standing for air.  [m3/mol]

    Tsonopoulos' correlation with the usual combination of critical constants (geometric mean of Tc, mean
    radius for Vc, means of Zc and of the acentric factor), critical constants from the same library. The
    mixture equations of state of the library are not used: for heptane they give a positive value, against
    all experience with nitrogen and alkanes, and most pairs are missing. The term cancels from the slope.
    """
    from chemicals.virial import BVirial_Tsonopoulos
    from CoolProp.CoolProp import PropsSI

    def critical(name: str) -> tuple[float, float, float, float]:
        temperature_c, pressure_c = PropsSI("Tcrit", name), PropsSI("Pcrit", name)
        volume_c = 1.0 / PropsSI("rhomolar_critical", name)
        return temperature_c, volume_c, pressure_c * volume_c / (R * temperature_c), PropsSI("acentric", name)

    (t1, v1, z1, w1), (t2, v2, z2, w2) = critical("Nitrogen"), critical(fluid)
    volume = ((v1 ** (1 / 3) + v2 ** (1 / 3)) / 2) ** 3
    critical_temperature = (t1 * t2) ** 0.5
    pressure = 0.5 * (z1 + z2) * R * critical_temperature / volume
    return float(BVirial_Tsonopoulos(temperature, critical_temperature, pressure, 0.5 * (w1 + w2)))


def fitted(x: np.ndarray, y: np.ndarray, degree: int) -> tuple[list[float], float]:
    """Coefficients (constant first) of the least-squares polynomial and its largest deviation."""
    scale = float(np.max(np.abs(x)))
    coefficients = np.polynomial.polynomial.polyfit(x / scale, y, degree) / scale ** np.arange(degree + 1)
    return list(map(float, coefficients)), float(np.max(np.abs(np.polynomial.polynomial.polyval(x, coefficients) - y)))


def table(name: str, fluid: str, activity_water: float, ostwald_air: float) -> str:
    """The table of one liquid as TOML text."""
    import chemicals
    import CoolProp
    from CoolProp.CoolProp import AbstractState, PropsSI, get_BibTeXKey

    columns = samples(fluid)
    temperature = columns["temperature"]
    inverse = 1.0 / temperature - 1.0 / REFERENCE_TEMPERATURE
    shifted = temperature - REFERENCE_TEMPERATURE
    virial = cross_virial(fluid, REFERENCE_TEMPERATURE)
    functions: list[tuple[str, list[float], float]] = [
        ("log_pressure", *fitted(inverse, np.log(columns["pressure"]), 6))
    ]
    for key, degree in (("z_vapour", 5), ("volume_liquid", 4), ("heat_capacity_liquid", 3), ("enthalpy_vap", 5)):
        functions.append((key, *fitted(shifted, columns[key], degree)))
    lines = [
        "# Made by sim/tabulate.py; do not edit. SI units: K, Pa, m3/mol, J/(mol K), J/mol.",
        f"name = {quoted(name)}",
        f"cas = {quoted(AbstractState('HEOS', fluid).fluid_param_string('CAS'))}",
        f"source = {quoted('reference equation of state ' + get_BibTeXKey(fluid, 'EOS'))}",
        f"library = {quoted('CoolProp ' + CoolProp.__version__)}",
        f"molar_mass = {PropsSI('molar_mass', fluid)!r}",
        f"cross_virial_air = {virial!r}",
        f"cross_virial_source = {quoted('Tsonopoulos correlation, chemicals ' + chemicals.__version__)}",
        f"activity_water = {activity_water!r}",
        f"ostwald_air = {ostwald_air!r}",
        'trace_source = "activity_water and ostwald_air: from memory, rough"',
        f"reference_temperature = {REFERENCE_TEMPERATURE!r}",
        "",
        "# Constant first. log_pressure: powers of 1/T - 1/T_ref; the others: powers of T - T_ref.",
        "[functions]",
        *(f"{key} = {listed(values)}" for key, values, _ in functions),
        "",
        "# Largest deviation of each function from the samples (log_pressure: relative).",
        "[deviation]",
        *(f"{key} = {deviation:.3g}" for key, _, deviation in functions),
        "",
        "[samples]",
        *(f"{key} = {listed([float(f'{v:.10g}') for v in values])}" for key, values in columns.items()),
    ]
    return "\n".join(lines) + "\n"


def quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def listed(values: list[Any]) -> str:
    return "[" + ", ".join(repr(value) for value in values) + "]"


def file_name(name: str) -> str:
    return name.replace(" ", "-").replace(",", "") + ".toml"


def main(arguments: list[str]) -> None:
    folder = Path(arguments[0]) if arguments else Path(__file__).parent / "data"
    for name, fluid, activity_water, ostwald_air in LIQUIDS:
        (folder / file_name(name)).write_text(table(name, fluid, activity_water, ostwald_air), encoding="utf-8")
        print(f"{name}: written")


if __name__ == "__main__":
    main(sys.argv[1:])
