"""What the lag model takes for likely before it has seen anything, and how far things may change on the way."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class LagPrior:
    """Prior standard deviations of the filter states, and how they grow.

    All tuned on simulated flasks (seeds apart from those that the benchmark reports on).
    """

    gain: float = 0.2
    offset: float = 0.3  # [K]
    wander: float = 0.012  # sd of what sensors and model wander by, until more is known  [K]
    wander_time: float = 60.0  # [s]
    wander_range: tuple[float, float] = (0.002, 0.08)  # [K]
    model: float = 0.015  # share of the transient that the model may miss, until more is known
    model_range: tuple[float, float] = (0.004, 0.06)
    wander_memory: tuple[float, float] = (20.0, 200.0)  # they are learned with memories that grow up to these  [s]
    model_memory: tuple[float, float] = (15.0, 100.0)
    condensing: tuple[float, float] = (0.3, 0.2)  # by what share vapour lags less while it condenses: mean, sd
    fraction: float = 0.12  # slow share of the vapour: mean and sd
    slowness: float = 0.25  # sd of the logarithm of its time constant around the hypotheses
    seep: float = 0.5 / 60.0  # leak  [K/s]
    fill: float = 0.25  # how wrong the expected build-up of vapour may be, as a share
    chill: float = 3.0  # liquid comes in at another temperature and chills itself  [K]
    step_lag: float = 0.07  # lags change from step to step by this share
    step_fraction: float = 0.01
    step_gain: float = 0.02
    step_offset: float = 0.03  # [K]
    step_rest: float = 0.01  # transient left over from before the step  [K]
    step_seep: float = 0.3 / 60.0  # hands at the cell may start a leak: so strong  [K/s] ...
    step_leak: float = 0.0005  # ... and at least this likely
    step_mix: float = 0.10  # share of the prior that is mixed into the weights at a step
    charge: float = 10.0  # after a charge the model misses so many times more of the transient ...
    charge_time: float = 40.0  # ... at first, and less within so long: mixing, splashes and films are not in it  [s]
    outlier: float = 3.0  # innovations beyond this many sd count for less
