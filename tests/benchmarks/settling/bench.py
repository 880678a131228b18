"""Simulated runs with known truth for the settling benchmark: cell, bath, sensors, and what disturbs them.

Physics (all runs advance together, explicit exponential steps of 0.2 s): a bath that takes hot or cold water with a
mixing time and loses heat to the room; probe, gas and liquid follow it with first-order lags; the vapour relaxes to
the saturation pressure of the liquid. What a stress case adds (slow vapour, wall, wandering sensors, leak) the
judge's model does not contain. The quasi-equilibrium value is the solution of the same equations on the slow drift.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from scipy.signal import lfilter

from analysis.settling import Block, robust_mean

R_GAS = 8.314462618
STEP = 0.2  # [s] integration step
DRY, FIRST, DWELL = 130, 420, 600  # [s] dry hold, hold after the charge, dwell per step
ROOM = 291.0


@dataclass
class Case:
    """How a set differs from ordinary flasks."""

    name: str = "matched"
    runs: int = 80
    steps: int = 6
    seed: int = 1
    slow_fraction: float = 0.0
    slow_time: tuple[float, float] = (120.0, 240.0)
    wall: tuple[float, float] | None = None
    gas: tuple[float, float] = (20.0, 60.0)
    lag_scale: float = 1.0
    beta_error: float = 0.15
    second_dose: bool = False
    wander_t: float = 0.0  # [K], 20 s
    wander_p: float = 0.0  # [Pa], 60 s
    drift: tuple[float, float] = (0.05, 0.5)  # [K/min]
    still: float = 0.2  # share of steps without drift
    heating_only: bool = False
    last: str = ""  # "leak", "ramp", "cycle": what the last step is instead of a plateau
    leak: tuple[float, float] = (0.3, 3.0)  # [K-equivalents per min]
    disturb: bool = True


@dataclass
class Run:
    """One run: the stream of blocks and the truth beside it (arrays at block times)."""

    blocks: list[Block]
    time: np.ndarray
    charge_time: float
    step_time: np.ndarray
    beta: object
    true_beta: np.ndarray
    probe: np.ndarray
    pressure: np.ndarray
    slow_probe: np.ndarray
    slow_pressure: np.ndarray
    air: float
    enthalpy: float
    p298: float
    drift: np.ndarray
    net_ramp: float = 0.0
    info: dict = field(default_factory=dict)

    def p_equilibrium(self, temperature):
        return self.air * temperature + saturation(temperature, self.p298, self.enthalpy)

    def slope_equilibrium(self, temperature):
        ps = saturation(temperature, self.p298, self.enthalpy)
        return self.air + ps * self.enthalpy / (R_GAS * temperature**2)


def saturation(temperature, p298, enthalpy):
    return p298 * np.exp(-enthalpy / R_GAS * (1.0 / temperature - 1.0 / 298.15))


def _ou(rng, n, shape, sd, tau, dt=1.0):
    phi = np.exp(-dt / tau)
    x = np.empty((n, *shape))
    x[0] = rng.normal(0.0, 1.0, shape)
    noise = rng.normal(0.0, np.sqrt(1.0 - phi**2), (n, *shape))
    for k in range(1, n):
        x[k] = phi * x[k - 1] + noise[k]
    return sd * x


@dataclass(frozen=True)
class SlowBath:
    """The bath on its exponential drift alone, and what follows it without any fast transient."""

    above_room: np.ndarray
    loss: np.ndarray
    wall: np.ndarray | None
    liquid: np.ndarray
    p298: np.ndarray
    enthalpy: np.ndarray

    def at(self, time, lag=0.0):
        """What follows the bath with a first-order lag."""
        return ROOM + self.above_room * np.exp(-self.loss * time) / (1.0 - self.loss * lag)

    def wall_gap(self, time):
        return 0.0 if self.wall is None else self.at(time, self.wall) - self.at(time)

    def vapour(self, tau, time):
        """Vapour pressure that relaxes with tau: second-order expansion in tau on the drift."""
        h = 5.0
        a, b, c = (
            saturation(self.at(time + d, self.liquid) + self.wall_gap(time + d), self.p298, self.enthalpy)
            for d in (-h, 0.0, h)
        )
        return b - tau * (c - a) / (2 * h) + tau**2 * (a - 2 * b + c) / h**2


def simulate(case: Case) -> list[Run]:
    """All runs of a case; the same case gives the same runs."""
    rng = np.random.default_rng(case.seed)
    n = case.runs
    seconds = DRY + FIRST + DWELL * case.steps
    m = round(1.0 / STEP)
    ticks = seconds * m
    uniform = rng.uniform
    scale = case.lag_scale
    probe_lag = uniform(3, 10, n)
    base_l, base_g = uniform(20, 60, n) * scale, uniform(*case.gas, n) * scale
    base_e = uniform(10, 60, n) * scale
    enthalpy, p298 = uniform(30e3, 42e3, n), uniform(5e3, 28e3, n)
    wall = uniform(*case.wall, n) if case.wall else np.zeros(n)
    slow_time = uniform(*case.slow_time, n)
    f_slow = case.slow_fraction
    t_start = uniform(295.0, 298.0, n)
    air = uniform(95e3, 103e3, n) / t_start

    # One row per segment: dry, first hold, steps.
    starts = np.array([0, DRY, *[DRY + FIRST + DWELL * k for k in range(case.steps)]])
    segments = len(starts)
    lag_l, lag_g, lag_e = (base * np.exp(rng.normal(0.0, 0.07, (segments, n))) for base in (base_l, base_g, base_e))
    mixing = uniform(5, 20, (segments, n))
    amplitude = uniform(3, 5, (segments, n))
    up = np.ones((segments, n), bool) if case.heating_only else rng.random((segments, n)) < 0.75
    rate = uniform(*case.drift, (segments, n)) / 60.0
    rate[rng.random((segments, n)) < case.still] = 0.0
    cooling = uniform(*case.drift, n) / 60.0 / (t_start + 4.0 * case.steps - ROOM)
    dose_at = uniform(40, 150, (segments, n))
    dose_part = uniform(0.2, 0.5, (segments, n))
    ramp_rate = uniform(0.7, 3.0, n) / 60.0 * np.where(rng.random(n) < 0.5, 1, -1)
    cycle_size, cycle_time = uniform(0.3, 1.5, n), uniform(60, 240, n)
    leak_rate = uniform(*case.leak, n) / 60.0 * np.where(rng.random(n) < 0.8, -1, 1)

    bath = t_start.copy()
    unmixed = np.zeros(n)
    k_loss = np.zeros(n)
    probe, wall_t = bath.copy(), bath.copy()
    liquid, gas = bath.copy(), bath.copy()
    vapour, slow_vapour = np.zeros(n), np.zeros(n)
    out = {key: np.zeros((seconds, n)) for key in ("probe", "p", "slow_probe", "slow_p", "beta")}
    drift_out = np.zeros((segments, n))
    net_ramp = np.zeros(n)
    slow_a = bath - ROOM
    segment = -1
    leaked = np.zeros(n)
    mixing_now = mixing[0]
    since = 0.0
    for tick in range(ticks):
        time = tick * STEP
        while segment + 1 < segments and time >= starts[segment + 1] - 1e-9:
            segment += 1
            tl, tg, te = lag_l[segment], lag_g[segment], lag_e[segment]
            mixing_now = mixing[segment]
            step_start = time
            if segment == 1:
                liquid = bath - uniform(0.0, 2.0, n)  # comes in cooler, and evaporation chills it
            if segment >= 2:
                sign = np.where(up[segment] & (bath < 320.0) | (bath < 297.0), 1.0, -1.0)
                heat = sign * amplitude[segment]
                unmixed = unmixed + heat * (1.0 - dose_part[segment] * case.second_dose)
                target = bath + heat
                k_loss = np.minimum(rate[segment] / np.abs(target - ROOM), 1.0 / 1200.0)
                if case.heating_only:
                    k_loss = cooling
                drift_out[segment] = -k_loss * (target - ROOM)
                late = case.second_dose * dose_part[segment] * (np.exp(k_loss * dose_at[segment]) - 1.0)
                slow_a = (bath - ROOM) + heat * (1.0 + late) / (1.0 - k_loss * mixing_now)
            else:
                slow_a = bath - ROOM
            slow_start = time
        since = time - step_start
        last = segment == segments - 1
        if case.second_dose and segment >= 2:
            now = np.abs(since - dose_at[segment]) < 0.5 * STEP
            unmixed = unmixed + now * heat * dose_part[segment]
        extra = np.zeros(n)
        if last and case.last == "ramp":
            extra = ramp_rate
        if last and case.last == "cycle":
            extra = cycle_size * 2 * np.pi / cycle_time * np.cos(2 * np.pi * since / cycle_time)
        give = unmixed * (1.0 - np.exp(-STEP / mixing_now))
        unmixed = unmixed - give
        bath = bath + give + STEP * (extra - k_loss * (bath - ROOM))
        probe = probe + (1.0 - np.exp(-STEP / probe_lag)) * (bath - probe)
        wall_t = bath if case.wall is None else wall_t + (1.0 - np.exp(-STEP / wall)) * (bath - wall_t)
        gas = gas + (1.0 - np.exp(-STEP / tg)) * (wall_t - gas)
        liquid = liquid + (1.0 - np.exp(-STEP / tl)) * (wall_t - liquid)
        ps = saturation(liquid, p298, enthalpy) if segment >= 1 else np.zeros(n)
        vapour = vapour + (1.0 - np.exp(-STEP / te)) * ((1.0 - f_slow) * ps - vapour)
        slow_vapour = slow_vapour + (1.0 - np.exp(-STEP / slow_time)) * (f_slow * ps - slow_vapour)
        slope = air + saturation(probe, p298, enthalpy) * enthalpy / (R_GAS * probe**2)
        if last and case.last == "leak":
            leaked = leaked + STEP * leak_rate * slope
        if tick % m == m // 2:
            row = tick // m
            s = time - slow_start

            slow = SlowBath(slow_a, k_loss, wall if case.wall else None, tl, p298, enthalpy)
            slow_probe = slow.at(s, probe_lag)
            slow_gas = slow.at(s, tg) + slow.wall_gap(s)
            if segment >= 1:
                slow_v = (1 - f_slow) * slow.vapour(te, s) + f_slow * slow.vapour(slow_time, s)
            else:
                slow_v = np.zeros(n)
            out["probe"][row], out["p"][row] = probe, air * gas + vapour + slow_vapour + leaked
            out["slow_probe"][row], out["slow_p"][row] = slow_probe, air * slow_gas + slow_v
            out["beta"][row] = slope
    net_ramp = ramp_rate + drift_out[-1]
    return [
        _measure(
            case,
            rng,
            k,
            {key: v[:, k] for key, v in out.items()},
            starts,
            drift_out[:, k],
            air[k],
            enthalpy[k],
            p298[k],
            net_ramp[k],
        )
        for k in range(n)
    ]


def _readings(rng, truth, rate, sd, quantum, phi_time, wander, spikes):
    """Raw readings (seconds, rate) of one channel."""
    seconds = len(truth)
    grid = (np.arange(seconds * rate) + 0.5) / rate
    clean = np.interp(grid, np.arange(seconds) + 0.5, truth + wander)
    noise = rng.normal(0.0, 1.0, len(grid))
    if phi_time > 0.0:
        phi = np.exp(-1.0 / (rate * phi_time))
        noise *= np.sqrt(1.0 - phi**2)
        noise = lfilter([1.0], [1.0, -phi], noise)
    value = clean + sd * noise
    if spikes:
        hit = rng.random(len(grid)) < 0.002 / max(rate / 5, 1)
        value = value + hit * rng.normal(0.0, 40 * sd, len(grid))
    if quantum > 0.0:
        value = np.round(value / quantum) * quantum
    return value.reshape(seconds, rate)


def _measure(case, rng, index, truth, starts, drift, air, enthalpy, p298, net_ramp) -> Run:
    seconds = len(truth["probe"])
    rate = int(rng.choice([1, 2, 5, 10, 20, 50]))
    sd_t, sd_p = np.exp(rng.uniform(np.log(0.003), np.log(0.05))), np.exp(rng.uniform(np.log(3), np.log(60)))
    q_t, q_p = float(rng.choice([0.0, 0.001, 0.01, 0.03, 0.06])), float(rng.choice([0.0, 1.0, 10.0, 30.0, 60.0]))
    phi_time = np.exp(rng.uniform(np.log(0.5), np.log(4))) if rng.random() < 0.4 else 0.0
    wander_t = _ou(rng, seconds, (), case.wander_t, 20.0) if case.wander_t else np.zeros(seconds)
    wander_p = _ou(rng, seconds, (), case.wander_p, 60.0) if case.wander_p else np.zeros(seconds)
    spikes = case.disturb and rng.random() < 0.3
    bump_p, bump_t = np.zeros(seconds), np.zeros(seconds)
    gap = np.zeros(seconds, bool)
    time = np.arange(seconds) + 0.5
    for start in starts[2:]:
        if not case.disturb:
            break
        if rng.random() < 0.3:
            at = start + rng.uniform(0, DWELL - 40)
            gap |= (time > at) & (time < at + rng.uniform(3, 25))
        if rng.random() < 0.25:
            at = start + rng.uniform(30, DWELL - 60)
            if rng.random() < 0.7:
                size = rng.uniform(300, 1500) * rng.choice([-1, 1])
                bump_p += np.where(time > at, size * np.exp(-np.maximum(time - at, 0) / rng.uniform(8, 20)), 0)
            else:
                lag = rng.uniform(3, 10)
                pull = -(truth["probe"][int(at)] - ROOM) * 0.7
                inside = (time > at) & (time < at + 5)
                rise = pull * -np.expm1(-np.maximum(time - at, 0.0) / lag)
                fall = pull * (1 - np.exp(-5 / lag)) * np.exp(-np.maximum(time - at - 5, 0) / lag)
                bump_t += np.where(inside, rise, np.where(time >= at + 5, fall, 0.0))
    raw_t = _readings(rng, truth["probe"] + bump_t, rate, sd_t, q_t, phi_time, wander_t, spikes)
    raw_p = _readings(rng, truth["p"] + bump_p, rate, sd_p, q_p, phi_time, wander_p, spikes)
    blocks = [
        Block(
            k,
            k + 0.5,
            np.nan if gap[k] else robust_mean(raw_t[k]),
            np.nan if gap[k] else robust_mean(raw_p[k]),
            0 if gap[k] else rate,
            0 if gap[k] else rate,
            q_t,
            q_p,
        )
        for k in range(seconds)
    ]
    wrong = np.exp(rng.normal(0.0, case.beta_error))

    def beta(t):
        return wrong * (air + saturation(t, p298, enthalpy) * enthalpy / (R_GAS * t * t))

    return Run(
        blocks,
        time,
        float(DRY),
        np.asarray(starts[2:], float),
        beta,
        truth["beta"],
        truth["probe"],
        truth["p"],
        truth["slow_probe"],
        truth["slow_p"],
        air,
        enthalpy,
        p298,
        drift[2:],
        net_ramp,
        {"rate": rate, "sd_t": sd_t, "sd_p": sd_p, "q_t": q_t, "q_p": q_p, "phi_time": phi_time, "wrong": wrong},
    )


def oracle(run: Run, step: int, tolerance: float, *, need: int = 10) -> float:
    """Seconds after the step from which both noise-free channels stay within tolerance; nan if never."""
    first = int(run.step_time[step])
    last = min(first + DWELL, len(run.time)) - 1
    part = slice(first, last)
    off = np.maximum(
        np.abs(run.probe[part] - run.slow_probe[part]),
        np.abs(run.pressure[part] - run.slow_pressure[part]) / run.true_beta[part],
    )
    bad = np.flatnonzero(off > tolerance)
    at = 0 if len(bad) == 0 else bad[-1] + 1
    return float(at) if at < last - first - need else float("nan")
