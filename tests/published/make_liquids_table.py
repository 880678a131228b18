"""Makes analysis/liquids.toml from general property libraries; run it again when one of them changes.

    python -m tests.published.make_liquids_table > analysis/liquids.toml

What comes from where is written into the table itself, entry by entry.  Nothing here runs when satline runs.
"""

from __future__ import annotations

import json
import sys
from importlib.metadata import version

import chemicals
import CoolProp.CoolProp as CP
import numpy as np
from chemicals.phase_change import Hvap_data_CRC
from chemicals.virial import BVirial_Tsonopoulos_extended
from scipy.constants import R
from thermo import UNIFAC, HeatCapacityLiquid, VaporPressure, VolumeLiquid
from thermo.unifac import DOUFIP2016, DOUFSG, load_group_assignments_DDBST

ROOM = 298.15  # [K]

#: our name, CAS number, name in CoolProp (or None), other names, Ostwald coefficient of air (see OSTWALD_SOURCE)
LIQUIDS: list[tuple[str, str, str | None, list[str], float]] = [
    ("water", "7732-18-5", "Water", [], 0.019),
    ("methanol", "67-56-1", "Methanol", ["methyl alcohol"], 0.18),
    ("ethanol", "64-17-5", "Ethanol", ["ethyl alcohol"], 0.17),
    ("propan-1-ol", "71-23-8", None, ["1-propanol", "n-propanol"], 0.15),
    ("propan-2-ol", "67-63-0", None, ["2-propanol", "isopropanol", "isopropyl alcohol"], 0.16),
    ("butan-1-ol", "71-36-3", None, ["1-butanol", "n-butanol"], 0.14),
    ("butan-2-ol", "78-92-2", None, ["2-butanol", "sec-butanol"], 0.14),
    ("2-methylpropan-2-ol", "75-65-0", None, ["tert-butanol", "tert-butyl alcohol"], 0.15),
    ("acetone", "67-64-1", "Acetone", ["propan-2-one"], 0.20),
    ("butanone", "78-93-3", None, ["2-butanone", "methyl ethyl ketone"], 0.19),
    ("methyl acetate", "79-20-9", None, ["methyl ethanoate"], 0.20),
    ("ethyl acetate", "141-78-6", None, ["ethyl ethanoate"], 0.19),
    ("propyl acetate", "109-60-4", None, ["propyl ethanoate"], 0.18),
    ("dimethyl carbonate", "616-38-6", "DimethylCarbonate", [], 0.15),
    ("n-pentane", "109-66-0", "n-Pentane", ["pentane"], 0.30),
    ("2-methylbutane", "78-78-4", "Isopentane", ["isopentane"], 0.32),
    ("n-hexane", "110-54-3", "n-Hexane", ["hexane"], 0.28),
    ("2-methylpentane", "107-83-5", "Isohexane", ["isohexane"], 0.29),
    ("n-heptane", "142-82-5", "n-Heptane", ["heptane"], 0.25),
    ("n-octane", "111-65-9", "n-Octane", ["octane"], 0.22),
    ("2,2,4-trimethylpentane", "540-84-1", None, ["isooctane"], 0.26),
    ("n-nonane", "111-84-2", "n-Nonane", ["nonane"], 0.20),
    ("cyclopentane", "287-92-3", "Cyclopentane", [], 0.20),
    ("cyclohexane", "110-82-7", "CycloHexane", [], 0.195),
    ("methylcyclohexane", "108-87-2", None, [], 0.20),
    ("benzene", "71-43-2", "Benzene", [], 0.14),
    ("toluene", "108-88-3", "Toluene", ["methylbenzene"], 0.16),
    ("ethylbenzene", "100-41-4", "EthylBenzene", [], 0.15),
    ("p-xylene", "106-42-3", "p-Xylene", ["1,4-dimethylbenzene"], 0.16),
    ("diethyl ether", "60-29-7", "DiethylEther", ["ether", "ethoxyethane"], 0.33),
    ("tert-butyl methyl ether", "1634-04-4", None, ["MTBE"], 0.27),
    ("tetrahydrofuran", "109-99-9", "Tetrahydrofuran", ["THF", "oxolane"], 0.17),
    ("1,4-dioxane", "123-91-1", None, ["dioxane"], 0.11),
    ("dichloromethane", "75-09-2", None, ["methylene chloride"], 0.14),
    ("chloroform", "67-66-3", None, ["trichloromethane"], 0.15),
    ("1,2-dichloroethane", "107-06-2", "Dichloroethane", [], 0.12),
    ("trichloroethylene", "79-01-6", None, ["trichloroethene"], 0.15),
    ("acetonitrile", "75-05-8", None, ["ethanenitrile"], 0.13),
]

