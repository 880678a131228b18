"""Short forms of the table of liquids against IAPWS-IF97 and reference equations of state (CoolProp, iapws).

IF97 check values at 300, 500 and 600 K: IAPWS R7-97(2012), Table 35 (digits as reproduced by `iapws`).
"""

from __future__ import annotations

import CoolProp.CoolProp as CP
import numpy as np
import pytest
from iapws.iapws97 import _PSat_T

from analysis.enthalpy import fit_enthalpy
from analysis.fit_input import FitPoint, SensorPriors
from analysis.liquids import list_liquids, load_liquid
from analysis.trapped_air import second_virial_air

FLUIDS = {
    "ethanol": "Ethanol", "methanol": "Methanol", "acetone": "Acetone", "n-hexane": "n-Hexane", "water": "Water",
    "cyclohexane": "CycloHexane", "n-heptane": "n-Heptane", "n-pentane": "n-Pentane", "toluene": "Toluene",
    "benzene": "Benzene", "n-octane": "n-Octane", "diethyl ether": "DiethylEther",
}  # fmt: skip


@pytest.mark.parametrize(("temperature", "printed"), [(300, 0.353658941e-2), (500, 2.63889776), (600, 12.3443146)])
def test_the_library_used_for_comparison_is_if97(temperature, printed):
    assert _PSat_T(temperature) == pytest.approx(printed, rel=1e-8)  # MPa


@pytest.mark.parametrize("temperature", [280.0, 300.0, 320.0, 340.0, 360.0])
def test_water_agrees_with_if97(temperature):
    ours = float(load_liquid("water").saturation_pressure(temperature))
    assert ours == pytest.approx(1e6 * _PSat_T(temperature), rel=2e-4)


@pytest.mark.parametrize("name", FLUIDS)
def test_short_forms_follow_their_reference_equation(name):
    liquid, fluid = load_liquid(name), FLUIDS[name]
    low, high = liquid.saturation.range
    for t in np.linspace(max(low, 283.15), min(high, 323.15), 5):
        assert float(liquid.saturation_pressure(t)) == pytest.approx(CP.PropsSI("P", "T", t, "Q", 0, fluid), rel=5e-4)
        z = CP.PropsSI("Z", "T", t, "Q", 1, fluid) - CP.PropsSI("Z", "T", t, "Q", 0, fluid)
        assert float(liquid.dz(t)) == pytest.approx(z, abs=1.5e-4)
        h = CP.PropsSI("HMOLAR", "T", t, "Q", 1, fluid) - CP.PropsSI("HMOLAR", "T", t, "Q", 0, fluid)
        assert float(liquid.enthalpy_vap_reference(t)) == pytest.approx(h, rel=2e-3)


@pytest.mark.parametrize("name", FLUIDS)
def test_volume_and_enthalpy_near_room_temperature_change_as_the_reference_equation_says(name):
    liquid, fluid = load_liquid(name), FLUIDS[name]
    capacity = liquid.heat_capacity_difference

    def enthalpy(t: float) -> float:
        return CP.PropsSI("HMOLAR", "T", t, "Q", 1, fluid) - CP.PropsSI("HMOLAR", "T", t, "Q", 0, fluid)

    for t in (283.15, 290.15, 305.15, 313.15):
        volume = 1 / CP.PropsSI("DMOLAR", "T", t, "Q", 0, fluid)
        assert float(liquid.molar_volume(t)) == pytest.approx(volume, rel=2e-4)
        carried = 0.5 * (capacity.value + capacity.at(t)) * (t - 298.15)
        assert carried == pytest.approx(enthalpy(t) - enthalpy(298.15), abs=2.0 + 0.2 * abs(t - 298.15))


@pytest.mark.parametrize("name", FLUIDS)
def test_the_fit_recovers_the_enthalpy_of_the_reference_equation(name):
    fluid = FLUIDS[name]
    temperatures = np.linspace(285.15, min(315.15, load_liquid(name).saturation.range[1] - 1), 6)
    points = [FitPoint(t, p := CP.PropsSI("P", "T", t, "Q", 0, fluid), 0.0, 1e-4 * p) for t in temperatures]
    fit = fit_enthalpy(points, air="none", sensors=SensorPriors.none(), liquid=load_liquid(name))
    room = 298.15
    truth = CP.PropsSI("HMOLAR", "T", room, "Q", 1, fluid) - CP.PropsSI("HMOLAR", "T", room, "Q", 0, fluid)
    assert fit.at_298_15.value == pytest.approx(truth, rel=5e-4)


@pytest.mark.parametrize("temperature", [275.0, 295.0, 315.0, 335.0])
def test_virial_coefficient_of_air_follows_its_equation_of_state(temperature):
    air = CP.AbstractState("HEOS", "Air")
    air.update(CP.DmolarT_INPUTS, 1e-3, temperature)
    assert float(second_virial_air(temperature)) == pytest.approx(air.Bvirial(), abs=0.2e-6)


def test_every_shipped_liquid_names_its_sources_and_hangs_together():
    liquids = list_liquids()
    assert len(liquids) >= 25
    for liquid in liquids:
        for part in (liquid.enthalpy_vap, liquid.density, liquid.heat_capacity, liquid.boiling_point,
                     liquid.heat_capacity_difference, liquid.air_solubility):  # fmt: skip
            assert part is not None
            assert part.source
            assert part.u > 0
        assert liquid.saturation.source
        assert liquid.dz_form.source
        # Slope times dZ agrees with calorimetry within what the entry states (three of its uncertainties).
        ours, reference = float(liquid.enthalpy_vap_reference(298.15)), liquid.enthalpy_vap
        u = np.hypot(reference.u, ours * liquid.dz_form.u)
        assert abs(ours - reference.value) < 3 * u, liquid.name
        # The saturation curve reaches one atmosphere at the published boiling point, within 1 K.
        slope = float(liquid.beta(liquid.boiling_point.value))
        off = (float(liquid.saturation_pressure(liquid.boiling_point.value)) - 101_325) / slope
        assert abs(off) < 1.0, liquid.name
