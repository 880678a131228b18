"""The speed ledger: runs the benchmarks one after the other and writes their figures into README.md.

    python -m tests.benchmarks.ledger [--only NAME] [--dry-run]

Each benchmark prints figures with `tests.benchmarks.figures.show_figure`: what, how much, the goal, and what stands
beside it. The lengths below make a ledger in about half an hour on an idle machine; each script measures longer and
more when it is run by itself. A figure that is not measured this time stays as it was, so one benchmark can be done
again alone.

How fast a machine is changes from hour to hour where it is a part of a larger one. So each row names the pace: the
processor time of ten million turns of an empty loop, just before and just after, over the time that they took on the
machine on which the goals were set.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import time
from pathlib import Path

from tests.benchmarks.figures import figures_in

ROOT = Path(__file__).parents[2]
BEGIN, END = "<!-- ledger -->", "<!-- end of ledger -->"
HEAD = "| what | measured | goal | limit or rival beside it | pace |\n|---|---|---|---|---|\n"
LOOP = 0.091  # [s] of processor for the empty loop where the goals were set
BENCHMARKS: dict[str, list[str]] = {
    "drivers_line": ["--seconds", "10"],
    "drivers_timing": ["--hours", "0.5"],
    "drivers_reconnect": ["--times", "10"],
    "drivers_soak": ["--readings", "1e6"],
    "drivers_faults": ["--faults", "48000"],
    "drivers_peers": ["--seconds", "20"],
    "recorder_line": ["--seconds", "10"],
    "recorder_day": ["--hours", "1"],
    "runfile_figures": ["--hours", "2"],
    "runfile_kills": ["--kills", "50"],
    "runfile_fuzz": ["malformed", "--count", "200"],
    "readers_fuzz": ["--count", "4000"],
    "settling.table": ["--runs", "60"],
    "coverage": ["200"],
    "closure": [],
    "findings_static": ["60"],
    "power_table": ["40", "clock"],
    "leak_power": ["60", "goals", "n-heptane"],
    "dynamic_runs": ["100", "main", "n-heptane"],
    "fit_speed": [],
    "sim_speed": [],
    "report_size_and_time": [],
    "pool_million": [],
    "pool_archive": ["200", "6"],
    "window_start": [],
    "window_frames": [],
    "endurance": ["--hours", "2"],
    "whole_run_seeds": ["--seeds", "20"],
}
Row = tuple[str, str, str, str, str]  # name, value, goal, what stands beside it, pace


def pace() -> float:
    """How many times as long as on the machine of the goals the processor takes now."""
    began = time.process_time()
    for _ in range(10**7):
        pass
    return (time.process_time() - began) / LOOP


def measured(name: str) -> list[Row]:
    """Run one benchmark; its figures."""
    before = pace()
    began = time.monotonic()
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "OPENBLAS_NUM_THREADS": "1"}
    done = subprocess.run(
        [sys.executable, "-m", f"tests.benchmarks.{name}", *BENCHMARKS[name]],
        cwd=ROOT, capture_output=True, text=True, env=environment, timeout=1800,
    )  # fmt: skip
    slow = f"{(before + pace()) / 2:.1f}"
    rows = [(*row, slow) for row in figures_in(done.stdout)]
    print(f"{name}: {len(rows)} figures in {time.monotonic() - began:.0f} s, status {done.returncode}", flush=True)
    if not rows:
        print((done.stdout + done.stderr)[-1000:])
    for row in rows:
        print("   " + " | ".join(row))
    return rows


def known(text: str) -> dict[str, Row]:
    """The rows that stand in the page, by their first cell."""
    body = text[text.index(BEGIN) : text.index(END)]
    rows = [tuple(cell.strip() for cell in re.split(r" ?\| ?", line)[1:6]) for line in body.splitlines()]
    return {row[0]: row for row in rows if len(row) == 5 and row[0] not in ("what", "---") and row[0]}  # type: ignore[misc]


def with_rows(text: str, rows: dict[str, Row]) -> str:
    """The page with the table made of these rows, in the order of their names."""
    table = "".join(f"| {' | '.join(rows[name])} |\n" for name in sorted(rows))
    return text[: text.index(BEGIN) + len(BEGIN)] + "\n" + HEAD + table + text[text.index(END) :]


def main() -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("--only", default="", help="names of benchmarks, with commas")
    parser.add_argument("--dry-run", action="store_true", help="print, but leave README.md as it is")
    args = parser.parse_args()
    page = ROOT / "README.md"
    chosen = args.only.split(",") if args.only else list(BENCHMARKS)
    rows = known(page.read_text(encoding="utf-8"))
    for name in chosen:
        rows |= {row[0]: row for row in measured(name)}
        if not args.dry_run:
            page.write_text(with_rows(page.read_text(encoding="utf-8"), rows), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
