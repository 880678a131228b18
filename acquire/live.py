"""Orders for a recorder: which devices, what to call them, and what begins by itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from acquire import acts, stages
from acquire.acts import Act
from acquire.journal import PROGRAM
from acquire.plan import RunPlan
from acquire.recorder_messages import RecorderOrder
from acquire.runfile.layout import RunHeader
from acquire.session import Session
from drivers.device_name import parse_device
from sim.device import OWN_PROFILE
from sim.scenario import load_scenario

SIMULATED = "sim:"
RECORDED = "recorded:"  # a run file whose traces are played again


def profiles_of(devices: Sequence[str]) -> dict[str, str]:
    """Device name -> profile name or path, for the header of the run file."""
    return {device_name(index, devices): _profile_of(text) for index, text in enumerate(devices)}


def _profile_of(device: str) -> str:
    if device.startswith(SIMULATED):
        return load_scenario(device[len(SIMULATED) :]).device.profile
    return OWN_PROFILE if device.startswith(RECORDED) else parse_device(device)[0]


def device_name(index: int, devices: Sequence[str]) -> str:
    """What the journal calls one of several devices."""
    return "device" if len(devices) == 1 else f"device {index + 1}"


def order_for(path: Path, devices: Sequence[str], plan: RunPlan, header: RunHeader, **how: Any) -> RecorderOrder:
    """What a recorder is told; `how` are further fields of `RecorderOrder`."""
    told = asdict(header)
    told.pop("start_time")  # is that of the first byte
    return RecorderOrder(str(path.resolve()), tuple(devices), plan.model_dump(mode="json"), told, **how)


def begin_by_itself(session: Session) -> None:
    """Leave the set-up once the first readings are there."""
    if session.run.stage == stages.SET_UP and session.run.blocks:
        session.act(Act(acts.BEGIN, PROGRAM))
