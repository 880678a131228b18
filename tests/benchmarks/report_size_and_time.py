"""Prints how long a report takes and how large it is, for runs from half an hour to a day.

Run it with `python -m tests.benchmarks.report_size_and_time`.  The day has 100 readings a second of both channels.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from acquire.record import RunRecord, Trace
from acquire.report.page import report_html
from tests.acquire.report.conftest import make_run
from tests.benchmarks.figures import show_figure


def stretched(record: RunRecord, hours: float, rate: float) -> RunRecord:
    """The invented run with traces of another length and rate; its points stay where they are."""
    times = np.arange(0, hours * 3600, 1 / rate)

    def of(trace: Trace) -> Trace:
        value = np.interp(times, trace.time, trace.value)
        return replace(trace, time=times, value=value, raw=value, quality=np.zeros(len(times), np.uint8))

    return replace(record, traces={name: of(trace) for name, trace in record.traces.items()})


def main() -> None:
    record = make_run()
    report_html(record)  # the first one loads fonts
    print(f"{'run':>24}  {'readings':>12}  {'time':>8}  {'size':>8}")
    for hours, rate in ((0.53, 2), (0.53, 10), (3, 10), (24, 10), (24, 100)):
        long = stretched(record, hours, rate)
        begun = time.perf_counter()
        page = report_html(long)
        seconds = time.perf_counter() - begun
        readings = sum(len(trace.time) for trace in long.traces.values())
        print(f"{hours:>8.2f} h at {rate:>4.0f} Hz     {readings:>12}  {seconds:>6.2f} s  {len(page) / 1000:>5.0f} kB")
        show_figure(f"report: {hours:g} h at {rate:g} Hz", f"{seconds:.1f} s, {len(page) / 1000:.0f} kB", "")


if __name__ == "__main__":
    main()
