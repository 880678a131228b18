"""What the window asks of this machine: devices, liquids, checks, and opening a run on real or simulated devices."""

from __future__ import annotations

import os
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from acquire.window.borrowed import error_text, file_text, port_text
from acquire.window.language import current_language, tr
from acquire.window.port_words import heard_text, port_sentences, port_words
from acquire.window.quantities import number
from acquire.window.start_state import (
    FOUND,
    SIMULATED,
    Check,
    DeviceChoice,
    Finished,
    HeardDevice,
    Opened,
    StartChoice,
    StartRefused,
    is_simulated,
)

# What takes long to import is imported where it is used: the window must be on screen first.
if TYPE_CHECKING:
    from acquire.commands.other_window import OtherWindow
    from acquire.plan import RunPlan
    from drivers.ports import PortReport

ROOM_FOR_A_RUN = 200e6  # [bytes] a day at 10 Hz with its journal takes a tenth of that
FIRST = "calm"  # the scenario that is offered first
LISTEN_FOR = 3.0  # [s] at each rate; a probe that sends once a second is heard three times


@dataclass
class MachineServices:
    """This machine as the window needs it; see `acquire.window.start_state.StartServices`.

    Parameters
    ----------
    out
        The run file; a new name in `satline-runs` where not given.
    seed
        Of a simulated bench.
    operated
        Whether the scripted operator works at a simulated bench, and plateaus are taken by themselves.
    automatic
        Whether plateaus are taken by themselves; as the plan says where not given.
    report
        Whether a report is written when the run is closed.
    """

    out: str | None = None
    seed: int = 0
    operated: bool = False
    automatic: bool | None = None
    report: bool = True

    def devices(self) -> tuple[DeviceChoice, ...]:
        from drivers.ports import list_port_reports
        from drivers.profile import list_profiles
        from sim.scenario import list_scenarios

        scenarios = sorted(list_scenarios(), key=lambda scenario: scenario.name != FIRST)
        simulated = [
            DeviceChoice(
                f"sim:{one.name}", tr("Simulated bench: {0}").format(tr(one.title)), tr(one.summary), SIMULATED
            )
            for one in scenarios
        ]
        # Ports first: among many scenarios they would not be seen.
        return (*(_port_choice(report) for report in list_port_reports(list_profiles())), *simulated)

    def profiles(self) -> tuple[str, ...]:
        from drivers.profile import list_profiles

        return tuple(profile.name for profile in list_profiles())

    def liquids(self) -> tuple[str, ...]:
        from analysis.liquids import list_liquids

        names = [liquid.name for liquid in list_liquids()]
        return (*(name for name in ("n-heptane",) if name in names), *(n for n in names if n != "n-heptane"), "unknown")

    def liquid_of(self, device: str) -> str:
        if not is_simulated(device):
            return ""
        from acquire.rehearsal_plan import own_plan

        return own_plan(device).liquid

    def listen(self, port: str) -> HeardDevice:
        from acquire.clocks import RunClock
        from drivers.errors import DriverError
        from drivers.listen import listen, propose_profile
        from drivers.profile import user_folder

        name = _free_profile_name(user_folder(), port)
        try:
            heard = listen(port, now=RunClock(), seconds=LISTEN_FOR)
            text = propose_profile(heard, name)
            path = user_folder() / f"{name}.toml"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        except (DriverError, OSError) as error:
            return HeardDevice("", error_text(error))
        fields = [heard_text(column.role, column.unit) for column in heard.columns if column.unit]
        return HeardDevice(name, tr("Heard {0} at {1} baud; kept as profile {2}.").format(
            ", ".join(fields) or tr("a device"), heard.baud, name
        ))  # fmt: skip

    def checks(self, choice: StartChoice) -> tuple[Check, ...]:
        """Everything that can be seen without opening a port: opening one can reset a board."""
        from acquire.clocks import wall_clock_iso
        from acquire.commands.common import DEFAULT_FOLDER

        folder = Path(self.out).parent if self.out else Path(DEFAULT_FOLDER)
        return (
            *(_device_check(device) for device in choice.devices),
            _folder_check(folder),
            _disk_check(folder),
            Check(tr("Clock"), "good", tr("it is {0}").format(wall_clock_iso()[:16].replace("T", " "))),
        )

    def runs_folder(self) -> str:
        from acquire.commands.common import DEFAULT_FOLDER

        return DEFAULT_FOLDER if Path(DEFAULT_FOLDER).is_dir() else ""

    def elsewhere(self, what: str, path: str) -> OtherWindow:
        from acquire.commands.other_window import OtherWindow

        arguments = {"run": ["review", path], "folder": ["pool", "--window", path], "points": ["fit"]}
        return OtherWindow(arguments[what])

    def open(self, choice: StartChoice) -> Opened:
        from acquire.commands.common import CommandError
        from acquire.runfile.errors import RunFileError
        from analysis.refusal import AnalysisError
        from drivers.errors import DriverError
        from sim.errors import SimError

        if choice.rejoin:
            return self.rejoin(choice.rejoin)
        try:
            return self._recorded(choice)
        except (CommandError, RunFileError, AnalysisError, DriverError, SimError) as error:
            raise StartRefused(error_text(error)) from error

    def _recorded(self, choice: StartChoice) -> Opened:
        """Record in a process of its own: whatever becomes of the window, the run goes on."""
        from acquire.commands.common import header_for, known_liquid, new_run_path, profile_text
        from acquire.live import order_for, profiles_of
        from acquire.recorder_process import start_recorder

        plan, text = self._plan(choice)
        known_liquid(plan.liquid)  # a wrong name is told before a process is started
        profiles = profiles_of(choice.devices)
        texts = {name: profile_text(profile) for name, profile in profiles.items()}
        header = header_for(plan, text, texts, dict(zip(profiles, choice.devices, strict=True)), "")
        path = new_run_path(self.out, plan.liquid.replace(" ", "-")).resolve()
        simulated = all(is_simulated(device) for device in choice.devices)
        order = order_for(
            path,
            choice.devices,
            plan,
            header,
            speed=choice.speed,
            seed=self.seed,
            operated=self.operated,
            hands=simulated and not self.operated,
            debriefed=simulated and not self.operated,
        )
        return self._joined(start_recorder(order), str(path))

    def rejoin(self, path: str) -> Opened:
        """The run that is being recorded into this file.

        Raises
        ------
        StartRefused
        """
        from acquire.recorder_client import RecorderClient
        from acquire.runfile.errors import RunFileError

        full = str(Path(path).resolve())
        try:
            return self._joined(RecorderClient.rejoin(full), full)
        except RunFileError as error:
            raise StartRefused(error_text(error)) from error

    def _joined(self, client: Any, path: str) -> Opened:
        from acquire.recorder_client import RecorderClient
        from acquire.runfile.errors import RunFileError

        def finish() -> Finished:
            # A connection of its own: closing takes seconds, and the window goes on asking over the other one.
            try:
                closer = RecorderClient.rejoin(path)
                try:
                    closed = closer.finish()
                finally:
                    closer.close()
            except RunFileError as error:
                return Finished(error_text(error), path)
            return self._report(Path(closed.path), closed.trouble)

        return Opened(client, finish, path, lambda: RecorderClient.rejoin(path))

    def _plan(self, choice: StartChoice) -> tuple[RunPlan, str]:
        from acquire.commands.common import plan_or_default
        from acquire.rehearsal_plan import merged_plan, own_plan

        plan, text = plan_or_default(choice.plan or None)
        simulated = [device for device in choice.devices if is_simulated(device)]
        if simulated:
            own = own_plan(simulated[0], automatic=self.automatic)
            return (merged_plan(own, plan) if choice.plan else own), text
        if choice.liquid and not choice.plan:
            plan = plan.model_copy(update={"liquid": choice.liquid})
        if self.automatic is not None:
            plan = plan.model_copy(update={"settle": plan.settle.model_copy(update={"automatic": self.automatic})})
        return plan, text

    def _report(self, path: Path, trouble: str) -> Finished:
        """Write the report of a closed run, and the debrief where one is wanted."""
        from acquire.report.errors import ReportError
        from acquire.report.page import write_report
        from acquire.runfile.errors import RunFileError
        from acquire.runfile.reader import read_run

        if trouble or not self.report:
            return Finished(file_text(trouble), str(path))
        try:
            record = read_run(path)
            report = write_report(record, path.with_suffix(".html"), current_language().code)
            debrief = None
            if "debrief" in (record.truth or {}):
                from acquire.report.debrief_content import debrief_content
                from acquire.report.debrief_page import write_debrief
                from acquire.report.language import spoken

                with spoken(current_language().code):
                    report = write_debrief(record, path.with_name(f"{path.stem}-debrief.html"))
                    debrief = debrief_content(record)
        except (ReportError, RunFileError) as error:
            told = tr("The run file is closed. The report could not be written: {0}").format(error_text(error))
            return Finished(told, str(path))
        return Finished("", str(path), str(report.resolve()), debrief=debrief)


