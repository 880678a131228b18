"""Sample times: lower envelope, wraps, restarts, steady rates."""

import numpy as np
import pytest
from scipy.optimize import linprog

from drivers.device_clock import TickCounter
from drivers.timing import DeviceClockTimer, Envelope, SampleTimer, SteadyTimer, line_under


def streamed(timer, taken, arrivals, clock):
    """Feed samples one by one, in chunks of equal arrival; the times that the timer gave."""
    times = []
    start = 0
    while start < len(taken):
        stop = start
        while stop < len(taken) and arrivals[stop] == arrivals[start]:
            stop += 1
        times.extend(timer.times(clock[start:stop], stop - start, float(arrivals[start])).time)
        start = stop
    return np.array(times)


def late(rng, taken, *, frame=1e-3, stall=0.03, stalls=0.01):
    """Arrivals: the end of a frame, and now and then a stall; order is kept."""
    delay = (
        frame * np.ceil(taken / frame + rng.random())
        - taken
        + rng.exponential(stall, len(taken)) * (rng.random(len(taken)) < stalls)
    )
    return np.maximum.accumulate(taken + delay)


def test_the_line_under_points_is_the_solution_of_the_linear_programme():
    rng = np.random.default_rng(7)
    for _ in range(20):
        x = np.sort(rng.uniform(0, 300, 40))
        y = 5e-5 * x + rng.exponential(0.01, 40)
        centre, offset, slope = line_under(list(zip(x, y, strict=True)), 1.0)
        # minimise the sum of distances subject to lying under every point
        best = linprog(
            [-len(x), -np.sum(x - centre)], np.column_stack([np.ones(40), x - centre]), y, bounds=[(None, None)] * 2
        )
        assert len(x) * offset + slope * np.sum(x - centre) == pytest.approx(-best.fun, rel=1e-9)


@pytest.mark.parametrize("drift", [50e-6, -30e-6])
def test_a_drifting_clock_is_followed_through_stalls(drift):
    rng = np.random.default_rng(3)
    taken = np.arange(0, 900, 0.1)
    clock = taken * (1 + drift) + 1234.5
    times = streamed(DeviceClockTimer(10.0), taken, late(rng, taken), clock)
    error = (times - taken)[3000:]
    # the goal of the timing study is 0.1 ms rms and 0.3 ms at most after five minutes, but for the constant delay
    assert np.std(error) < 1e-4
    assert np.max(np.abs(error - np.mean(error))) < 3e-4
    # the arrivals themselves are worse by far
    assert np.std((late(rng, taken) - taken)[3000:]) > 1e-3


@pytest.mark.parametrize("silence", [200.0, 400.0, 5000.0])
@pytest.mark.parametrize("timer", [DeviceClockTimer(10.0), DeviceClockTimer(None), SteadyTimer(10.0)])
def test_after_a_silence_longer_than_anything_remembered_times_go_on(timer, silence):
    timer.restart()
    taken = np.concatenate([np.arange(0, 60, 0.1), 60 + silence + np.arange(0, 60, 0.1)])
    times = np.array([timer.times(np.array([t]), 1, t + 0.004).time[0] for t in taken])
    # to the period that lone samples may be held back by, and 0.2 s that a lost count takes to be believed
    assert np.abs(times - taken)[-100:].max() < 0.01 + 0.3 * isinstance(timer, SteadyTimer)


def test_the_quoted_uncertainty_covers_the_error_but_for_the_constant_delay():
    errors, quoted = [], []
    for seed in range(20):
        rng = np.random.default_rng(seed)
        taken = np.arange(0, 40, 0.1)
        timer = DeviceClockTimer(10.0)
        arrivals = late(rng, taken, frame=0.016, stalls=0.1)
        constant = np.min(arrivals - taken)
        for sample, arrival in zip(taken, arrivals, strict=True):
            times = timer.times(np.array([sample * 1.00003]), 1, float(arrival))
            errors.append(times.time[0] - sample - constant)
            quoted.append(times.u_time)
    inside = np.mean(np.abs(errors) < 2 * np.array(quoted))
    assert inside > 0.95


def test_a_better_minimum_takes_effect_at_once():
    envelope = Envelope()
    envelope.add(0.0, 100.5)
    envelope.add(0.1, 100.2)
    assert float(envelope.host_time(0.1)) == pytest.approx(100.2)


