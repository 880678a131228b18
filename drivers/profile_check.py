"""Whether a profile's sample lines mean what the profile says they mean."""

from __future__ import annotations

import math
import re

import numpy as np

from drivers.asking import make_dialogue
from drivers.blocks import BlockMaker, Table
from drivers.decoding import Decoded, make_decoder
from drivers.profile import DeviceProfile, Sample
from drivers.readings import Readings
from drivers.units import difference_to_si, from_si, parse_number_and_unit, to_si


def check_samples(profile: DeviceProfile) -> list[str]:
    """Decode every sample of a profile; one sentence for each that does not mean what it says.

    Samples say what the maker's manual says of them: a calibration, which is of one sensor, is left out.
    """
    bare = tuple(channel.model_copy(update={"calibration": None}) for channel in profile.channel)
    profile = profile.model_copy(update={"channel": bare})
    faults = []
    for number, sample in enumerate(profile.sample, start=1):
        found = _decoded(profile, sample)
        for complaint in _compare(found, sample.readings):
            faults.append(
                f"sample {number} ({sample.data()[:60]!r}): {complaint}; correct the sample or the conversion"
            )
    return faults


def _decoded(profile: DeviceProfile, sample: Sample) -> dict[str, float]:
    events = _answered(profile, sample) if profile.asks else _heard(profile, sample)
    return {event.channel: float(event.value[-1]) for event in events if isinstance(event, Readings)}


def _heard(profile: DeviceProfile, sample: Sample) -> list[Decoded]:
    decoder = make_decoder(profile)
    return decoder.feed(sample.data(), 0.0) + decoder.fell_silent()


def _answered(profile: DeviceProfile, sample: Sample) -> list[Readings]:
    dialogue = make_dialogue(profile)
    for question in dialogue.cycle():
        if sample.ask in ("", dialogue.name(question)):
            answer = dialogue.take(bytearray(sample.data()), question)
            if answer is None or not answer.values:
                return []
            row = tuple(answer.values.get(field) for field in profile.wire_fields)
            return BlockMaker(profile).make(Table.of([row]), np.zeros(1), np.zeros(1, dtype=np.uint8), 0.0)
    return []


def _compare(found: dict[str, float], expected: dict[str, str]) -> list[str]:
    complaints = [f"gives a {channel}; expected none" for channel in found if channel not in expected]
    for channel, text in expected.items():
        if channel not in found:
            complaints.append(f"gives no {channel}; expected {text}")
        elif text == "nan":
            if not math.isnan(found[channel]):
                complaints.append(f"{channel} is {found[channel]:g} in SI; expected no number")
        else:
            number, unit = parse_number_and_unit(text)
            if not abs(found[channel] - to_si(number, unit)) <= _half_digit(text, unit):
                complaints.append(f"{channel} is {from_si(found[channel], unit):.6g} {unit}; expected {text}")
    return complaints


def _half_digit(text: str, unit: str) -> float:
    """Half a unit of the last written digit, in SI, with room for binary rounding."""
    match = re.search(r"\d+(?:[.,](\d*))?(?:[eE]([+-]?\d+))?", text)
    decimals = len(match[1] or "") if match else 0
    exponent = int(match[2] or 0) if match else 0
    return difference_to_si(0.5 * 10.0 ** (exponent - decimals), unit) * (1 + 1e-6)
