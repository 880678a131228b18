"""Times what a newcomer does in the first ten minutes, each step in a process of its own, in a new folder.

    python -m tests.benchmarks.first_ten_minutes [--install]

The steps are the `sh` blocks of docs/first-run.md and the demo in the terminal.  With `--install` they run in a fresh
environment that the README's way of installing makes first.  Goal: all steps that wait for the machine together in
under three of the ten minutes; the rest is for reading and trying.
"""

from __future__ import annotations

import argparse
import re
import shlex
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
GOAL = 180.0  # [s]


def steps() -> list[list[str]]:
    """Arguments of each command."""
    page = (ROOT / "docs" / "first-run.md").read_text(encoding="utf-8")
    lines = [
        line for body in re.findall(r"^```sh\n(.*?)^```$", page, re.MULTILINE | re.DOTALL) for line in body.splitlines()
    ]
    doctor, *others = [shlex.split(line)[1:] for line in lines]
    return [doctor, ["demo", "--no-window", "--out", "demo"], *others]


def timed(title: str, command: list[str], folder: str) -> float:
    """Seconds that it took; ends the script where it failed."""
    began = time.monotonic()
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, env=None)
    took = time.monotonic() - began
    print(f"{took:7.1f} s  {title}", flush=True)
    if done.returncode and "doctor" not in command:
        sys.exit(f"failed with {done.returncode}: {done.stderr.strip()[-500:]}")
    return took


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--install", action="store_true")
    args = parser.parse_args()
    total = 0.0
    with tempfile.TemporaryDirectory() as folder:
        program = [sys.executable, "-c", f"import sys; sys.path.insert(0, {str(ROOT)!r}); "
                   "from acquire.commands.main import main; sys.exit(main())"]  # fmt: skip
        if args.install:
            total += timed("a fresh environment", [sys.executable, "-m", "venv", f"{folder}/env"], folder)
            total += timed("install", [f"{folder}/env/bin/pip", "install", "-q", str(ROOT)], folder)
            program = [f"{folder}/env/bin/satline"]
        for arguments in steps():
            total += timed(f"satline {shlex.join(arguments)}", [*program, *arguments], folder)
    print(f"{total:7.1f} s  together; goal {GOAL:.0f} s")


if __name__ == "__main__":
    main()
