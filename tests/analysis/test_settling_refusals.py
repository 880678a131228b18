"""What is no plateau: ramps, cycles, leaks, knocks; and the way back from them."""

from __future__ import annotations

import math

import numpy as np
import pytest

from analysis.settling import Judge, SettlingSettings, State
from analysis.settling.drift import fit_drift
from analysis.settling.gates import temperature_gates
from analysis.settling.noise import NoiseTracker
from analysis.settling.records import ChannelState

from .settling_runs import AIR, beta, cell_blocks, first_ready, judged, stepped_bath

COOLING = 1.0 / 2400.0  # about 0.17 K/min at 7 K above the room


def _never(judgements, after: float) -> bool:
    return first_ready(judgements, after) is None


def test_a_ramp_is_never_a_plateau():
    blocks, _ = cell_blocks(lambda t: 296.0 + max(t - 420.0, 0.0) * 1.2 / 60.0, 800)
    judgements = judged(blocks)
    assert _never(judgements, 440.0)
    texts = {g.text for g in judgements[700].gates}
    assert any(t.startswith("bath is still being heated: +1.") for t in texts)


@pytest.mark.parametrize("mode", ["raw", "corrected"])
@pytest.mark.parametrize("period", [70.0, 115.0, 170.0, 240.0])
def test_a_cycling_bath_is_never_a_plateau(period, mode):
    def bath(time: float) -> float:
        return stepped_bath(cooling=COOLING)(time) + 0.5 * math.sin(2.0 * math.pi * max(time - 420.0, 0.0) / period)

    blocks, _ = cell_blocks(bath, 800)
    assert _never(judged(blocks, SettlingSettings(mode=mode)), 440.0)


def _gates_after(seconds: int, *, easing: bool, told: bool) -> set[str]:
    """Codes of the temperature gates so long after a change, on a drift of 0.2 K/min with noise of 5 mK."""
    rng = np.random.default_rng(8)
    value = 300.0 - np.arange(seconds) * 0.2 / 60.0 + rng.normal(0.0, 0.005, seconds)
    noise = NoiseTracker()
    noise.record(np.arange(90.0), value[:90])
    drift = fit_drift(value)
    state = ChannelState(State.LEVEL, 0.0, 0.001)
    settings = SettlingSettings(mode="corrected")
    window = value[20:][-int(settings.straight_window) :]
    found = temperature_gates(drift, window, seconds, 0.1, state, noise, settings, easing, told)
    return {g.code for g in found}


def test_a_pair_whose_pressure_still_moves_waits_until_half_a_cycle_would_show_unless_a_change_was_told():
    assert _gates_after(110, easing=True, told=False) == {"too_short"}
    assert _gates_after(110, easing=True, told=True) == set()
    assert _gates_after(110, easing=False, told=False) == set()
    assert _gates_after(150, easing=True, told=False) == set()


def test_a_change_is_told_by_a_hint_and_by_a_call_and_found_ones_soon_after_belong_to_it():
    blocks, _ = cell_blocks(stepped_bath(cooling=COOLING), 470)
    judge = Judge(beta=beta, air_slope=AIR)
    told = {}
    for block in blocks:
        if block.index == 10:
            judge.cell_closed(block.time)
        if block.index == 130:
            judge.charged(block.time)
        judge.update(block)
        told[block.index] = judge._bath.told
    assert told[20]
    assert told[200]
    assert not told[450]  # found by itself
    again = Judge(beta=beta, air_slope=AIR)
    for block in blocks:
        if block.index == 421:
            again.step(block.time)
        again.update(block)
    assert again._bath.told
    again.step(blocks[-1].time, told=False)
    assert again._bath.told  # part of the same change
    again.step(blocks[-1].time + 100.0, told=False)
    assert not again._bath.told


@pytest.mark.parametrize("mode", ["raw", "corrected"])
@pytest.mark.parametrize("rate", [-0.35, 0.6, -1.2])  # [K-equivalents per min]
def test_a_leak_that_begins_with_a_step_is_never_a_plateau_and_is_called_by_its_name(rate, mode):
    def leak(time: float) -> float:
        return max(time - 425.0, 0.0) * rate / 60.0 * beta(299.0)

    blocks, _ = cell_blocks(stepped_bath(cooling=COOLING), 700, leak=leak)
    judgements = judged(blocks, SettlingSettings(mode=mode))
    assert _never(judgements, 440.0)
    found = next(j for j in judgements[440:] if "leak" in {g.code for g in j.gates})
    assert found.time < 420.0 + 180.0
    assert judgements[-1].leak / beta(299.0) * 60.0 == pytest.approx(rate, abs=0.1)


def test_after_a_stopper_that_lifted_for_a_moment_the_pressure_settles_again_with_less_air():
    blocks, _ = cell_blocks(stepped_bath(cooling=COOLING), 1000, leak=lambda t: -6000.0 if t > 640.0 else 0.0)
    judgements = judged(blocks)
    codes = {g.code for j in judgements[641:660] for g in j.gates}
    assert "pressure_disturbed" in codes
    found = first_ready(judgements, 660.0)
    assert found.time < 640.0 + 240.0
    assert not any(g.code == "leak" for j in judgements[640:] for g in j.gates)


def test_a_knock_that_lasts_into_a_step_does_not_pass_for_a_leak():
    def cooled(time: float) -> float:  # lifted out of the bath just before the water is added, and put back
        return -2.5 * beta(297.0) * (min((time - 412.0) / 20.0, 1.0) * math.exp(-max(time - 432.0, 0.0) / 35.0))

    blocks, _ = cell_blocks(stepped_bath(cooling=COOLING), 800, leak=lambda t: cooled(t) if t > 412.0 else 0.0)
    judgements = judged(blocks)
    assert not any(g.code == "leak" for j in judgements for g in j.gates)
    assert first_ready(judgements, 440.0).time < 420.0 + 280.0


@pytest.mark.parametrize("mode", ["raw", "corrected"])
def test_a_noisy_gauge_widens_the_tolerance_by_the_slope_that_is_learned_and_points_are_taken(mode):
    blocks, _ = cell_blocks(stepped_bath(cooling=COOLING), 800, noise_p=380.0, seed=4)
    judgements = judged(blocks, SettlingSettings(mode=mode), beta_given=lambda t: 1.25 * beta(t))
    found = first_ready(judgements, 440.0)
    gauge = (
        2.0
        * found.noise_pressure
        * math.sqrt((1.0 + found.correlation_pressure) / (1.0 - found.correlation_pressure) / 60.0)
    )  # in pascal: what a mean of one minute leaves, twice
    assert found.tolerance == pytest.approx(gauge / beta(299.5), rel=0.07)
    assert found.tolerance > 0.11
