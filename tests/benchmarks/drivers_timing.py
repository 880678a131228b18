"""Sample times against the truth: arrivals, and the lower envelope under a wandering device clock.

Run:  python -m tests.benchmarks.drivers_timing [--hours 2]

Simulated: a clock 30 ppm fast that warms up by 5 ppm and wanders by 2 ppm, frames of 1 or 16 ms, stalls of 30 ms in one
of a hundred. Goal after five minutes: 0.1 ms rms, 0.3 ms at most (for 1 ms frames), but for the constant delay that
nobody can see. The limit before fitting is the frame: 1 ms, or 16 ms where a bridge gathers.
"""

from __future__ import annotations

import argparse

import numpy as np

from drivers.timing import DeviceClockTimer, SteadyTimer
from tests.benchmarks.figures import show_figure


def simulate(rate: float, frame: float, hours: float, seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    clock = np.arange(0, 3600 * hours, 1 / rate)
    ppm = 30 + 5 * (1 - np.exp(-clock / 900)) + 2 * np.sin(2 * np.pi * clock / 3000)
    # the device samples by its own clock, so its samples wander through our frames: the beat that misleads short fits
    taken = np.cumsum(1 - 1e-6 * ppm) / rate
    arrival = frame * np.ceil((taken + frame * rng.random() + 2e-4) / frame)
    arrival += rng.exponential(0.03, len(taken)) * (rng.random(len(taken)) < 0.01)
    return taken, clock, np.maximum.accumulate(arrival)


def run(timer, taken, clock, arrivals) -> np.ndarray:
    times = np.empty(len(taken))
    edges = np.flatnonzero(np.diff(arrivals, prepend=-1.0))
    for start, stop in zip(edges, [*edges[1:], len(taken)], strict=True):
        times[start:stop] = timer.times(clock[start:stop], int(stop - start), float(arrivals[start])).time
    return times


def line(label: str, error: np.ndarray) -> str:
    error = 1e3 * (error - np.mean(error))
    print(f"  {label:<34} {np.std(error):8.3f} ms rms {np.max(np.abs(error)):9.3f} ms at most", flush=True)
    return f"{np.std(error):.3f} ms rms, {np.max(np.abs(error)):.2f} ms at most"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hours", type=float, default=2.0)
    hours = parser.parse_args().hours
    for rate in (10.0, 100.0):
        for frame in (1e-3, 16e-3):
            taken, clock, arrivals = simulate(rate, frame, hours, seed=1)
            settled = taken > 300
            print(f"{rate:g} samples/s, frames of {1e3 * frame:g} ms, {hours:g} h")
            untimed = line("arrival", (arrivals - taken)[settled])
            told = line(
                "device clock, lower envelope", (run(DeviceClockTimer(rate), taken, clock, arrivals) - taken)[settled]
            )
            if frame == 1e-3:
                goal, beside = "0.1 ms rms, 0.3 ms at most", f"{untimed}: the time of arrival"
                show_figure(f"line: error of a sample's time after 5 min, {rate:g} samples/s", told, goal, beside)
            line("no clock, steady rate", (run(SteadyTimer(rate), taken, taken, arrivals) - taken)[settled])


if __name__ == "__main__":
    main()
