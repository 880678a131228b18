"""Calibration against a reference: a straight line of corrections with its uncertainty, kept in the profile."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from drivers.conversion_spec import Calibration
from drivers.errors import DriverError
from drivers.tomllines import key_lines


class CalibrationError(DriverError):
    """The pairs do not determine a correction."""


@dataclass(frozen=True)
class CalibrationFit:
    """Corrections b = y1 + y2 (t - t0) fitted to pairs of shown and reference values.

    Attributes
    ----------
    calibration
        The same line about the mean of the shown values, where offset and slope are uncorrelated.
    scatter
        Standard deviation of the residuals; NaN with two points.  [unit of the values]
    dof
        Degrees of freedom, n - 2; 0 with two points, where only the reference's uncertainty counts.
    """

    calibration: Calibration
    scatter: float
    dof: int
    u_reference: float

    def correction(self, shown: float) -> tuple[float, float]:
        """The correction at a shown value and its standard uncertainty. GUM H.3.4, equation H.15."""
        away = shown - self.calibration.centre
        value = self.calibration.offset + (self.calibration.gain - 1) * away
        return value, math.hypot(self.calibration.u_offset, self.calibration.u_gain * away)

    def about(self, origin: float) -> tuple[float, float, float, float, float]:
        """(y1, y2, u(y1), u(y2), r) of the line written about another origin t0. GUM H.3.2, equations H.12."""
        y1, u1 = self.correction(origin)
        slope, u2 = self.calibration.gain - 1, self.calibration.u_gain
        away = origin - self.calibration.centre
        correlation = away * u2 / u1 if u1 > 0 else 0.0
        return y1, slope, u1, u2, correlation


def fit_calibration(
    shown: Sequence[float],
    reference: Sequence[float],
    *,
    u_reference: float = 0.0,
    date: str = "",
    name: str = "",
) -> CalibrationFit:
    """Fit the corrections reference - shown by a straight line of equal, unknown scatter.

    Parameters
    ----------
    shown, reference
        What the device showed and what the reference said, in the channel's unit, two pairs or more.
    u_reference
        Standard uncertainty that all reference values share.  [the channel's unit]
    date, name
        When, and against what: kept with the result.

    Raises
    ------
    CalibrationError
        For fewer than two different values, or two without an uncertainty of the reference.

    References
    ----------
    JCGM 100:2008 (GUM), H.3, whose example is the test of this function.
    """
    x, y = np.asarray(shown, dtype=np.float64), np.asarray(reference, dtype=np.float64)
    if x.shape != y.shape or x.ndim != 1 or not np.all(np.isfinite(x) & np.isfinite(y)):
        raise CalibrationError(
            f"found {x.size} shown and {y.size} reference values; expected as many finite ones of each"
        )
    if len(x) < 2 or np.ptp(x) == 0:
        raise CalibrationError(f"found {len(set(x.tolist()))} different value; expected two or more, well apart")
    if len(x) == 2 and u_reference <= 0:
        raise CalibrationError(
            "two points fit any line, so their scatter says nothing; expected the reference's standard uncertainty, "
            "or three points and more"
        )
    centre = math.fsum(x) / len(x)
    away = x - centre
    correction = y - x
    spread = math.fsum(away**2)
    slope = math.fsum(away * correction) / spread
    offset = math.fsum(correction) / len(x)
    dof = len(x) - 2
    scatter = math.sqrt(math.fsum((correction - offset - slope * away) ** 2) / dof) if dof else math.nan
    # With two points each carries the reference's uncertainty; it is taken as independent between them for the slope.
    sigma = scatter if dof else u_reference
    u_offset = math.hypot(sigma / math.sqrt(len(x)), u_reference) if dof else u_reference
    calibration = Calibration(
        offset=offset,
        gain=1 + slope,
        centre=centre,
        u_offset=u_offset,
        u_gain=sigma / math.sqrt(spread),
        date=date,
        reference=name,
        points=tuple(zip(x.tolist(), y.tolist(), strict=True)),
    )
    return CalibrationFit(calibration, scatter, dof, u_reference)


def with_calibration(profile_text: str, channel: str, calibration: Calibration) -> str:
    """The text of a profile with the calibration of one channel put in or replaced; everything else stays as it is.

    Raises
    ------
    CalibrationError
        Where the profile has no such channel, or keeps its calibration inline.
    """
    lines = profile_text.splitlines()
    places = key_lines(profile_text)
    start = _channel_line(lines, places, channel)
    end = next((n for n in range(start, len(lines)) if _opens_other(lines[n])), len(lines))
    block = _without_table(lines[start - 1 : end], "[channel.calibration]")
    if any(line.lstrip().startswith("calibration") for line in block):
        raise CalibrationError(
            f"channel {channel!r} keeps its calibration on one line; expected a table [channel.calibration]; "
            "remove that line first"
        )
    while block and not block[-1].strip():
        block.pop()
    table = ["", "[channel.calibration]", *_entries(calibration), ""]
    return "\n".join([*lines[: start - 1], *block, *table, *lines[end:]]).rstrip("\n") + "\n"


def _channel_line(lines: list[str], places: dict[tuple[str | int, ...], int], channel: str) -> int:
    number = 0
    while ("channel", number) in places:
        line = places.get(("channel", number, "channel"), 0)
        if line and json.dumps(channel) in lines[line - 1].replace("'", '"'):
            return places["channel", number]
        number += 1
    raise CalibrationError(f"the profile has no channel {channel!r}; expected one of its [[channel]] tables")


def _opens_other(line: str) -> bool:
    text = line.strip()
    return text.startswith("[") and not text.startswith("[channel.")


def _without_table(lines: list[str], header: str) -> list[str]:
    kept, inside = [], False
    for line in lines:
        if line.strip().startswith("["):
            inside = line.strip() == header
        if not inside:
            kept.append(line)
    return kept


def _entries(calibration: Calibration) -> list[str]:
    values = calibration.model_dump(exclude_defaults=True)
    return [f"{key} = {json.dumps(value)}" for key, value in values.items()]
