"""What the sensor should read: the line, the common errors, the exposure to a leak."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from analysis.fit_input import SensorPriors
from analysis.liquids import GAS_CONSTANT, load_liquid, unknown_liquid
from analysis.reading_model import LATER_SHARE, MIN_U_DZ, ReadingModel, vapour_prior
from tests.analysis.made_runs import BASELINE, SENSORS, SETUP, made_points

ETHANOL = load_liquid("ethanol")
POINTS = made_points()
MODEL = ReadingModel(POINTS, BASELINE, SETUP, SENSORS, ETHANOL, "sealed")
TM = MODEL.mean_temperature
SLOPE = float(ETHANOL.slope(TM))
THETA = np.array([math.log(float(ETHANOL.saturation_pressure(TM))), SLOPE / (GAS_CONSTANT * TM)])
VAPOUR = vapour_prior(ETHANOL, TM, math.exp(THETA[0]), SLOPE)


def reading(**shifts: float) -> np.ndarray:
    """Readings with some common errors set, in standard uncertainties."""
    z = np.zeros((1, len(MODEL.errors)))
    for k, error in enumerate(MODEL.errors):
        z[0, k] = shifts.pop(error.key, 0.0)
    assert not shifts
    return MODEL.predict(THETA[None, :], z, VAPOUR, SLOPE)[0][0]


def test_without_errors_the_made_readings_are_predicted():
    assert reading() == pytest.approx([p.pressure for p in POINTS], rel=2e-5)


def test_the_line_has_the_curvature_of_the_reference():
    t = np.array([288.15, 318.15])
    assert MODEL.line(t, THETA, VAPOUR) == pytest.approx(ETHANOL.saturation_pressure(t), rel=1e-3)


def test_an_offset_of_the_sensor_cancels_but_for_the_warming_of_the_air():
    off = reading(offset=1.0) - reading()
    t = np.array([p.temperature for p in POINTS])
    expected = SENSORS.u_offset_pressure * (1 - t / BASELINE.temperature)
    # The plunger has taken a share of what was closed in, so 2 % of the offset stays.
    assert off == pytest.approx(expected, abs=0.04 * SENSORS.u_offset_pressure)
    assert off[-1] < off[0]


def test_a_gain_of_the_sensor_scales_the_vapour_alone():
    vapour = (
        np.array([p.pressure for p in POINTS])
        - MODEL.predict(THETA[None, :], np.zeros((1, len(MODEL.errors))), VAPOUR, SLOPE)[1][0]
    )
    # What the room's moisture took from the baseline does not scale: 30 % of 2.6 kPa, times the gain, is 16 Pa.
    assert reading(gain=1.0) - reading() == pytest.approx(SENSORS.u_gain_pressure * vapour, abs=20.0)


def test_a_probe_that_reads_high_belongs_to_colder_liquid():
    assert np.all(reading(offset_t=1.0) < reading())
    assert reading(gain_t=1.0)[0] == pytest.approx(reading()[0], abs=0.5)  # nothing at the baseline's temperature
    assert reading(gain_t=1.0)[-1] < reading()[-1] - 10.0


def test_drift_runs_from_nothing_to_its_whole():
    drift = reading(drift=1.0) - reading()
    assert drift[0] == pytest.approx(0.0, abs=1e-9)
    assert drift[-1] == pytest.approx(SENSORS.u_drift_pressure, rel=1e-9)


def test_errors_without_uncertainty_are_left_out():
    bare = ReadingModel(POINTS, None, SETUP, SensorPriors.none(), ETHANOL, "none")
    assert {e.key for e in bare.errors} == {"dcp", "dz"}


def test_the_exposure_to_a_leak_is_the_over_pressure_integrated():
    drive = np.array([(p.pressure - BASELINE.pressure) / p.pressure for p in POINTS])
    steps = 360.0 * (LATER_SHARE * drive + (1 - LATER_SHARE) * np.concatenate([drive[:1], drive[:-1]]))
    assert MODEL.exposure == pytest.approx(np.cumsum(steps))
    shuffled = ReadingModel(POINTS[::-1], BASELINE, SETUP, SENSORS, ETHANOL, "sealed")
    assert shuffled.exposure == pytest.approx(MODEL.exposure[::-1])


def test_noise_of_the_probe_is_carried_along_the_slope_of_the_line():
    quiet = ReadingModel(
        [replace(p, u_pressure=0.0) for p in POINTS], BASELINE, SETUP, SENSORS, ETHANOL, "sealed"
    )  # fmt: skip
    vapour = ETHANOL.saturation_pressure(quiet.temperature)
    foreign = quiet.pressure - vapour
    found = np.sqrt(quiet.noise(THETA, foreign, vapour))
    expected = 0.03 * (ETHANOL.beta(quiet.temperature) + foreign / quiet.temperature)
    assert found == pytest.approx(expected, rel=0.01)


def test_positive_correlation_of_a_points_errors_lowers_its_noise():
    both = [ReadingModel([replace(p, correlation=r) for p in POINTS], BASELINE, SETUP, SENSORS, ETHANOL, "sealed")
            for r in (-0.8, 0.8)]  # fmt: skip
    vapour = ETHANOL.saturation_pressure(MODEL.temperature)
    minus, plus = (m.noise(THETA, MODEL.pressure - vapour, vapour) for m in both)
    assert np.all(plus < minus)


def test_dz_of_an_unknown_liquid_is_a_guess_that_spans_the_known_ones():
    for name in ("ethanol", "n-heptane", "acetone", "water", "n-hexane", "cyclohexane", "toluene"):
        liquid = load_liquid(name)
        p = float(liquid.saturation_pressure(303.15))
        guess = vapour_prior(unknown_liquid(), 303.15, p, float(liquid.slope(303.15)))
        assert abs(guess.dz - float(liquid.dz(303.15))) < 2.5 * guess.u_dz
        assert guess.u_dz >= MIN_U_DZ
        assert not guess.known


def test_air_yet_to_dissolve_adds_to_the_first_points_and_is_gone_later():
    """Acetone leaves half its bottle's air out: at first the cell holds more gas than once both are in balance."""
    acetone = load_liquid("acetone")
    points = [replace(p, time=t) for p, t in zip(made_points("acetone"), (60.0, 360.0, 1e4, 2e4, 3e4), strict=True)]

    def foreign(baseline):
        model = ReadingModel(points, baseline, SETUP, SENSORS, acetone, "sealed")
        slope = float(acetone.slope(model.mean_temperature))
        theta = np.array([math.log(float(acetone.saturation_pressure(model.mean_temperature))), 0.0])
        theta[1] = slope / (GAS_CONSTANT * model.mean_temperature)
        vapour = vapour_prior(acetone, model.mean_temperature, math.exp(theta[0]), slope)
        return model, model.predict(theta[None, :], np.zeros((1, len(model.errors))), vapour, slope)[1][0]

    (known, timed), (unknown, balanced) = foreign(BASELINE), foreign(replace(BASELINE, time=math.nan))
    added = timed - balanced
    # 3 mL take up 0.2 volumes of air; 22 kPa less of it were over the liquid in its bottle at 22 degC.
    room = SETUP.room_temperature
    vapour = float(acetone.saturation_pressure(room))
    whole = acetone.air_solubility.value * 3e-6 / 122e-6 * vapour
    assert added[0] == pytest.approx(whole * math.exp(-60 / 300), rel=0.15)
    assert added[1] == pytest.approx(whole * math.exp(-360 / 300), rel=0.15)
    assert np.all(np.abs(added[2:]) < 1e-6)
    assert "solution_time" in {e.key for e in known.errors}
    assert "solution_time" not in {e.key for e in unknown.errors}
