"""What pooling found in words, for the page and the window: findings of runs by name, why a bench stands out.

The texts are handed to the `tr` of whoever shows them.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from acquire.report.language import said

if TYPE_CHECKING:
    from analysis.pooling.benches import OutlyingBench


class Number(Protocol):
    """How a number is written: with so many decimals, with its sign where asked for."""

    def __call__(self, value: float, decimals: int, *, signed: bool = False) -> str: ...


#: Why a bench stands out.
REASONS = {
    "leak": said("a leak"),
    "air": said("the amount of air"),
    "thermometer": said("the thermometer"),
    "pressure sensor": said("the pressure sensor"),
    "liquid": said("another liquid"),
    "curve": said("no single fault"),
}

#: How the air was treated.
AIR = {"sealed": said("shut in"), "none": said("none"), "corrected": said("subtracted already")}

#: A finding of a run in as few words as a table holds.
FINDINGS = {
    "channels-swapped": said("channels swapped"),
    "pressure-unit": said("unit of the pressure"),
    "gauge-pressure": said("pressure not absolute"),
    "pressure-implausible": said("pressure of no room"),
    "temperature-unit": said("unit of the temperature"),
    "unknown-liquid": said("liquid not in the table"),
    "outside-reference": said("outside the table's range"),
    "humidity-not-given": said("humidity not given"),
    "plunger-not-given": said("plunger not given"),
    "vapour-not-ideal": said("vapour not ideal"),
    "scatter": said("points scatter"),
    "outlier-point": said("a point off the line"),
    "leak": said("leak"),
    "branches-differ": said("way back differs"),
    "curvature": said("line is curved"),
    "air-amount": said("amount of air"),
    "residual-air": said("air left over"),
    "liquid-exhausted": said("liquid used up"),
    "enthalpy-implausible": said("slope of no liquid"),
    "gas-let-out": said("gas let out"),
    "level-off-reference": said("vapour pressure off the reference"),
    "enthalpy-off-reference": said("value off the reference"),
    "input-pulled": said("an input pulled far"),
    "lag-too-long": said("plateaus too short"),
    "cell-not-conditioned": said("cell not soaked"),
    "not-saturated": said("not saturated"),
}

ADVICE = {
    "leak": said("Do the leak check with the cell closed and dry; look at the stopper and the tubing."),
    "air": said("Check volumes, plunger and humidity as entered; was the cell flushed or dried before closing?"),
    "thermometer": said("Read the probe in melting ice and beside another bench's probe."),
    "pressure sensor": said("Read the sensor beside a barometer with the valve open."),
    "liquid": said("Check the bottle; measure again with liquid of known origin."),
    "curve": said("Repeat the run on another bench with the same liquid to see which of the two moves."),
}


def why_words(one: OutlyingBench, tr: Callable[[str], str], number: Number) -> str:
    """What makes a bench stand out, from its scores."""
    scores = one.scores
    who = one.bench if one.bench.lower().startswith("bench") else tr("Bench {0}").format(one.bench)
    who = who[:1].upper() + who[1:]
    if one.reason == "leak":
        hours = 1.0 / (3600.0 * scores.leak_rate)
        words = tr("{0} loses air: its over-pressure falls to 37 % in about {1} h.")
        return words.format(who, number(hours, max(0, 1 - math.floor(math.log10(hours)))))
    if one.reason == "air":
        error = 100 * scores.air_error
        words = (
            tr("{0} has {1} % more air in the cell than its inputs say.")
            if error > 0
            else tr("{0} has {1} % less air in the cell than its inputs say.")
        )
        return words.format(who, number(abs(error), 1))
    if one.reason == "thermometer":
        return tr("{0} reads temperatures that put its points beside the curve of all others.").format(who)
    if one.reason == "pressure sensor":
        words = tr("{0} has a pressure sensor that does not agree with the others.").format(who)
        if math.isfinite(scores.room_difference):
            off = number(scores.room_difference / 1e3, 1, signed=True)
            words += " " + tr("Its room pressure is {0} kPa off the others'.").format(off)
        return words
    if one.reason == "liquid":
        times = number(max(1.0 + scores.shift[0], 0.02), 2)
        words = tr("{0} measured a vapour pressure {1} times that of the others; {2} would fit.")
        return words.format(who, times, tr(one.liquid))
    words = tr(
        "{0} lies {1} % in pressure and {2} kJ/mol from the curve of all others, and no single fault explains it."
    )
    off = number(100 * scores.shift[0], 1, signed=True)
    return words.format(who, off, number(scores.shift[1] / 1e3, 2, signed=True))


def decimals_of(interval_95: tuple[float, float], scale: float = 1.0) -> int:
    """How many decimals show the half-width of an interval, times `scale`, with two figures; two at least."""
    half = 0.5 * scale * (interval_95[1] - interval_95[0])
    return max(2, 1 - math.floor(math.log10(half))) if math.isfinite(half) and half > 1e-12 else 2
