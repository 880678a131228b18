"""Everything that stands against a plateau, each in one plain sentence."""

from __future__ import annotations

import math

import numpy as np

from analysis.settling.drift import Drift, residual_of
from analysis.settling.noise import NoiseTracker
from analysis.settling.records import ChannelState, Gate, State
from analysis.settling.settings import SettlingSettings
from analysis.settling.trail import P_RAW, T_RAW, Array
from analysis.settling.views import PressureView, Tolerance

#: Readings outside these are not those of a cell in a bath.  [K, Pa]
PLAUSIBLE = {"temperature": (220.0, 480.0), "pressure": (100.0, 2.0e6)}
#: A channel without a single change for this long is looked at.  [s]
STILL = 60
#: A sensor that has changed less often than this may as well be stuck.
FEW_CHANGES = 4
#: Mixing and probe are done so long after a change: from then on the bath has to follow a straight line.  [s]
TRANSIENT_GONE = 200
#: Means of 20 s that leave a steady drift by more than this share of the tolerance (and their own noise) show a cycle.
#: Where a pair is taken while the pressure still moves a turning bath has no other sign: there it is less.
UNEVEN, UNEVEN_EASING = 0.35, 0.2
#: A leak is spoken of when it is this likely; earlier only where nothing else keeps a point from being taken.
SURE = 0.95
#: A channel without a reading for this long is silent.  [s]
SILENT = 5


def sensor_gates(
    recent: Array, channels: tuple[str, ...], noises: dict[str, NoiseTracker], changes: dict[str, int]
) -> list[Gate]:
    """Silent, stuck or implausible readings.

    Parameters
    ----------
    recent : array
        The last minute or so of the trail, shape (rows, n).
    changes : dict
        How often each channel has changed from block to block so far.
    """
    gates = []
    for name, row in (("temperature", T_RAW), ("pressure", P_RAW)):
        if name not in channels:
            continue
        values = recent[row]
        good = values[np.isfinite(values)]
        if not np.isfinite(values[-SILENT:]).any():
            gates.append(Gate(f"{name}_silent", f"no {name} readings for {SILENT} s: check the device and its cable"))
            continue
        low, high = PLAUSIBLE[name]
        if not low <= good[-1] <= high:
            gates.append(
                Gate(
                    f"{name}_implausible",
                    f"the {name} reads {good[-1]:g} {'K' if name == 'temperature' else 'Pa'}, which no cell in a bath "
                    "does: are the channels swapped, or the units wrong?",
                )
            )
        elif len(good) >= STILL and np.ptp(good[-STILL:]) == 0.0:
            noise = noises[name]
            # With dithering noise an unchanged code for a minute is next to impossible; of a sensor that has hardly
            # ever changed nothing is known at all.
            if changes[name] < FEW_CHANGES or (math.isfinite(noise.sd) and noise.sd > 0.35 * max(noise.quantum, 1e-9)):
                gates.append(
                    Gate(f"{name}_stuck", f"the {name} has not changed at all for {STILL} s: is the sensor stuck?")
                )
    return gates


def temperature_gates(
    drift: Drift | None,
    window: Array,
    since: int,
    tolerance: float,
    state: ChannelState,
    noise: NoiseTracker,
    settings: SettlingSettings,
    easing: bool,
    told: bool,
) -> list[Gate]:
    """Bath being heated, still moving, or not on a steady drift.

    Parameters
    ----------
    window : array
        Good temperatures of the last `straight_window`, not reaching into the transient.
    easing : bool
        Whether a point would be taken while the pressure still moves.
    told : bool
        Whether somebody said that bath or cell were changed: else half a cycle may have passed for a change.
    """
    if drift is None or since < settings.least_wait:
        return [Gate("too_short", f"{since} s since the last change; at least {settings.least_wait:.0f} s are needed")]
    if abs(drift.slope) > settings.max_drift:
        word = "heated" if drift.slope > 0 else "cooled"
        return [Gate("bath_moving", f"bath is still being {word}: {drift.slope * 60.0:+.2f} K/min")]
    gates = []
    if state.state is not State.LEVEL:
        gates.append(Gate("temperature_moving", f"temperature still has {drift.remaining:+.2f} K to come"))
    if easing and not told and len(window) < settings.straight_window:
        wait = settings.straight_window - len(window)
        gates.append(Gate("too_short", f"{wait:.0f} s more are needed to see that the bath does not cycle"))
    rest = residual_of(window, transient=since < TRANSIENT_GONE)
    if rest is not None:
        groups = rest[len(rest) % 20 :].reshape(-1, 20)
        count = np.isfinite(groups).sum(axis=1)
        sums = np.where(np.isfinite(groups), groups, 0.0).sum(axis=1)
        leave = float(np.max(np.abs(sums / np.maximum(count, 1)) * (count >= 8), initial=0.0))
        if leave > (UNEVEN_EASING if easing else UNEVEN) * tolerance + 2.5 * noise.u_mean(20):
            gates.append(
                Gate(
                    "bath_uneven", f"bath temperature leaves a steady drift by {leave:.2f} K: is it cycling or warmed?"
                )
            )
    return gates


def pressure_gates(
    view: PressureView | None,
    tolerance: Tolerance,
    off_course: tuple[float, float],
    leak: tuple[float, float, float],
    settings: SettlingSettings,
    masked: bool,
) -> list[Gate]:
    """Pressure still moving, leaking, disturbed, or not following the model.

    Parameters
    ----------
    off_course : (float, float)
        How far the pressure is off the course that the temperature explains, and its sd.  [K-equivalents]
    leak : (probability, slope, u)
        Of the leak hypotheses; slope in K-equivalents per second.
    """
    gates = []
    if masked:
        gates.append(Gate("pressure_disturbed", "pressure was disturbed: waiting until it is back on its course"))
    if view is None:
        return [*gates, Gate("pressure_unknown", "too few pressure readings to say")]
    if tolerance.hopeless:
        gates.append(Gate("too_coarse", tolerance.reason.replace("so that is the tolerance", "too little for a point")))
    if not view.passed:
        gates.append(
            Gate(
                "pressure_moving",
                f"pressure still has {view.remaining * view.beta / 1000.0:+.2f} kPa to come "
                f"(± {1.96 * view.u_remaining * view.beta / 1000.0:.2f} kPa)",
            )
        )
    probability, slope, _ = leak
    likely = settings.leak_probability if view.passed else max(settings.leak_probability, SURE)
    if probability > likely and abs(slope) > settings.leak_rate:
        word = "falls" if slope < 0 else "rises"
        gates.append(
            Gate(
                "leak",
                f"pressure {word} by {abs(slope) * view.beta * 60.0 / 1000.0:.2f} kPa/min and temperature does not "
                "explain it: leak?",
            )
        )
    if abs(off_course[0]) > 0.5 * tolerance.value + off_course[1]:
        gates.append(Gate("pressure_unexplained", "pressure is off the course that the temperature explains"))
    return gates