OSTWALD_SOURCE = (
    "mole-fraction solubilities of N2 and O2 near 298 K, from memory, neighbours of a series interpolated; "
    "order of magnitude"
)
#: Where the group method fails: 1 / (mole fraction of water that saturates the liquid near 298 K), from memory.
WATER_BY_SOLUBILITY = {
    2000.0: (
        "n-pentane",
        "2-methylbutane",
        "n-hexane",
        "2-methylpentane",
        "n-heptane",
        "n-octane",
        "2,2,4-trimethylpentane",
        "n-nonane",
        "cyclopentane",
        "cyclohexane",
        "methylcyclohexane",
    ),
    380.0: ("benzene", "toluene", "ethylbenzene", "p-xylene"),
    430.0: ("trichloroethylene",),
}
ALCOHOLS = ("propan-1-ol", "propan-2-ol", "butan-1-ol", "butan-2-ol", "2-methylpropan-2-ol")
LOW_CARBON_ALCOHOLS = ("ethanol", "propan-1-ol", "propan-2-ol")
AROUND = (288.15, ROOM, 308.15)  # [K] for what changes with temperature near 298.15 K
COLDEST = 263.15  # [K] below this no water bath goes


def libraries() -> dict[str, str]:
    return {name: version(name) for name in ("CoolProp", "chemicals", "thermo")}


def saturation_form(temperature: np.ndarray, pressure: np.ndarray) -> tuple[list[float], float]:
    """Least-squares A, B, C, D of ln p = A + B/T + C ln T + D T, and the largest relative deviation."""
    design = np.column_stack([np.ones_like(temperature), 1 / temperature, np.log(temperature), temperature])
    scale = np.abs(design).max(axis=0)
    coefficients = np.linalg.lstsq(design / scale, np.log(pressure), rcond=None)[0] / scale
    return [float(c) for c in coefficients], float(np.abs(design @ coefficients - np.log(pressure)).max())


def nonideality_form(temperature: np.ndarray, dz: np.ndarray) -> list[float]:
    """Least-squares a, b, c of ln(1 - dZ) = a + b/T + c ln T."""
    design = np.column_stack([np.ones_like(temperature), 1 / temperature, np.log(temperature)])
    scale = np.abs(design).max(axis=0)
    return [float(c) for c in np.linalg.lstsq(design / scale, np.log1p(-dz), rcond=None)[0] / scale]


