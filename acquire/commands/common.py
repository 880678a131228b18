"""What several commands share: plans, devices, headers, places for files."""

from __future__ import annotations

import json
import platform
import sys
from collections.abc import Iterable, Mapping
from importlib import metadata
from pathlib import Path

from acquire.clocks import wall_clock_iso
from acquire.own_liquids import find_liquid
from acquire.plan import RunPlan, load_plan, stored_plan
from acquire.recorder_room import folder_warnings
from acquire.runfile.layout import RunHeader
from acquire.version import VERSION
from acquire.whereabouts import moved_words
from analysis.liquids import Liquid
from drivers.profile import load_profile, profile_path

DEFAULT_FOLDER = "satline-runs"
PROGRAM_NAME = f"satline {VERSION}"


class CommandError(Exception):
    """The work could not be done; the sentence says what was found, what was expected and the way out."""


def tell_if_moved(path: str | Path) -> None:
    """Say where a recording went on that this file holds the beginning of."""
    words = moved_words(path)
    if words:
        print(f"satline: {words}", file=sys.stderr)


def known_liquid(name: str) -> Liquid | None:
    """The record of a liquid; None for "unknown", which a run takes with wider priors.

    Raises
    ------
    LiquidError
        No such liquid; the text lists near names.
    """
    return find_liquid(name)


def plan_or_default(path: str | None) -> tuple[RunPlan, str]:
    """The plan of a file (TOML, or JSON as `satline export` writes it), or the default plan with no text."""
    if path is None:
        return RunPlan(), ""
    file = Path(path)
    if not file.is_file():
        raise CommandError(f"there is no run plan {path!r}; expected a TOML file, or leave --plan out for the defaults")
    if file.suffix.lower() == ".json":
        return _exported_plan(file)
    return load_plan(file)


def _exported_plan(file: Path) -> tuple[RunPlan, str]:
    text = file.read_text(encoding="utf-8", errors="replace")
    try:
        return stored_plan(json.loads(text)), text
    except ValueError as error:  # of JSON or, as pydantic's own, of the plan
        found = " ".join(str(error).split())[:300]
        raise CommandError(f"{file}: {found}; expected the plan that `satline export` wrote, unchanged") from error


def new_run_path(out: str | None, stem: str) -> Path:
    """Where a run file goes: as asked, or a new name in `satline-runs` here.

    Raises
    ------
    CommandError
        The folder cannot be made or written, or the file is already there.
    """
    if out is not None:
        return new_file(out)
    started = wall_clock_iso()[:19].replace(":", "").replace("T", "-")
    path = Path(DEFAULT_FOLDER) / f"{started}-{stem}.h5"
    make_folder(path.parent)
    return path


def new_file(name: str, option: str = "--out") -> Path:
    """A file that is to be written later, told at once where it cannot be.

    Raises
    ------
    CommandError
        It is already there, or its folder cannot be made or written.
    """
    path = Path(name)
    if path.exists():
        raise CommandError(f"{name} is already there and is not overwritten; choose another name")
    make_folder(path.parent, option)
    return path


def make_folder(folder: Path, option: str = "--out") -> None:
    """Make the folder, and make sure that it can be written to; `option` is what chooses another."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        probe = folder / ".satline-write-test"
        probe.touch()
        probe.unlink()
    except OSError as error:
        raise CommandError(
            f"cannot write in {folder}: {error.strerror or error}; choose another folder with {option}, "
            "or ask whoever owns it for permission"
        ) from error


def versions() -> dict[str, str]:
    """Of the program, Python, the system and the libraries that touch a number."""
    found = {"satline": VERSION, "python": sys.version.split()[0], "system": platform.platform()}
    for name in ("numpy", "scipy", "h5py", "pyserial"):
        try:
            found[name] = metadata.version(name)
        except metadata.PackageNotFoundError:
            found[name] = "not installed"
    return found


def warn_of_folder(folder: Path, profiles: Iterable[str]) -> None:
    """Say on standard error what may become of a run that is recorded into this folder."""
    rate = sum((load_profile(name).rate or 10.0) * 2.0 for name in profiles)
    for text in folder_warnings(folder, rate):
        print(f"satline: {text}", file=sys.stderr)


def profile_text(name_or_path: str) -> str:
    """The TOML of a device profile as it stands in its file."""
    path = profile_path(name_or_path)
    if path is None:
        load_profile(name_or_path)  # what is no profile is refused here, with those there are
        path = Path(name_or_path)
    return path.read_text(encoding="utf-8")


def header_for(
    plan: RunPlan, plan_text: str, profile_texts: Mapping[str, str], devices: Mapping[str, str], start_time: str
) -> RunHeader:
    """What a run file says before its first reading."""
    return RunHeader(
        title=plan.title,
        start_time=start_time,
        program=PROGRAM_NAME,
        plan=plan.model_dump(mode="json"),
        plan_text=plan_text,
        profile_texts=dict(profile_texts),
        devices=dict(devices),
        versions=versions(),
        liquid=plan.liquid,
        operator=plan.operator,
    )
