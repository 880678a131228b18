"""A small honest cell for the settling tests: first-order lags behind a bath, air plus vapour, white noise."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import replace

import numpy as np

from analysis.settling import Block, Judge, Judgement, SettlingSettings

AIR = 340.0  # p_air / T  [Pa/K]
ROOM = 293.0
RISE = 4400.0  # dH/R of the liquid  [K]
P298 = 9000.0  # its vapour pressure at 298.15 K  [Pa]


def saturation(temperature: float) -> float:
    return P298 * math.exp(-RISE * (1.0 / temperature - 1.0 / 298.15))


def beta(temperature: float) -> float:
    """dp/dT of the total pressure in equilibrium.  [Pa/K]"""
    return AIR + saturation(temperature) * RISE / temperature**2


def equilibrium(temperature: float) -> float:
    return AIR * temperature + saturation(temperature)


def stepped_bath(
    step: float = 4.0, at: float = 420.0, cooling: float = 0.0, start: float = 296.0
) -> Callable[[float], float]:
    """A bath that takes hot water at `at` (mixed with 10 s) and then cools towards the room by `cooling` per second."""

    def bath(time: float) -> float:
        since = max(time - at, 0.0)
        slow = ROOM + (start - ROOM + step) * math.exp(-cooling * since)
        return slow - step * math.exp(-since / 10.0) if time >= at else start

    return bath


def cell_blocks(
    bath: Callable[[float], float],
    seconds: int,
    *,
    charged_at: float = 130.0,
    liquid: float = 35.0,
    gas: float = 30.0,
    evaporation: float = 25.0,
    condensation: float | None = None,
    noise_t: float = 0.01,
    noise_p: float = 10.0,
    quantum_t: float = 0.0,
    quantum_p: float = 0.0,
    seed: int = 1,
    leak: Callable[[float], float] | None = None,
    cooling: float = 0.0,
) -> tuple[list[Block], list[float]]:
    """Blocks of one run and its noise-free pressure; ten inner steps a second.

    `cooling`: by how much the liquid cools when its vapour grows by a pascal.  [K/Pa]
    """
    rng = np.random.default_rng(seed)
    t_probe = t_liquid = t_gas = bath(0.0)
    density, blocks, truth = 0.0, [], []  # of the vapour  [Pa/K]
    for k in range(seconds):
        for j in range(10):
            time = k + j / 10.0
            now = bath(time)
            t_probe += (now - t_probe) / 60.0
            t_liquid += (now - t_liquid) / (10.0 * liquid)
            t_gas += (now - t_gas) / (10.0 * gas)
            if time >= charged_at:
                missing = saturation(t_liquid) / t_liquid - density
                evaporated = missing / (10.0 * (evaporation if missing > 0.0 else condensation or evaporation))
                density += evaporated
                t_liquid -= cooling * evaporated * t_liquid
            if j == 5:
                value_t, value_p = t_probe, (AIR + density) * t_gas + (leak(time) if leak else 0.0)
        truth.append(value_p)
        t = value_t + rng.normal(0.0, noise_t) if noise_t else value_t
        p = value_p + rng.normal(0.0, noise_p) if noise_p else value_p
        t = round(t / quantum_t) * quantum_t if quantum_t else t
        p = round(p / quantum_p) * quantum_p if quantum_p else p
        blocks.append(Block(k, k + 0.5, t, p, 1, 1, quantum_t, quantum_p))
    return blocks, truth


def judged(
    blocks: Iterable[Block],
    settings: SettlingSettings | None = None,
    *,
    charged_at: float | None = 130.0,
    closed_at: float | None = 5.0,
    beta_given: Callable[[float], float] | None = beta,
    air_slope: float | None = AIR,
) -> list[Judgement]:
    """One judgement per block, with the calls a run would make."""
    judge = Judge(settings or SettlingSettings(), beta=beta_given, air_slope=air_slope)
    out = []
    for block in blocks:
        if closed_at is not None and block.time > closed_at:
            judge.cell_closed(closed_at)
            closed_at = None
        if charged_at is not None and block.time > charged_at:
            judge.charged(charged_at)
            charged_at = None
        out.append(judge.update(block))
    return out


def first_ready(judgements: list[Judgement], after: float) -> Judgement | None:
    return next((j for j in judgements if j.ready and j.time > after), None)


def with_values(block: Block, temperature: float | None = None, pressure: float | None = None) -> Block:
    """The block with other values."""
    return replace(
        block,
        temperature=block.temperature if temperature is None else temperature,
        pressure=block.pressure if pressure is None else pressure,
    )