def _free_profile_name(folder: Path, port: str) -> str:
    """A name for a heard device that no profile of the person has yet."""
    stem = "heard-" + "".join(c if c.isalnum() else "-" for c in port.rpartition("/")[2].lower()).strip("-")
    names = (stem if number == 1 else f"{stem}-{number}" for number in range(1, 1000))
    return next(name for name in names if not (folder / f"{name}.toml").exists())


def _port_choice(report: PortReport) -> DeviceChoice:
    """A port; with its profile where only one claims it."""
    known = report.profiles[0] if len(report.profiles) == 1 else ""
    text = f"{known}@{report.port}" if known else report.port
    trouble = "" if report.can_open else tr("Cannot be opened: {0}.").format(port_words(report.why))
    label = f"{report.port}: {port_text(report.probably)}"
    return DeviceChoice(text, label, port_sentences(*report.advice), FOUND, trouble)


def _device_check(device: str) -> Check:
    if is_simulated(device):
        return Check(tr("Device"), "good", tr("a simulated bench, nothing to plug in"))
    address = device.rpartition("@")[2]
    if "://" in address:
        return Check(tr("Device"), "unknown", tr("{0} is looked at when the run starts").format(address))
    if not os.path.exists(address):
        return Check(
            tr("Device"), "bad", tr("{0} is not there").format(address), tr("Plug it in, then look again with F5.")
        )
    if not os.access(address, os.R_OK | os.W_OK):
        from drivers.permission import way_in

        return Check(tr("Device"), "bad", tr("{0} may not be opened").format(address), port_sentences(way_in(address)))
    from drivers.ports import holder

    if user := holder(address):
        return Check(
            tr("Device"),
            "bad",
            tr("{0} is in use by {1}").format(address, user),
            tr("Close that program, then look again with F5."),
        )
    return Check(tr("Device"), "good", tr("{0} is there and may be opened").format(address))


def _folder_check(folder: Path) -> Check:
    existing = next((one for one in (folder, *folder.resolve().parents) if one.exists()), Path("."))
    from acquire.recorder_room import network_warning

    if os.access(existing, os.W_OK) and (warning := network_warning(existing)):
        return Check(tr("Folder"), "mind", file_text(warning))
    if os.access(existing, os.W_OK):
        return Check(tr("Folder"), "good", tr("the run goes to {0}").format(folder))
    return Check(
        tr("Folder"),
        "bad",
        tr("{0} cannot be written").format(folder),
        tr("Start satline in a folder of yours, or name one with --out."),
    )


def _disk_check(folder: Path) -> Check:
    existing = next((one for one in (folder, *folder.resolve().parents) if one.exists()), Path("."))
    free = shutil.disk_usage(existing).free
    text = tr("{0} GB free").format(number(free / 1e9, 1))
    if free < ROOM_FOR_A_RUN:
        return Check(tr("Disk"), "mind", text, tr("A long run may not fit; make room first."))
    return Check(tr("Disk"), "good", text)
