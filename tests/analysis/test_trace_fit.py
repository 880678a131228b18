"""The fit of a whole trace: made of its own model it comes back; on a simulated bench it finds lag and leak."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from analysis.findings_trace import PlateauWindow, drift_of, find_in_traces
from analysis.fit_input import SensorPriors
from analysis.liquids import Sourced, load_liquid
from analysis.refusal import FitRefused
from analysis.trace_fit import _Trace, fit_trace
from analysis.trace_lags import BLOCK, block_means, follow, on_a_drift, once_each
from analysis.trapped_air import CellSetup, SealedBaseline
from sim.liquids import load_liquid as simulated_liquid
from sim.study import random_runs

#: The air that dissolves is known as roughly as the study draws it.
OSTWALD = simulated_liquid("n-heptane").ostwald_air
HEPTANE = replace(load_liquid("n-heptane"), air_solubility=Sourced(OSTWALD, 0.3 * OSTWALD, "what the study draws"))


def bench(kind: str, seed: int = 4, **kwargs):
    runs = random_runs(1, np.random.default_rng(seed), kind=kind, hold=480, **kwargs)
    sealed = runs.time < runs.charge_at - 2
    t, x, p = runs.time, runs.temperature[0], runs.pressure[0]
    baseline = SealedBaseline(float(x[sealed].mean()), float(p[sealed].mean()), 0.003, 3.0, time=30.0)
    setup = CellSetup(
        cell_volume=float(runs.bench.volume[0]), charge_volume=float(runs.liquid_volume[0]), tubing_volume=0.3e-6,
        room_humidity=0.0, u_room_humidity=0.01, room_temperature=float(runs.bench.room[0]),
    )  # fmt: skip
    return runs, t, x, p, baseline, setup


def fitted(kind: str, seed: int = 4, **kwargs):
    runs, t, x, p, baseline, setup = bench(kind, seed, **kwargs)
    return runs, fit_trace(t, x, p, baseline=baseline, setup=setup, liquid=HEPTANE, charged=runs.charge_at)


def test_a_lag_follows_a_ramp_by_the_ramp_times_the_lag():
    ramp = 0.1 * BLOCK * np.arange(400.0)
    lag = np.array([[50.0]])
    (out,) = follow(ramp, lag, lag)
    assert ramp[-1] - out[-1] == pytest.approx(0.1 * 50.0, rel=1e-6)
    (steady,) = on_a_drift(ramp, lag, 2 * lag)
    assert steady[5:-5] == pytest.approx(ramp[5:-5] - 0.1 * 50.0)
    (sinking,) = on_a_drift(-ramp, lag, 2 * lag)
    assert sinking[5:-5] == pytest.approx(-ramp[5:-5] + 0.1 * 100.0)


def test_a_step_is_followed_exponentially_with_the_lag_of_its_direction():
    step = np.where(np.arange(60) >= 1, 1.0, 0.0)
    up, down = np.array([[40.0]]), np.array([[25.0]])
    for series, lag in ((step, 40.0), (-step, 25.0)):
        (out,) = follow(series, up, down)
        late = np.abs(series - out)[5:25]
        assert np.diff(np.log(late)) == pytest.approx(-BLOCK / lag, rel=1e-6)


def test_many_lags_at_once_are_the_same_as_one_by_one():
    series = np.random.default_rng(1).standard_normal(50).cumsum()
    up, down = np.array([[20.0], [60.0]]), np.array([[15.0], [30.0]])
    both = follow(series, up, down)
    for k, row in enumerate(both):
        assert row == pytest.approx(follow(series, up[k : k + 1], down[k : k + 1])[0])


def test_lags_that_change_along_the_series_are_the_recurrence_step_by_step():
    rng = np.random.default_rng(2)
    series = rng.standard_normal((3, 40)).cumsum(axis=1)
    up, down = rng.uniform(5.0, 90.0, (3, 40)), rng.uniform(5.0, 90.0, (3, 40))
    found = follow(series, up, down)
    for row in range(3):
        y = series[row, 0]
        for k in range(1, 40):
            before, now = series[row, k - 1 : k + 1]
            lag = up[row, k] if 0.5 * (before + now) > y else down[row, k]
            kept = np.exp(-BLOCK / lag)
            late = lag / BLOCK * (1 - kept)
            y = kept * y + (late - kept) * before + (1 - late) * now
            assert found[row, k] == pytest.approx(y, rel=1e-12, abs=1e-12)


def test_rows_alike_where_it_matters_are_made_once():
    q = np.array([[1.0, 5.0, 0.0], [1.0, 6.0, 0.0], [2.0, 5.0, 0.0], [1.0, 7.0, 1.0], [2.0, 9.0, 0.0]])
    asked = []

    def make(rows):
        asked.append(rows)
        return 10 * q[rows][:, [0, 2]]

    assert once_each(q, (0, 2), make) == pytest.approx(10 * q[:, [0, 2]])
    assert asked == [[0, 2, 3]]


def test_each_part_of_the_reading_is_made_anew_for_every_parameter_it_hangs_on(monkeypatch):
    runs, t, x, p, baseline, setup = bench("plain")
    t, x, p = block_means(t, x, p, runs.charge_at + 20.0)
    trace = _Trace(t, x, p, baseline, setup, HEPTANE, SensorPriors(), runs.charge_at)
    start = trace.start + 0.1  # where no parameter is without effect
    cases = np.vstack([start, start + np.diag(trace.STEP)])
    found = trace.predict(cases)
    assert np.all(np.abs(found[1:] - found[0]).max(axis=1) > 0)
    monkeypatch.setattr("analysis.trace_fit.once_each", lambda q, columns, make: make(list(range(len(q)))))
    assert found == pytest.approx(trace.predict(cases), rel=1e-14)


@pytest.mark.parametrize("seed", [4, 5])
def test_the_lag_of_a_simulated_cell_is_found_to_a_third(seed):
    runs, found = fitted("plain", seed)
    b = runs.bench
    true = sum(float(getattr(b, n)[0]) for n in ("outer_time", "inner_time", "liquid_time", "evaporation_time"))
    assert found.lag == pytest.approx(true - float(b.probe_time[0]), rel=0.35)
    assert 0 <= found.correlation <= 0.9
    assert found.enthalpy_vap == pytest.approx(float(HEPTANE.enthalpy_vap_reference(found.temperature)), rel=0.03)


def test_a_leak_of_a_simulated_cell_is_measured():
    runs, found = fitted("leak", 6)
    assert found.leak_rate == pytest.approx(float(runs.bench.leak_rate[0]), rel=0.25)
    assert found.leak_rate > 5 * found.u_leak_rate


def test_gaps_in_the_readings_are_bridged():
    runs, t, x, p, baseline, setup = bench("plain")
    whole = fit_trace(t, x, p, baseline=baseline, setup=setup, liquid=HEPTANE, charged=runs.charge_at)
    holed_x, holed_p = x.copy(), p.copy()
    holed_x[900:925] = np.nan
    holed_p[1500:1560] = np.nan
    holed = fit_trace(t, holed_x, holed_p, baseline=baseline, setup=setup, liquid=HEPTANE, charged=runs.charge_at)
    assert holed.enthalpy_vap == pytest.approx(whole.enthalpy_vap, rel=5e-3)


def test_a_short_or_level_trace_is_refused():
    runs, t, x, p, baseline, setup = bench("plain")
    with pytest.raises(FitRefused, match=r"trace-too-short .*least_time 400.0, least_span 3.0"):
        fit_trace(t[:400], x[:400], p[:400], baseline=baseline, setup=setup, liquid=HEPTANE, charged=runs.charge_at)


# -- findings of traces -------------------------------------------------------------------------------------


def report(kind: str, seed: int = 4, *, spoil=None, returned: bool = True, hold: float = 480.0):
    runs, t, x, p, baseline, setup = bench(kind, seed, returns=returned)
    starts = [runs.charge_at, *runs.pour_at, *([runs.return_at] if runs.return_at else [])]
    ends = [*starts[1:], float(t[-1])]
    last = len(starts) - 1
    windows = [
        PlateauWindow(e - 62, e - 2, e - hold, "return" if returned and k == last else "up") for k, e in enumerate(ends)
    ]
    if spoil is not None:
        x, p = spoil(t, x.copy(), p.copy())
    return find_in_traces(
        t, x, p, baseline=baseline, sealed=(2.0, runs.charge_at - 2), charged=runs.charge_at, windows=windows,
        setup=setup, liquid=HEPTANE,
    )  # fmt: skip


def codes(found) -> set[str]:
    return {f.code for f in found.findings}


def test_a_healthy_trace_shows_nothing():
    assert codes(report("plain")) == set()


def test_a_leak_is_a_doubt_with_a_return_point_and_refuses_without():
    (leak,) = [f for f in report("leak", 6).findings if f.code == "leak"]
    assert leak.severity == "doubt"
    (leak,) = [f for f in report("leak", 6, returned=False).findings if f.code == "leak"]
    assert leak.severity == "refuse"


def test_a_stopper_that_lifts_is_found_and_a_spike_is_not():
    def lifts(t, x, p):
        p[t > 2000] -= 4e3
        return x, p

    def spikes(t, x, p):
        p[1500:1502] -= 4e3
        return x, p

    (lifted,) = [f for f in report("plain", spoil=lifts).findings if f.code == "gas-let-out"]
    assert lifted.severity == "refuse"
    assert lifted.statistic == pytest.approx(4e3, abs=200)
    assert "gas-let-out" not in codes(report("plain", spoil=spikes))


def test_a_dry_cell_that_still_cools_is_found():
    def cools(t, x, p):
        dry = t < 60
        p[dry] += 300.0 * np.exp(-t[dry] / 40.0)
        return x, p

    assert "cell-not-conditioned" in codes(report("plain", spoil=cools))


def test_a_lag_too_long_for_its_holds_refuses():
    (found,) = [f for f in report("plain", hold=150.0).findings if f.code == "lag-too-long"]
    assert found.severity == "refuse"
    assert found.statistic > 0.25


def test_a_first_point_still_rising_is_found():
    def rises(t, x, p):
        after = t > 60
        p[after] += -2000.0 * np.exp(-(t[after] - 60) / 250.0)
        return x, p

    assert "not-saturated" in codes(report("plain", spoil=rises))


def test_without_a_fit_of_the_trace_the_plateaus_still_show_a_leak():
    t = np.arange(0.0, 700.0)
    rng = np.random.default_rng(2)
    x = 300.0 + 0.003 * rng.standard_normal(700)
    p = 110e3 - 1.0 * t + 5.0 * rng.standard_normal(700)
    windows = [PlateauWindow(a, a + 80, a - 100) for a in (150.0, 350.0, 600.0)]
    found = find_in_traces(
        t, x, p, baseline=SealedBaseline(300.0, 100e3), sealed=None, charged=20.0, windows=windows, setup=CellSetup(),
        liquid=HEPTANE, beta=lambda temperature: 800.0,
    )  # fmt: skip
    assert found.trace is None
    assert "leak" in codes(found)


def test_a_drift_is_a_slope_with_an_uncertainty_that_counts_correlation():
    t = np.arange(60.0)
    rng = np.random.default_rng(9)
    white = rng.standard_normal(60)
    slow = np.convolve(rng.standard_normal(70), np.ones(10) / math.sqrt(10), "valid")[:60]
    found = drift_of(t, 0.5 * t + white)
    assert found.slope == pytest.approx(0.5, abs=3 * found.u_slope)
    assert drift_of(t, slow).u_slope > 1.5 * drift_of(t, white).u_slope
    assert drift_of(t[:5], white[:5]) is None


def test_the_heat_of_evaporation_slows_a_volatile_liquid_the_more_the_warmer_it_is():
    """Against n V dp/dT/(R T) evaporated per kelvin, worked out here from the reference equation of another library."""
    t = np.arange(0.0, 2400.0, 10.0)
    x = 295.0 + 16.0 * t / t[-1]

    def burden(name: str) -> np.ndarray:
        liquid = load_liquid(name)
        p = 100e3 * x / 295.0 + liquid.saturation_pressure(x)
        setup = CellSetup(cell_volume=125e-6, charge_volume=3e-6)
        return _Trace(t, x, p, SealedBaseline(295.0, 100e3), setup, liquid, SensorPriors(), 0.0).burden

    def expected(fluid: str, temperature: float) -> float:
        def property_of(what: str, quality: int) -> float:
            return float(PropsSI(what, "T", temperature, "Q", quality, fluid))

        heat = property_of("Hmolar", 1) - property_of("Hmolar", 0)
        grown = PropsSI("Dmolar", "T", temperature + 0.5, "Q", 1, fluid)
        grown -= PropsSI("Dmolar", "T", temperature - 0.5, "Q", 1, fluid)
        own = 3e-6 * property_of("Dmolar", 0) * property_of("Cpmolar", 0)
        return 1 + heat * grown * 122e-6 / own

    for name, fluid in (("acetone", "Acetone"), ("n-heptane", "n-Heptane")):
        found = burden(name)
        assert found.mean() == pytest.approx(1.0)
        assert found[-1] / found[0] == pytest.approx(expected(fluid, x[-1]) / expected(fluid, x[0]), rel=0.04)
    assert burden("acetone")[-1] / burden("acetone")[0] > 1.15