class Entry:
    """Everything of one liquid, gathered from the libraries."""

    def __init__(self, name: str, cas: str, fluid: str | None) -> None:
        self.name, self.cas, self.fluid = name, cas, fluid
        found = chemicals.search_chemical(cas)
        self.formula, self.molar_mass = found.formula, found.MW * 1e-3
        self.critical = (chemicals.Tc(cas), chemicals.Pc(cas), chemicals.omega(cas))
        method = "CRC_INORG" if name == "water" else "CRC_ORG"
        self.boiling_point = chemicals.Tb(cas, method=method) if method in chemicals.Tb_methods(cas) else None
        if self.fluid:
            self.from_equation_of_state(self.fluid)
        else:
            self.from_correlations()

    def grid(self, low: float) -> np.ndarray:
        top = (self.boiling_point or chemicals.Tb(self.cas)) + 5.0
        return np.linspace(max(COLDEST, low), top, 60)

    def from_equation_of_state(self, fluid: str) -> None:
        low = max(CP.PropsSI("Tmin", fluid), CP.PropsSI("Ttriple", fluid))
        t = self.grid(np.ceil(low * 100) / 100)
        p = np.array([CP.PropsSI("P", "T", x, "Q", 0, fluid) for x in t])
        zv, zl = (np.array([CP.PropsSI("Z", "T", x, "Q", q, fluid) for x in t]) for q in (1, 0))
        self.range, self.dz = (float(t[0]), float(t[-1])), nonideality_form(t, zv - zl)
        self.saturation, self.deviation = saturation_form(t, p)
        self.u_pressure = 0.002
        self.saturation_source = f"equation of state of {fluid} in CoolProp {version('CoolProp')}"
        self.u_dz = 0.005 if self.name in LOW_CARBON_ALCOHOLS else 0.003
        self.dz_source = self.saturation_source

        def enthalpy(x: float) -> float:
            return CP.PropsSI("HMOLAR", "T", x, "Q", 1, fluid) - CP.PropsSI("HMOLAR", "T", x, "Q", 0, fluid)

        self.dcp, self.u_dcp = (enthalpy(303.15) - enthalpy(293.15)) / 10, 15.0
        self.dcp_source = "d(enthalpy of vaporisation)/dT at 298 K of the " + self.saturation_source
        lower, here, upper = (enthalpy(x) for x in AROUND)
        self.dcp_slope = (upper - 2 * here + lower) / (AROUND[2] - ROOM) ** 2
        self.expands([CP.PropsSI("D", "T", x, "Q", 0, fluid) for x in AROUND])
        self.density_source = self.saturation_source
        self.heat_capacity = CP.PropsSI("CPMOLAR", "T", ROOM, "Q", 0, fluid)
        self.heat_capacity_source = self.saturation_source
        self.check = enthalpy(ROOM)

    def from_correlations(self) -> None:
        tc, pc, omega = self.critical
        pressure = VaporPressure(CASRN=self.cas, Tb=chemicals.Tb(self.cas), Tc=tc, Pc=pc, omega=omega)
        candidates = [m for m in ("ANTOINE_POLING", "WAGNER_MCGARRY", "DIPPR_PERRY_8E") if m in pressure.all_methods]

        def limits(method: str) -> tuple[float, float]:
            return pressure.T_limits[method]

        top = chemicals.Tb(self.cas)
        chosen = next(m for m in candidates if limits(m)[0] <= 293.15 and limits(m)[1] >= top)
        t = self.grid(np.ceil(limits(chosen)[0] * 100) / 100)
        t = t[t <= limits(chosen)[1]]
        p = np.array([pressure.calculate(x, chosen) for x in t])
        self.range = (float(t[0]), float(t[-1]))
        self.saturation, self.deviation = saturation_form(t, p)
        middle = np.linspace(293.15, min(313.15, top), 5)
        spread = [
            abs(pressure.calculate(x, m) / pressure.calculate(x, chosen) - 1)
            for x in middle
            for m in candidates
            if m != chosen and limits(m)[0] <= x <= limits(m)[1]
        ]
        self.u_pressure = round(max([0.003, *spread]), 4)
        self.saturation_source = (
            f"{chosen} in thermo {version('thermo')}; "
            "u is the largest difference from other correlations there, at least 0.3 %"
        )
        species = "normal alcohol" if self.name in ALCOHOLS else ""
        second_virial = np.array([BVirial_Tsonopoulos_extended(x, tc, pc, omega, species_type=species) for x in t])
        volume = VolumeLiquid(
            CASRN=self.cas,
            MW=self.molar_mass * 1e3,
            Tb=top,
            Tc=tc,
            Pc=pc,
            omega=omega,
            Vc=chemicals.Vc(self.cas),
            Zc=chemicals.Zc(self.cas),
        )
        liquid_volume = volume.T_dependent_property(ROOM)
        self.dz = nonideality_form(t, 1 + (second_virial - liquid_volume) * p / (R * t))
        self.u_dz = 0.005
        self.dz_source = f"second virial coefficient by Tsonopoulos in chemicals {version('chemicals')}"
        self.expands([self.molar_mass / volume.T_dependent_property(x) for x in AROUND])
        self.density_source = f"{volume.method} in thermo {version('thermo')}"
        capacity = HeatCapacityLiquid(CASRN=self.cas)
        capacity.method = "CRCSTD" if "CRCSTD" in capacity.all_methods else capacity.method
        self.heat_capacity = capacity.T_dependent_property(ROOM)
        self.heat_capacity_source = f"{capacity.method} in thermo {version('thermo')}"
        # Chickos and Acree's estimate, constants from memory.
        self.dcp, self.u_dcp, self.dcp_slope = -(10.58 + 0.26 * self.heat_capacity), 20.0, 0.0
        self.dcp_source = (
            "estimate -(10.58 + 0.26 Cp of the liquid) J/mol/K of Chickos and Acree, constants from memory"
        )

    def expands(self, densities: list[float]) -> None:
        """Density at 298.15 K, and a, b of V = V(298.15 K) (1 + a x + b x^2/2) through those at `AROUND`."""
        below, self.density, above = densities
        cold, warm, step = self.density / below, self.density / above, AROUND[2] - ROOM
        self.expansivity, self.expansivity_slope = (warm - cold) / (2 * step), (warm + cold - 2) / step**2

    def by_slope(self) -> float:
        """Enthalpy of vaporisation at 298.15 K from the short forms: slope of ln p times R times dZ.  [J/mol]"""
        _, b, c, d = self.saturation
        slope = R * (-b + c * ROOM + d * ROOM**2)
        a = self.dz
        return float(slope * (1 - np.exp(a[0] + a[1] / ROOM + a[2] * np.log(ROOM))))

    def water_activity(self) -> float:
        """Activity coefficient of a trace of water in the liquid, modified UNIFAC (Dortmund)."""
        load_group_assignments_DDBST()
        from thermo.unifac import DDBST_MODIFIED_UNIFAC_assignments as groups

        keys = [chemicals.search_chemical(c).InChI_key for c in (self.cas, "7732-18-5")]
        model = UNIFAC.from_subgroups(
            T=ROOM,
            xs=[1 - 1e-9, 1e-9],
            chemgroups=[groups[k] for k in keys],
            subgroups=DOUFSG,
            interaction_data=DOUFIP2016,
            version=1,
        )
        return float(model.gammas()[1])


