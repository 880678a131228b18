"""Published values of temperature sensors.

Sources: IEC 60751:2008 table of resistances (as computed from its printed coefficients and printed in makers' tables);
NIST SRD 60 (ITS-90 thermocouple database) values in millivolt, also through the public-domain package
thermocouples_reference where it is installed; Steinhart-Hart by the worked constants of a 10 kilohm thermistor
(25 degC at 10 kilohm, common practice, no source).
"""

import numpy as np
import pytest

from drivers.resistance import (
    divider_resistance,
    platinum_resistance,
    platinum_temperature,
    thermistor_beta,
    thermistor_steinhart_hart,
)
from drivers.thermocouple import LOWEST_INVERTIBLE, thermocouple_emf, thermocouple_temperature
from drivers.thermocouple_tables import PIECES

IEC_60751 = {
    -200: 18.5201, -100: 60.2558, 0: 100.0, 20: 107.7935, 25: 109.7347, 40: 115.5408, 50: 119.3971,
    100: 138.5055, 200: 175.856, 400: 247.092, 600: 313.708, 850: 390.4811,
}  # fmt: skip
#: mV at 20, 25, 40 and 100 degC.
NIST_SRD_60 = {
    "K": (0.7981, 1.0002, 1.6118, 4.0962),
    "T": (0.7896, 0.9920, 1.6118, 4.2785),
    "J": (1.0191, 1.2773, 2.0588, 5.2689),
    "E": (1.1915, 1.4951, 2.4197, 6.3189),
    "N": (0.5252, 0.6586, 1.0645, 2.7741),
    "S": (0.1129, 0.1426, 0.2349, 0.6459),
    "R": (0.1112, 0.1406, 0.2324, 0.6474),
}
#: mV at the given degC, the familiar last digits of the printed tables (from memory).
HIGH_ENDS = {"K": (1000, 41.276), "J": (500, 27.393), "B": (1000, 4.834), "N": (1000, 36.256), "S": (1000, 9.587)}


@pytest.mark.parametrize("celsius", IEC_60751)
def test_platinum_resistance_is_the_printed_one(celsius):
    assert platinum_resistance(celsius) == pytest.approx(IEC_60751[celsius], abs=5e-5 if celsius < 101 else 5e-4)


@pytest.mark.parametrize("nominal", [100.0, 1000.0])
def test_platinum_temperature_undoes_the_resistance(nominal):
    celsius = np.linspace(-200, 850, 2101)
    np.testing.assert_allclose(platinum_temperature(platinum_resistance(celsius, nominal), nominal), celsius, atol=1e-8)


def test_platinum_has_no_value_outside_its_table():
    assert np.isnan(platinum_temperature(np.array([18.0, 391.0, -5.0, np.nan]))).all()


@pytest.mark.parametrize("kind", NIST_SRD_60)
def test_thermocouple_emf_is_the_printed_one(kind):
    np.testing.assert_allclose(
        thermocouple_emf(kind, np.array([20.0, 25.0, 40.0, 100.0])), NIST_SRD_60[kind], atol=5.1e-5
    )


@pytest.mark.parametrize("kind", HIGH_ENDS)
def test_thermocouple_emf_far_up_is_the_printed_one(kind):
    celsius, emf = HIGH_ENDS[kind]
    assert thermocouple_emf(kind, float(celsius)) == pytest.approx(emf, abs=5e-4)


@pytest.mark.parametrize("kind", PIECES)
def test_thermocouple_emf_is_evaluated_as_another_library_does(kind):
    reference = pytest.importorskip("thermocouples_reference", reason="thermocouples_reference is not installed")
    celsius = np.linspace(PIECES[kind][0].low, PIECES[kind][-1].high, 701)
    np.testing.assert_allclose(thermocouple_emf(kind, celsius), reference.thermocouples[kind].func(celsius), atol=1e-9)


@pytest.mark.parametrize("kind", PIECES)
@pytest.mark.parametrize("junction", [0.0, 23.7])
def test_thermocouple_temperature_undoes_the_emf(kind, junction):
    low = max(PIECES[kind][0].low + 20, LOWEST_INVERTIBLE.get(kind, -1e3))
    celsius = np.linspace(low, PIECES[kind][-1].high, 1001)
    emf = thermocouple_emf(kind, celsius) - thermocouple_emf(kind, junction)
    np.testing.assert_allclose(thermocouple_temperature(kind, emf, junction), celsius, atol=1e-6)


def test_the_cold_junction_adds_as_emf_and_not_as_temperature():
    # NIST SRD 60, type K: 4.096 mV at 100 degC, 1.000 mV at 25 degC
    assert thermocouple_temperature("K", np.array([4.0962 - 1.0002]), 25.0)[0] == pytest.approx(100.0, abs=0.003)


@pytest.mark.parametrize("kind", PIECES)
def test_a_thermocouple_has_no_value_outside_its_table(kind):
    assert np.isnan(thermocouple_temperature(kind, np.array([-20.0, 90.0, np.nan]), 0.0)).all()


def test_a_thermistor_has_its_nominal_resistance_at_its_nominal_temperature():
    assert thermistor_beta(np.array([10e3]), 3950.0, 10e3, 298.15)[0] == pytest.approx(298.15, abs=1e-9)


def test_steinhart_hart_and_beta_agree_where_the_cubic_term_is_nought():
    beta, nominal, at = 3950.0, 10e3, 298.15
    resistance = np.array([1e3, 1e4, 1e5])
    np.testing.assert_allclose(
        thermistor_steinhart_hart(resistance, 1 / at - np.log(nominal) / beta, 1 / beta, 0.0),
        thermistor_beta(resistance, beta, nominal, at),
        rtol=1e-12,
    )


def test_steinhart_hart_gives_the_worked_example():
    # a, b, c as printed for a common 10 kilohm thermistor; 25 degC at 10 kilohm (common practice, no source)
    kelvin = thermistor_steinhart_hart(np.array([10e3]), 1.129241e-3, 2.341077e-4, 8.775468e-8)
    assert kelvin[0] == pytest.approx(298.15, abs=0.01)


def test_half_of_the_supply_means_equal_resistors():
    assert divider_resistance(np.array([511.5]), 1023.0, 4700.0, sensor_low=True)[0] == pytest.approx(4700.0)


def test_a_divider_with_the_sensor_on_either_side_is_mirrored():
    counts = np.array([100.0, 400.0])
    np.testing.assert_allclose(
        divider_resistance(counts, 1023.0, 4700.0, sensor_low=True),
        divider_resistance(1023.0 - counts, 1023.0, 4700.0, sensor_low=False),
    )


def test_a_broken_wire_and_a_short_have_no_resistance():
    assert np.isnan(divider_resistance(np.array([0.0, 1023.0, -3.0, 2000.0]), 1023.0, 1e4, sensor_low=True)).all()
