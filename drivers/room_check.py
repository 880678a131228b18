"""The sensors against the room: plausible values, units, swapped channels, noise, resolution, rate, drift."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drivers.profile import Channel, DeviceProfile
from drivers.readings import CHANNEL_UNIT, Quality, Readings
from drivers.units import UNITS, difference_from_si, difference_to_si, from_si, quantity_of, to_si

Floats = NDArray[np.float64]

ROOM_TEMPERATURE = (278.15, 313.15)  # [K] 5 to 40 degC
ROOM_PRESSURE = (60e3, 110e3)  # [Pa] 4200 m to a deep valley under a strong high
#: ISO 2533 standard atmosphere: p = p0 (1 - h / 44331 m)^5.256.
STANDARD_PRESSURE = 101325.0  # [Pa]
SCALE_HEIGHT, EXPONENT = 44331.0, 5.2559
SEA_LEVEL = (95e3, 105e3)  # [Pa] lows and highs at the sea; common practice, no source
FEWEST = 20  # readings before noise and drift are spoken of
STUCK_AFTER = 10.0  # [s] without any change of the last digit, in a sensor that otherwise shows its noise
RATE_TOLERANCE = 0.1
TELLING_DRIFT = 0.1 / 60  # [K/s] a sensor in a room that moves more has not come to rest


@dataclass(frozen=True)
class CheckResult:
    """One thing found. `severity`: "good", "note" or "bad"; `value` is in SI where there is one."""

    code: str
    severity: str
    channel: str
    text: str
    advice: str = ""
    value: float | None = None


@dataclass(frozen=True)
class Gathered:
    """The readings of one channel put together."""

    channel: Channel
    time: Floats
    value: Floats
    quality: NDArray[np.uint8]

    @property
    def good(self) -> NDArray[np.bool_]:
        """Readings with a number; one outside the plausible range counts, since the range may be what is wrong."""
        return np.isfinite(self.value)


def gather(channel: Channel, events: Iterable[object]) -> Gathered:
    """Put the blocks of one channel together."""
    blocks = [event for event in events if isinstance(event, Readings) and event.channel == channel.channel]
    if not blocks:
        return Gathered(channel, np.zeros(0), np.zeros(0), np.zeros(0, dtype=np.uint8))
    return Gathered(
        channel,
        np.concatenate([block.time for block in blocks]),
        np.concatenate([block.value for block in blocks]),
        np.concatenate([block.quality for block in blocks]),
    )


def check_room(
    profile: DeviceProfile, events: Sequence[object], *, barometer: float | None = None
) -> list[CheckResult]:
    """Check every channel of a device that stands in the room, valve open.

    Parameters
    ----------
    profile
        What the device is said to be.
    events
        What its source gave: readings and notices.
    barometer
        The air pressure by another instrument, where one is at hand.  [Pa]
    """
    results: list[CheckResult] = []
    gathered = [gather(channel, events) for channel in profile.channel]
    for one in gathered:
        results += _presence(one)
        if np.any(one.good):
            results += _level(one, barometer)
            results += _noise(one)
            results += _rate(one, profile.rate)
    return _swapped(gathered) + results + _protection(profile)


def _protection(profile: DeviceProfile) -> list[CheckResult]:
    if profile.protected:
        return []
    text = "unprotected: the device sends no checksum, so a spoilt digit cannot be told from a reading"
    advice = "where the device's program is yours, let it send one, as profile text-with-checksum expects"
    return [CheckResult("unprotected", "note", "", text, "" if profile.asks else advice)]


def _result(
    one: Gathered, code: str, severity: str, text: str, advice: str = "", value: float | None = None
) -> CheckResult:
    return CheckResult(code, severity, one.channel.channel, text, advice, value)


def _presence(one: Gathered) -> list[CheckResult]:
    name, total = one.channel.channel, len(one.time)
    if total == 0:
        advice = "check that the device is on and that the profile names the right field"
        return [_result(one, "no_readings", "bad", f"no reading of {name} arrived; expected some", advice)]
    missing = int(np.sum(~one.good))
    if missing:
        text = f"{missing} of {total} readings of {name} say that there is no value; expected a number each time"
        return [
            _result(one, "no_value", "bad" if missing > total / 2 else "note", text, "check the sensor's plug and wire")
        ]
    return []


def _limits(one: Gathered) -> tuple[float, float]:
    return ROOM_TEMPERATURE if CHANNEL_UNIT[one.channel.channel] == "K" else ROOM_PRESSURE


def _shown(one: Gathered, value: float) -> str:
    return f"{from_si(value, one.channel.unit):.5g} {one.channel.unit}"


def _level(one: Gathered, barometer: float | None) -> list[CheckResult]:
    level = float(np.median(one.value[one.good]))
    low, high = _limits(one)
    name = one.channel.channel
    if not low <= level <= high:
        suspected = suspected_unit(level, one.channel.unit, (low, high))
        text = f"{name} is {_shown(one, level)}; expected {_shown(one, low)} to {_shown(one, high)} in a room"
        advice = "check sensor, conversion and profile"
        if suspected:
            advice = f"the number fits {suspected}: if the device sends {suspected}, say so in the profile's unit"
        return [_result(one, "not_of_a_room", "bad", text, advice, level)]
    results = [_result(one, "of_a_room", "good", f"{name} is {_shown(one, level)}, as a room has", value=level)]
    if CHANNEL_UNIT[name] == "Pa":
        results.append(_altitude(one, level))
        if barometer is not None:
            results.append(_against(one, level, barometer))
    return results


def _altitude(one: Gathered, level: float) -> CheckResult:
    height = SCALE_HEIGHT * (1 - (level / STANDARD_PRESSURE) ** (1 / EXPONENT))
    text = f"that is the standard atmosphere's pressure at {height:.0f} m"
    if SEA_LEVEL[0] <= level <= SEA_LEVEL[1]:
        return _result(
            one, "altitude", "good", f"{text}: plausible near the sea; weather moves it by some 300 m", value=height
        )
    advice = "if the room is not so high, compare with a barometer (its station pressure, not reduced to sea level)"
    return _result(one, "altitude", "note", text, advice, height)


def _against(one: Gathered, level: float, barometer: float) -> CheckResult:
    difference = level - barometer
    allowed = 2 * difference_to_si(one.channel.uncertainty, one.channel.unit) if one.channel.uncertainty else 1e3
    text = f"{one.channel.channel} is {_shown(one, level)}; the barometer says {_shown(one, barometer)}"
    if abs(difference) <= allowed:
        return _result(one, "barometer", "good", f"{text}: they agree", value=difference)
    advice = f"a correction of {-difference:.0f} Pa would bring them together; see calibration in the profile"
    return _result(one, "barometer", "bad", text, advice, difference)


def suspected_unit(level: float, unit: str, limits: tuple[float, float]) -> str:
    """The unit in which a number would be plausible, when it is not in the profile's; empty where none is.

    Parameters
    ----------
    level
        The value as the profile has it.  [SI]
    unit
        The profile's unit.
    limits
        What would be plausible.  [SI]
    """
    number = from_si(level, unit)
    fitting = [
        symbol
        for symbol, known in UNITS.items()
        if known.quantity == quantity_of(unit) and symbol != unit and limits[0] <= to_si(number, symbol) <= limits[1]
    ]
    return " or ".join(fitting[:2])


def _swapped(gathered: Sequence[Gathered]) -> list[CheckResult]:
    """Whether a temperature and a pressure are each plausible as the other."""
    by_name = {one.channel.channel: one for one in gathered if np.any(one.good)}
    if not {"temperature", "pressure"} <= by_name.keys():
        return []
    hot, high = by_name["temperature"], by_name["pressure"]
    number_t = from_si(float(np.median(hot.value[hot.good])), hot.channel.unit)
    number_p = from_si(float(np.median(high.value[high.good])), high.channel.unit)
    as_pressure, as_temperature = to_si(number_t, high.channel.unit), to_si(number_p, hot.channel.unit)
    if (
        ROOM_PRESSURE[0] <= as_pressure <= ROOM_PRESSURE[1]
        and ROOM_TEMPERATURE[0] <= as_temperature <= ROOM_TEMPERATURE[1]
    ):
        text = f"temperature reads {number_t:.5g} and pressure {number_p:.5g}: each would suit the other"
        return [_result(hot, "swapped", "bad", text, "exchange the two fields in the profile")]
    return []


def _noise(one: Gathered) -> list[CheckResult]:
    value, time = one.value[one.good], one.time[one.good]
    if len(value) < FEWEST:
        return []
    unit, name = one.channel.unit, one.channel.channel
    steps = np.abs(np.diff(value))
    moving = steps[steps > 0]
    if not len(moving):
        span = float(time[-1] - time[0])
        if span < STUCK_AFTER:
            return []
        text = f"{name} has not changed by its last digit in {span:.0f} s; expected some noise"
        return [_result(one, "stuck", "bad", text, "touch the sensor: if nothing moves, it or its wire is dead")]
    resolution = float(np.min(moving[moving > 1e-9 * np.max(np.abs(value))], initial=math.inf))
    noise = float(np.sqrt(np.mean(np.diff(value) ** 2) / 2))
    results = [
        _result(
            one,
            "noise",
            "good",
            f"noise {_small(noise, unit)}, smallest step {_small(resolution, unit)}",
            value=noise,
        )
    ]
    stated = one.channel.resolution
    if stated is not None and resolution > 1.5 * difference_to_si(stated, unit):
        text = f"the smallest step of {name} is {_small(resolution, unit)}; the profile says {stated:g} {unit}"
        results.append(
            _result(
                one, "resolution", "note", text, "correct the profile, or set the device to more digits", resolution
            )
        )
    return results + _drift(one, time, value, noise)


def _small(difference: float, unit: str) -> str:
    return f"{difference_from_si(difference, unit):.2g} {unit}"


def _drift(one: Gathered, time: Floats, value: Floats, noise: float) -> list[CheckResult]:
    slope, u_slope = line_slope(time, value, noise)
    if CHANNEL_UNIT[one.channel.channel] != "K" or abs(slope) < max(TELLING_DRIFT, 3 * u_slope):
        return []
    text = f"{one.channel.channel} moves by {_small(60 * slope, one.channel.unit)} a minute"
    return [_result(one, "drift", "note", text, "let the sensor come to the room's temperature and check again", slope)]


def line_slope(time: Floats, value: Floats, noise: float) -> tuple[float, float]:
    """Least-squares slope and its standard uncertainty for independent noise."""
    away = time - np.mean(time)
    spread = float(np.sum(away**2))
    if spread == 0:
        return 0.0, math.inf
    return float(np.sum(away * value) / spread), noise / math.sqrt(spread)


def _rate(one: Gathered, stated: float | None) -> list[CheckResult]:
    if len(one.time) < FEWEST or one.time[-1] <= one.time[0]:
        return []
    rate = (len(one.time) - 1) / float(one.time[-1] - one.time[0])
    gaps = int(np.sum((one.quality & Quality.AFTER_GAP) != 0))
    text = f"{rate:.3g} readings of {one.channel.channel} a second" + (f", {gaps} gaps" if gaps else "")
    if stated is not None and abs(rate / stated - 1) > RATE_TOLERANCE:
        advice = "correct the profile's rate, or look for lost lines"
        return [_result(one, "rate", "note", f"{text}; the profile says {stated:g}", advice, rate)]
    return [_result(one, "rate", "good", text, value=rate)]
