"""What the start page offers and says; what it needs from the machine is asked of `StartServices`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from acquire.window.language import said, tr
from acquire.window.quantities import number

if TYPE_CHECKING:
    from acquire.report.debrief_content import DebriefContent
    from acquire.window.run_link import Recorder

SIMULATED, FOUND = "simulated", "found"
SPEEDS = (1.0, 10.0, 60.0)  # run seconds a second that a simulated bench is offered at

SIGNS = {"good": "✓", "mind": "!", "bad": "✕", "unknown": "?"}


class StartRefused(Exception):
    """A run could not be opened; the sentence says what was found, what was expected and the way out."""


@dataclass(frozen=True)
class DeviceChoice:
    """One device that can be chosen; `text` is its PROFILE@PORT, without profile where that is still to be told."""

    text: str
    label: str
    detail: str
    kind: str  # SIMULATED | FOUND
    trouble: str = ""  # why it cannot be opened, with the way out


@dataclass(frozen=True)
class StartChoice:
    """What the person chose."""

    devices: tuple[str, ...]
    liquid: str
    plan: str = ""  # path of a run plan, empty for the defaults
    speed: float = 1.0  # of a simulated bench
    rejoin: str = ""  # run file of a run that is being recorded already


@dataclass(frozen=True)
class Check:
    """One thing that was looked at before a run."""

    name: str
    outcome: str  # key of SIGNS
    found: str
    way_out: str = ""


@dataclass(frozen=True)
class HeardDevice:
    """What listening to an unknown device gave: a profile to use, or none, and a sentence in either case."""

    profile: str
    told: str


@dataclass(frozen=True)
class Finished:
    """What was left behind by a run that was closed."""

    trouble: str = ""  # what is wrong with the file, as a sentence
    path: str = ""
    report: str = ""  # path of the report, empty where none could be written
    going_on: bool = False  # the window is gone, the recorder is not
    debrief: DebriefContent | None = None  # of a rehearsal, to be shown when it ends


@dataclass(frozen=True)
class Opened:
    """A run that is being recorded.

    `finish` closes devices, run and file and writes the report; it is called once, on a thread of its own.
    `rejoin` finds a recorder in another process again; None where the run is recorded in this one.
    """

    session: Recorder
    finish: Callable[[], Finished]
    path: str = ""
    rejoin: Callable[[], Recorder] | None = None


class Elsewhere(Protocol):
    """Another window of the program, opened beside the start page."""

    def trouble(self) -> str | None:
        """None while it is open; then why it ended, empty where all was well."""


class StartServices(Protocol):
    """The machine as the start page needs it."""

    def devices(self) -> tuple[DeviceChoice, ...]:
        """Ports that are present, then simulated benches, the one to begin with first."""

    def profiles(self) -> tuple[str, ...]:
        """Names of the device profiles."""

    def liquids(self) -> tuple[str, ...]:
        """Names of the liquids that are known."""

    def liquid_of(self, device: str) -> str:
        """The liquid of a simulated bench; empty for a real device."""

    def listen(self, port: str) -> HeardDevice:
        """Listen to a device that sends by itself, for some seconds, and keep a profile proposed for it."""

    def checks(self, choice: StartChoice) -> tuple[Check, ...]:
        """What can be looked at without opening anything."""

    def runs_folder(self) -> str:
        """Where runs are looked for first."""

    def elsewhere(self, what: str, path: str) -> Elsewhere:
        """Open another window: a stored "run", a "folder" of runs, or "points" to type in."""

    def open(self, choice: StartChoice) -> Opened:
        """Open devices and run file.

        Raises
        ------
        StartRefused
        """


@dataclass(frozen=True)
class CheckRow:
    sign: str
    text: str
    way_out: str
    outcome: str


@dataclass(frozen=True)
class StartState:
    checks: tuple[CheckRow, ...]
    can_start: bool
    why_not: str
    needs_profile: bool
    simulated: bool
    fixed_liquid: str  # of a simulated bench, which cannot be given another


def is_simulated(device: str) -> bool:
    """Whether no real bench is behind it: a scenario, or a stored run that is played again."""
    return device.startswith(("sim:", "recorded:"))


def start_state(choice: StartChoice, checks: tuple[Check, ...], *, understood: bool, fixed_liquid: str) -> StartState:
    """The page for this choice.

    Parameters
    ----------
    understood
        The cautions were confirmed, now or on an earlier day.
    """
    device = choice.devices[0] if choice.devices else ""
    simulated = is_simulated(device)
    needs_profile = bool(device) and not simulated and "@" not in device
    bad = [check for check in checks if check.outcome == "bad"]
    if not device:
        why_not = tr("Choose a device, or the simulated bench.")
    elif needs_profile:
        why_not = tr("Say how this device speaks: choose its profile.")
    elif not understood:
        why_not = tr("Confirm the cautions first; once is enough.")
    elif bad:
        why_not = f"{bad[0].name}: {bad[0].found}"
    else:
        why_not = ""
    rows = tuple(
        CheckRow(SIGNS[check.outcome], f"{check.name}: {check.found}", check.way_out, check.outcome) for check in checks
    )
    return StartState(rows, not why_not, why_not, needs_profile, simulated, fixed_liquid)


def speed_text(speed: float) -> str:
    return tr("real time") if speed == 1 else tr("{0} times real time").format(number(speed, 0))


CAUTIONS = (
    said("satline controls nothing and is not a safety device."),
    said("It does not know what your cell, stopper and tubing withstand."),
    said("Eye protection on; no flames or sparks; warm with water only; the room aired; the glass looked over."),
    said("The safety data sheet of the liquid, your local rules and the person in charge decide."),
)
