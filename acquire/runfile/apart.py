"""Verifies and mends in a process of its own: a file made to do harm can crash the HDF5 library, and the caller.

Damage by accident does not: HDF5 finds it by its checksums.  A file whose checksums were computed again over nonsense
does, in about 2 of 100 such files (measured with HDF5 2.0).  Before a file from strangers is opened, look at it here.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

from acquire.runfile import refusals
from acquire.runfile.checks import DAMAGED, Fault
from acquire.runfile.errors import DamagedFileError, NotARunFileError, RunFileError
from acquire.runfile.gate import let_pass
from acquire.runfile.integrity import UNREADABLE, VerifyReport, repair, verify

PATIENCE = 60.0  # [s] and
BYTES_PER_SECOND = 5e6  # a slow machine inflates and hashes ten times as fast


def verify_apart(path: str | Path) -> VerifyReport:
    """`verify`, whatever the file does to the library; and what no reader would open is not called intact.

    Raises
    ------
    NotARunFileError
    """
    try:
        report = VerifyReport.from_dict(_ask("verify", path, ""))
        return _as_readers_see(report) if report.intact else report
    except DamagedFileError as error:
        advice = "Look for an untouched copy or the raw journal."
        return VerifyReport(str(path), UNREADABLE, (Fault(DAMAGED, "", str(error)),), advice)


def _as_readers_see(report: VerifyReport) -> VerifyReport:
    try:
        let_pass(Path(report.path))
    except RunFileError as error:  # a part that the seal does not cover: how the columns are laid out on the disk
        advice = f"Run 'satline verify {report.path} --repair': it makes a copy of what can be read."
        return replace(report, state=DAMAGED, faults=(Fault(DAMAGED, "", str(error)),), advice=advice)
    return report


def repair_apart(path: str | Path, *, now_iso: str) -> Path:
    """`repair`, whatever the file does to the library.

    Raises
    ------
    RunFileError
        And its kinds, as `repair`.
    """
    return Path(_ask("repair", path, now_iso)["mended"])


def _ask(what: str, path: str | Path, now_iso: str) -> dict[str, Any]:
    size = Path(path).stat().st_size if Path(path).is_file() else 0
    try:
        done = subprocess.run(
            [sys.executable, "-m", "acquire.runfile.apart", what, str(path), now_iso],
            capture_output=True,
            text=True,
            encoding="utf-8",
            timeout=PATIENCE + size / BYTES_PER_SECOND,
            check=False,
            env=_environment(),
        )
    except subprocess.TimeoutExpired as error:
        raise DamagedFileError(refusals.HARMFUL_APART.format(path=path, fault=refusals.BUSY), path) from error
    try:
        answer = json.loads(done.stdout)
    except ValueError:
        how = f"signal {signal.Signals(-done.returncode).name}" if done.returncode < 0 else f"status {done.returncode}"
        fault = refusals.BROKE.format(how=how)
        raise DamagedFileError(refusals.HARMFUL_APART.format(path=path, fault=fault), path) from None
    if "error" in answer:
        kind = NotARunFileError if answer["kind"] == NotARunFileError.__name__ else RunFileError
        raise kind(answer["error"], path)
    return answer


def _environment() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": os.pathsep.join(part for part in sys.path if part)}


def main(what: str, path: str, now_iso: str) -> None:
    """The other process: one JSON document on standard output."""
    try:
        answer = verify(path).as_dict() if what == "verify" else {"mended": str(repair(path, now_iso=now_iso))}
    except RunFileError as error:
        answer = {"error": str(error), "kind": type(error).__name__}
    print(json.dumps(answer))


if __name__ == "__main__":
    main(*sys.argv[1:])