def text(value: object, digits: int = 6) -> str:
    """One TOML value; numbers with enough digits for the use made of them."""
    if isinstance(value, float):
        shown = f"{value:.{digits}g}"
        return shown if any(c in shown for c in ".e") else f"{value:.1f}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(text(v, 12) for v in value) + "]"
    return json.dumps(value, ensure_ascii=False)


def inline(**items: object) -> str:
    return "{ " + ", ".join(f"{k} = {text(v)}" for k, v in items.items()) + " }"


def write_entry(entry: Entry, aliases: list[str], ostwald: float) -> list[str]:
    lines = ["[[liquid]]", f"name = {text(entry.name)}", f"aliases = {text(aliases)}"]
    lines += [f"formula = {text(entry.formula)}", f"cas = {text(entry.cas)}"]
    lines.append(f"molar_mass = {entry.molar_mass:.8g}")
    handbook = f"CRC Handbook tables as shipped in chemicals {version('chemicals')}"
    if entry.cas in Hvap_data_CRC.index:
        value, source, u = float(Hvap_data_CRC.loc[entry.cas, "Hvap298"]), "calorimetric, " + handbook, 150.0
        route = entry.by_slope()
        if abs(route - value) > 2 * u:
            u = round(abs(route - value), -1)
            source += f"; u is the distance to slope times dZ of the saturation data, {route:.0f} J/mol"
    else:
        value, source, u = float(entry.check), entry.saturation_source, 300.0
    lines.append("enthalpy_vap = " + inline(value=value, u=u, temperature=ROOM, source=source))
    lines.append(
        "saturation = "
        + inline(
            coefficients=entry.saturation,
            range=entry.range,
            u_relative=entry.u_pressure,
            form_deviation=round(entry.deviation, 7),
            source=entry.saturation_source,
        )
    )
    lines.append("dz = " + inline(coefficients=entry.dz, range=entry.range, u=entry.u_dz, source=entry.dz_source))
    known = {"slope": round(entry.dcp_slope, 4)} if entry.dcp_slope else {}
    lines.append(
        "heat_capacity_difference = "
        + inline(value=round(entry.dcp, 2), u=entry.u_dcp, temperature=ROOM, **known, source=entry.dcp_source)
    )
    lines.append(
        "density = "
        + inline(
            value=round(entry.density, 2),
            expansivity=entry.expansivity,
            expansivity_slope=entry.expansivity_slope,
            u_relative=0.01,
            temperature=ROOM,
            source=entry.density_source,
        )
    )
    lines.append(
        "heat_capacity = "
        + inline(
            value=round(entry.heat_capacity, 2), u_relative=0.02, temperature=ROOM, source=entry.heat_capacity_source
        )
    )
    boiling = entry.boiling_point
    if boiling is None:
        boiling, where = chemicals.Tb(entry.cas, method="WEBBOOK"), f"WEBBOOK in chemicals {version('chemicals')}"
    else:
        where = handbook
    lines.append("boiling_point = " + inline(value=float(boiling), u=0.3, source=where))
    flash = [m for m in chemicals.T_flash_methods(entry.cas) if m != "WIKIDATA"]
    if flash:
        value = chemicals.T_flash(entry.cas, method=flash[0])
        where = f"{flash[0]} in chemicals {version('chemicals')}"
        lines.append("flash_point = " + inline(value=round(float(value), 2), u=3.0, source=where))
    lines.append("air_solubility = " + inline(value=ostwald, u_relative=0.3, source=OSTWALD_SOURCE))
    by_solubility = [gamma for gamma, names in WATER_BY_SOLUBILITY.items() if entry.name in names]
    if by_solubility:
        where = "reciprocal of the mole fraction of water that saturates the liquid, from memory; order of magnitude"
        lines.append("water_activity = " + inline(value=by_solubility[0], u_relative=0.5, source=where))
    elif entry.name != "water":
        where = f"modified UNIFAC (Dortmund) at infinite dilution, 298 K, thermo {version('thermo')}"
        lines.append(
            "water_activity = " + inline(value=float(f"{entry.water_activity():.3g}"), u_relative=0.3, source=where)
        )
    return lines


def main() -> None:
    out = [
        "# Made by tests/published/make_liquids_table.py; change that script, not this file.  SI units throughout.",
        "# saturation: ln(p/Pa) = A + B/T + C ln T + D T;  dz: ln(1 - dZ) = a + b/T + c ln T;  T in K.",
        "# density: V = V(298.15 K) (1 + a x + b x^2/2), a expansivity, b its slope, x = T - 298.15 K.",
        "# form_deviation: how far the short form leaves its source, relative.  Ranges in K; never used outside.",
        "format = 1",
        "libraries = " + inline(**libraries()),
    ]
    for name, cas, fluid, aliases, ostwald in LIQUIDS:
        out += ["", *write_entry(Entry(name, cas, fluid), aliases, ostwald)]
    sys.stdout.write("\n".join(out) + "\n")


if __name__ == "__main__":
    main()
