"""Takes the points of a simulated run: a fixed time after each change of the bath, or when they have settled."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from acquire.fitting import slopes_of_cell
from acquire.pool.study_plan import WINDOW
from acquire.record import Baseline
from analysis.fit_input import MAX_U_TEMPERATURE, FitPoint
from analysis.liquids import Liquid
from analysis.plateau import PlateauInputError, plateau_point
from analysis.settling import Block, Judge

Floats = NDArray[np.float64]

QUANTUM = (0.01, 10.0)  # [K], [Pa] steps of the simulated sensors
#: How far the vapour of a swirled flask usually is behind its bath: what is left uncorrected by who only waits.  [s]
USUAL_LAG = 80.0  # common practice, no source


@dataclass(frozen=True)
class Trace:
    """One run's readings, one a second; `charge` and then one change of the bath after the other.  [s], [K], [Pa]"""

    time: Floats
    temperature: Floats
    pressure: Floats
    starts: Sequence[float]  # the charge first, then each pour
    hold: float
    returns: bool  # the last is the return point


def waited_points(trace: Trace, wait: float, u: tuple[float, float]) -> tuple[list[FitPoint], float]:
    """Means of `WINDOW` seconds at a fixed time after each change, and the time the run took.  [s]

    Nothing is corrected for lag; the bath's drift while the point is read says how uncertain that leaves it.
    """
    points = []
    for number, start in enumerate(trace.starts):
        a = int(start + wait)
        window = slice(a, a + WINDOW)
        drift = float(np.polyfit(trace.time[window], trace.temperature[window], 1)[0])
        points.append(
            FitPoint(
                float(trace.temperature[window].mean()),
                float(trace.pressure[window].mean()),
                *u,
                time=a + WINDOW / 2,
                branch=_branch(trace, number),
                u_lag=min(abs(drift) * USUAL_LAG, MAX_U_TEMPERATURE),
            )
        )
    return points, trace.starts[0] + len(points) * (wait + WINDOW)


def settled_points(
    trace: Trace, sealed: Baseline, liquid: Liquid | None, cell_volume: float, charge: float
) -> tuple[list[FitPoint], float]:
    """The first plateau after each change, corrected for its lag, as a run takes them; and the time it took.

    Where nothing has settled by the end of the hold, the last seconds are taken anyway.  Volumes in m3.
    """
    judge = Judge()
    judge.cell_closed(0.0)
    judge.set_beta(*slopes_of_cell(liquid, sealed, cell_volume, charge))
    changes = {int(start): number for number, start in enumerate(trace.starts)}
    blocks: list[Block] = []
    points: list[FitPoint] = []
    taken, number, start, seconds = True, -1, 0.0, trace.starts[0]
    for i, (t, temperature, pressure) in enumerate(zip(trace.time, trace.temperature, trace.pressure, strict=True)):
        if i in changes:
            number, start, taken = changes[i], float(t), False
            (judge.charged if number == 0 else judge.step)(float(t))
        blocks.append(Block(i, float(t), float(temperature), float(pressure), 2, 2, *QUANTUM))
        judgement = judge.update(blocks[-1])
        late = t - start >= trace.hold - 2
        if taken or not (judgement.ready or late):
            continue
        taken = True
        window = judgement.window if judgement.ready else (float(t) - WINDOW, float(t))
        try:
            point = plateau_point(blocks[-600:], judgement, window=window)
        except PlateauInputError:
            continue
        seconds += float(t) - start
        points.append(_fit_point(point, _branch(trace, number)))
    return points, seconds


def _fit_point(point, branch: str) -> FitPoint:
    known = math.isfinite(point.lag) and math.isfinite(point.u_lag)
    temperature = point.temperature_corrected if known else point.temperature
    u = point.u_temperature_corrected if known else point.u_temperature
    alone = math.sqrt(max(u**2 - (point.u_lag if known else 0.0) ** 2, 1e-8))
    return FitPoint(
        temperature=temperature,
        pressure=point.pressure,
        u_temperature=alone,
        u_pressure=point.u_pressure,
        correlation=point.correlation if math.isfinite(point.correlation) else 0.0,
        time=0.5 * (point.window[0] + point.window[1]),
        branch=branch,
        lag=point.lag if known else 0.0,
        u_lag=point.u_lag if known else 0.0,
    )


def _branch(trace: Trace, number: int) -> str:
    return "return" if trace.returns and number == len(trace.starts) - 1 else "up"
