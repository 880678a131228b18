"""The frozen picture of a session at one moment: all that a window or a terminal may know of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from acquire.journal import Entry
from acquire.record import Baseline, PointRecord


@dataclass(frozen=True)
class ChannelView:
    """One readout.  SI."""

    channel: str
    value: float  # latest good value, NaN when none yet  [K or Pa]
    silent: float  # [s] since the last good reading
    state: str  # "level" | "easing" | "moving" | "unknown"
    still_to_come: float  # remaining change, NaN when not forecast  [K or Pa]
    u_still_to_come: float
    level_in: tuple[float, float, float] | None  # [s] low, middle, high of the 90 % interval


@dataclass(frozen=True)
class StepView:
    """One line of the procedure."""

    key: str  # stage name, or "plateau-3"
    stage: str
    state: str  # "done" | "current" | "to do" | "skipped"
    target: float | None = None  # [K]
    detail: dict[str, float] = field(
        default_factory=dict
    )  # e.g. temperature, pressure of a baseline; seconds left of the soak


@dataclass(frozen=True)
class Instruction:
    """The next practical act for the person.

    `kind` is one of: wait, begin, take, close_valve, charge, warm, cool, vent, finish, none.
    """

    kind: str
    target: float | None = None  # [K] bath temperature aimed at
    water_volume: float | None = None  # [m3] to pour in
    water_temperature: float | None = None  # [K] of that water
    draw_off: float | None = None  # [m3] bath water to take out first
    seconds_left: float | None = None
    expected_pressure: float | None = None  # [Pa] total pressure at the target
    saturates_in: float | None = None  # [s] in which vapour fills a cell that nobody swirls, nearly


@dataclass(frozen=True)
class ProposalView:
    """A plateau offered to the person, or the one that is forming."""

    offered: bool  # False: still forming
    start: float  # [s]
    end: float  # [s]
    temperature: float  # [K]
    pressure: float  # [Pa]
    number: int  # the point it would become


@dataclass(frozen=True)
class CautionView:
    """A caution in force."""

    code: str
    severity: str  # "caution" | "warning"
    since: float  # [s]
    data: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class FileView:
    path: str
    readings: int
    gaps: int
    rejected: int
    rate: float  # readings per second and channel
    writing: bool
    trouble: str = ""  # sentence, when the file or the disk is in trouble


@dataclass(frozen=True)
class Snapshot:
    """Everything shown about a session; made by the session, never changed."""

    time: float  # [s]
    speed: float  # run seconds per real second
    title: str
    liquid: str
    stage: str
    steps: tuple[StepView, ...]
    instruction: Instruction
    channels: dict[str, ChannelView]
    gates: tuple[tuple[str, str], ...]  # (code, plain sentence) of the settling gates that fail now
    tolerance: float  # [K-equivalent] in force
    tolerance_reason: str
    drift: float  # [K/s] of the bath
    lag: float  # [K] probe minus liquid, NaN when unknown
    u_lag: float
    proposal: ProposalView | None
    baselines: tuple[Baseline, ...]
    points: tuple[PointRecord, ...]
    result: dict[str, Any] | None  # EnthalpyFit.as_dict() of the points taken so far
    refused: str  # why the latest fit gave no result; empty where none was tried
    refusal: dict[str, Any] | None  # its facts, for another language
    next_point_gain: (
        tuple[float, float] | None
    )  # (target K, half-width J/mol of the 95 % interval with one more point there)
    cautions: tuple[CautionView, ...]
    limit_temperature: float  # [K]
    limit_pressure: float  # [Pa] total
    devices: tuple[tuple[str, str, str], ...]  # (device, state "open"|"lost"|"closed", last notice)
    file: FileView
    journal_tail: tuple[Entry, ...]
    possible_acts: tuple[str, ...]  # names of the acts that are legal now
    can_undo: bool = False
    can_redo: bool = False
    #: Numbers of the plan that are shown, SI: cell_volume, charge_volume, bath_volume, ... as far as they are known.
    facts: dict[str, float] = field(default_factory=dict)
    replayed: bool = False  # a stored run plays again: work at the bench comes by itself