def test_a_steady_rate_serves_as_a_clock():
    rng = np.random.default_rng(5)
    taken = np.arange(0, 400, 0.1)
    times = streamed(SteadyTimer(10.0), taken, late(rng, taken), taken)
    assert np.std((times - taken)[1000:]) < 1e-3


def test_a_rate_that_is_a_little_off_is_learnt():
    rng = np.random.default_rng(6)
    taken = np.arange(4000) * 0.1004
    times = streamed(SteadyTimer(10.0), taken, late(rng, taken), taken)
    assert np.std((times - taken)[1000:]) < 2e-3


def test_samples_that_a_steady_device_lost_are_found_within_seconds():
    taken = np.delete(np.arange(0, 60, 0.1), slice(200, 207))
    timer = SteadyTimer(10.0)
    missing = [timer.times(None, 1, float(time) + 0.001).missing for time in taken]
    assert sum(missing) == 7
    assert timer.times(None, 1, 60.001).time[0] == pytest.approx(60.0, abs=0.002)


def test_spoilt_frames_keep_their_place_in_a_steady_count():
    timer = SteadyTimer(10.0)
    for n in range(50):
        timer.times(None, 1, n * 0.1)
    timer.skipped(2)
    assert timer.times(None, 1, 5.2).time[0] == pytest.approx(5.2, abs=1e-9)


def test_without_clock_or_rate_the_arrival_is_the_time():
    times = SampleTimer(None).times(None, 3, 5.0)
    assert times.time.tolist() == [5.0, 5.0, 5.0]
    assert times.uncertain.all()


def test_with_a_rate_the_earlier_samples_of_a_chunk_are_set_back():
    assert SampleTimer(10.0).times(None, 3, 5.0).time.tolist() == pytest.approx([4.8, 4.9, 5.0])


def counter(bits=32, unit="ms", *, protected=True):
    return TickCounter(unit, bits, protected=protected)


def test_a_wrap_is_undone():
    ticks = counter(bits=16)
    first = ticks.unwrap([65_400.0, 65_500.0], 10.0)
    second = ticks.unwrap([64.0, 164.0], 10.2)
    np.testing.assert_allclose(np.concatenate([first.seconds, second.seconds]), [65.4, 65.5, 65.6, 65.7])
    assert second.restarts == []


def test_a_count_of_microseconds_wraps_every_72_minutes_without_a_jump():
    ticks = counter(unit="us")
    seconds = [ticks.unwrap([float(n * 1_000_000 % 2**32)], float(n)).seconds[0] for n in range(0, 9000, 10)]
    np.testing.assert_allclose(np.diff(seconds), 10.0)


def test_a_step_back_is_a_restart():
    ticks = counter()
    ticks.unwrap([50_000.0], 10.0)
    result = ticks.unwrap([50_100.0, 10.0, 110.0], 10.3)
    assert result.restarts == [1]
    np.testing.assert_allclose(result.seconds, [50.1, 0.01, 0.11])


def test_one_odd_count_without_checksum_is_spoilt_and_two_are_a_restart():
    ticks = counter(protected=False)
    ticks.unwrap([1000.0], 10.0)
    result = ticks.unwrap([1100.0, 91_200.0, 1300.0], 10.3)
    assert (result.spoilt, result.restarts, result.kept) == ([1], [], [0, 2])
    again = ticks.unwrap([5.0, 105.0], 10.5)
    assert (again.spoilt, again.restarts) == ([], [0])


def test_an_odd_count_at_the_end_waits_for_the_next():
    ticks = counter(protected=False)
    ticks.unwrap([1000.0], 10.0)
    assert ticks.unwrap([1100.0, 7.0], 10.3).held == 1


def test_a_long_silence_is_no_restart():
    ticks = counter()
    ticks.unwrap([1000.0], 10.0)
    result = ticks.unwrap([1_801_000.0], 1810.0)
    assert (result.restarts, result.seconds.tolist()) == ([], [1801.0])


def test_a_counter_that_never_wraps_restarts_when_it_goes_back():
    ticks = counter(bits=0)
    ticks.unwrap([1000.0], 10.0)
    assert ticks.unwrap([900.0], 10.1).restarts == [0]
