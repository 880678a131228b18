"""A complete run through the window with real key events: Xvfb, xdotool, the program as it is installed.

From the start page to the opened report: confirm the cautions, choose the fast clock, start, press Enter whenever the
procedure may want it, write a note, open the report, leave; then the run file is verified.  Prints what it saw and
how long it took; any step that does not happen ends it with status 1.

    python -m tests.benchmarks.window_whole_run [--command satline] [--pictures FOLDER]

Needs Xvfb and xdotool (Debian packages xvfb, xdotool).
"""

from __future__ import annotations

import argparse
import os
import shlex
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

DISPLAY = ":97"
LONGEST = 240.0  # [s] a run at 60 times real time takes about 45 s


class Desktop:
    """A screen nobody sees, with a keyboard."""

    def __init__(self, folder: Path) -> None:
        self.environment = {key: value for key, value in os.environ.items() if key != "QT_QPA_PLATFORM"}
        runtime = folder / "runtime"
        runtime.mkdir(mode=0o700)
        opener = folder / "bin" / "xdg-open"
        opener.parent.mkdir()
        self.opened = folder / "opened"
        opener.write_text(f'#!/bin/sh\necho "$1" >> {self.opened}\n', encoding="utf-8")
        opener.chmod(0o755)
        self.environment |= {
            "DISPLAY": DISPLAY,
            "XDG_RUNTIME_DIR": str(runtime),
            "XDG_CONFIG_HOME": str(folder / "config"),
            "PATH": f"{opener.parent}:{os.environ['PATH']}",
            "PYTHONPATH": os.getcwd(),
        }
        self._server = subprocess.Popen(
            ["Xvfb", DISPLAY, "-screen", "0", "1280x800x24", "-dpi", "96"],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        time.sleep(1.0)

    def close(self) -> None:
        self._server.terminate()
        self._server.wait()

    def xdotool(self, *words: str) -> str:
        done = subprocess.run(["xdotool", *words], env=self.environment, capture_output=True, text=True, check=False)
        return done.stdout.strip()

    def focus(self, title: str) -> None:
        """Give the keyboard to the window with this in its title; there is no window manager to do it."""
        end = time.monotonic() + 20.0
        while time.monotonic() < end:
            found = self.xdotool("search", "--onlyvisible", "--name", title).split()
            if found:
                time.sleep(0.5)
                self.xdotool("windowfocus", "--sync", found[0])
                return
            time.sleep(0.1)
        sys.exit(f"no window with {title!r} in its title within 20 s")

    def keys(self, *keys: str) -> None:
        self.xdotool("key", "--delay", "60", *keys)


def wait_for(what: str, there, longest: float) -> None:
    end = time.monotonic() + longest
    while not there():
        if time.monotonic() > end:
            sys.exit(f"{what} did not happen within {longest:.0f} s")
        time.sleep(0.2)


def picture(desktop: Desktop, folder: str | None, name: str) -> None:
    if folder and shutil.which("import"):
        subprocess.run(["import", "-window", "root", f"{folder}/{name}.png"], env=desktop.environment, check=False)


def main() -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("--command", default=f"{sys.executable} -m acquire.commands.main")
    parser.add_argument("--pictures", metavar="FOLDER")
    args = parser.parse_args()
    satline = shlex.split(args.command)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        desktop = Desktop(folder)
        try:
            return whole_run(satline, desktop, folder, args.pictures)
        finally:
            desktop.close()


def whole_run(satline: list[str], desktop: Desktop, folder: Path, pictures: str | None) -> int:
    began = time.monotonic()
    program = subprocess.Popen([*satline, "bench"], cwd=folder, env=desktop.environment)
    desktop.focus("satline, a new run")
    picture(desktop, pictures, "start")
    # Return confirms the cautions (the tick has the keyboard), Tab walks on to Start.
    desktop.keys("Return")
    # Back over the plan to the clock, whose fastest is its last; then on to Start.
    desktop.keys("shift+Tab", "shift+Tab", "End", "Tab", "Tab", "Tab")
    picture(desktop, pictures, "start-confirmed")
    desktop.keys("Return")
    desktop.focus("calm")
    print(f"start page passed after {time.monotonic() - began:.1f} s")
    desktop.xdotool("key", "n")
    desktop.xdotool("type", "--delay", "40", "whole run by keys, V and space included")
    desktop.keys("Return")
    report = None
    end = time.monotonic() + LONGEST
    while report is None and time.monotonic() < end:
        if program.poll() is not None:
            sys.exit(f"the program ended with status {program.returncode} before the run was over")
        desktop.keys("Return")
        time.sleep(1.0)
        report = next(iter(folder.glob("satline-runs/*.html")), None)
    if report is None:
        picture(desktop, pictures, "not-done")
        sys.exit(f"no report within {LONGEST:.0f} s")
    print(f"run closed and report written after {time.monotonic() - began:.1f} s")
    time.sleep(1.0)
    picture(desktop, pictures, "closed")
    desktop.keys("ctrl+r")
    wait_for("opening the report", lambda: desktop.opened.exists() and ".html" in desktop.opened.read_text(), 10.0)
    print(f"report opened: {Path(desktop.opened.read_text().strip()).name}")
    desktop.keys("ctrl+q")
    wait_for("leaving", lambda: program.poll() is not None, 20.0)
    print(f"left with status {program.returncode}")
    run_file = next(folder.glob("satline-runs/*.h5"))
    verified = subprocess.run(
        [*satline, "verify", str(run_file)], env=desktop.environment, capture_output=True, text=True, check=False
    )
    print(f"verify: status {verified.returncode} {(verified.stdout + verified.stderr).strip().splitlines()[:1]}")
    return 0 if program.returncode == 0 and verified.returncode == 0 else 1


if __name__ == "__main__":
    sys.exit(main())
