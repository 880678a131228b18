"""Calibrations: fitted, put into a profile, applied."""

import numpy as np
import pytest

from drivers.calibration import CalibrationError, fit_calibration, with_calibration
from drivers.conversion import calibration_uncertainty
from drivers.decoding import make_decoder
from drivers.profile import SHIPPED, DeviceProfile
from drivers.profile_check import check_samples
from drivers.tomlfile import load_model

TEXT = (SHIPPED / "delimited-text.toml").read_text(encoding="utf-8")


def test_a_fitted_calibration_turns_shown_into_reference_values():
    fit = fit_calibration([0.5, 50.4], [0.0, 50.0], u_reference=0.05, date="2024-03-01", name="ice and a reference")
    profile = load_model(with_calibration(TEXT, "temperature", fit.calibration), DeviceProfile)
    decoder = make_decoder(profile)
    values = [decoder.feed(line, 1.0)[0].value[0] for line in (b"0.5,100\n", b"50.4,100\n", b"25.45,100\n")]
    assert values == pytest.approx([273.15, 323.15, 298.15])


def test_a_profile_keeps_everything_else_and_a_second_calibration_replaces_the_first():
    first = fit_calibration([0.5, 50.4], [0.0, 50.0], u_reference=0.05).calibration
    second = fit_calibration([99.0, 101.0, 103.0], [99.5, 101.5, 103.4], u_reference=0.1).calibration
    once = with_calibration(TEXT, "temperature", first)
    twice = with_calibration(with_calibration(once, "temperature", second), "temperature", first)
    assert twice == once
    assert [line for line in TEXT.splitlines() if line.strip()] == [
        line
        for line in once.splitlines()
        if line.strip() and not line.startswith(("[channel.calibration]", "offset", "gain", "centre", "u_", "points"))
    ]
    both = load_model(with_calibration(once, "pressure", second), DeviceProfile)
    assert [channel.calibration.gain for channel in both.channel] == pytest.approx([first.gain, second.gain])


def test_the_quoted_uncertainty_is_the_scatter_of_repeated_calibrations():
    rng = np.random.default_rng(9)
    true = np.linspace(0, 50, 6)
    corrections, quoted = [], []
    for _ in range(2000):
        fit = fit_calibration(true + rng.normal(0, 0.03, 6), true)
        value, u = fit.correction(60.0)
        corrections.append(value)
        quoted.append(u**2)
    # the standard deviation of 2000 draws is itself known to 1.6 %, the mean of the quoted variances to 1.6 %
    assert np.std(corrections, ddof=1) == pytest.approx(np.sqrt(np.mean(quoted)), rel=4 * 0.023)


def test_the_uncertainty_grows_away_from_the_calibrated_range():
    calibration = fit_calibration([0.0, 25.0, 50.0], [0.1, 25.0, 49.9]).calibration
    near, far = (calibration_uncertainty(calibration, value, "degF") for value in (25.0, 100.0))
    assert far > near > 0


@pytest.mark.parametrize(
    ("shown", "reference", "sentence"),
    [
        ([1.0], [1.0], "found 1 different value; expected two or more, well apart"),
        ([1.0, 1.0], [1.0, 1.1], "found 1 different value"),
        ([1.0, 2.0], [1.0], "found 2 shown and 1 reference values"),
        ([1.0, 2.0], [1.0, 2.0], "two points fit any line"),
    ],
)
def test_pairs_that_determine_nothing_are_refused(shown, reference, sentence):
    with pytest.raises(CalibrationError, match=sentence):
        fit_calibration(shown, reference)


def test_a_channel_that_is_not_there_is_told():
    with pytest.raises(CalibrationError, match="the profile has no channel 'barometer'"):
        with_calibration(TEXT, "barometer", fit_calibration([1, 2, 3], [1, 2, 3.1]).calibration)


def test_the_samples_of_a_calibrated_profile_still_mean_what_the_manual_says():
    fit = fit_calibration([20.0, 30.0, 40.0], [20.5, 30.6, 40.7])
    profile = load_model(with_calibration(TEXT, "temperature", fit.calibration), DeviceProfile)
    assert profile.sample
    assert check_samples(profile) == []
