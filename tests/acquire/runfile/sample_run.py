"""A small run of our own, built by hand, for the tests of the run file."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from acquire.journal import Entry, Journal
from acquire.record import Baseline, PointRecord
from acquire.runfile.layout import RunHeader
from acquire.runfile.writer import RunFileWriter
from drivers.readings import PRESSURE, TEMPERATURE, Quality, Readings, Received

START = "2031-03-04T10:00:00.000+01:00"
END = "2031-03-04T10:40:00.000+01:00"

HEADER = RunHeader(
    title="n-heptane, Übungsplatz 3",
    start_time=START,
    program="satline 0.1.0",
    plan={"liquid": "n-heptane", "cell": {"volume": 1.45e-4}, "targets": [295.0, 300.0]},
    plan_text='liquid = "n-heptane"\n',
    profile_texts={"bench": "[device]\n", "second": "# °C\n"},
    devices={"bench": "loop://", "second": "socket://localhost:1"},
    versions={"python": "3.11"},
    liquid="n-heptane",
    operator="bench 3",
)

POINTS = (
    PointRecord(1, "1", "up", 10.0, 40.5, 300.11, 300.1, 1.05e5 / 3, 0.01, 9.5, -0.2, 0.01, 0.005, 1e-5, 300, "person"),
    PointRecord(
        2, "2", "return", 50.0, 80.5, 310.11, 310.1, 1.1e5, 0.01, 9.5, 0.0, 0.0, 0.005, -1e-5, 301,
        "simulated operator", False, "bubbles; „leck“",
    ),
)  # fmt: skip
BASELINES = (
    Baseline("room", 295.0, 101325.0, 0.02, 20.0, 0.0, 5.0),
    Baseline("sealed", 295.1, 101400.5, 0.02, 20.0, 6.0, 9.0),
)
RESULT = {
    "enthalpy_vap": {"value": 36570.123456789, "standard_uncertainty": 210.0, "interval_95": [36100.0, 37000.0]},
    "normal_boiling_point": {"value": 371.5, "standard_uncertainty": 0.4},
    "points": [
        {"temperature": 300.1, "pressure_total": 35000.0, "pressure_vapour": 6600.0, "used": True},
        {"temperature": 310.1, "pressure_total": 110000.0, "pressure_vapour": 10200.0, "used": False},
    ],
    "findings": [{"code": "few-points", "text": "zu wenige — °C"}],
}
TRUTH = {"liquid": "n-heptane", "enthalpy_vap": 36585.0, "mishaps": []}


def block(channel: str, start: float, n: int = 10, *, seed: int = 0, u_time: float = 0.001) -> Readings:
    """One second of readings with awkward digits, a bad one among them."""
    rng = np.random.default_rng([seed, int(start * 1000), channel == PRESSURE])
    base = 295.0 if channel == TEMPERATURE else 101325.0
    raw = rng.normal(base, 0.1, n)
    value = raw * 1.0001 + 0.1
    quality = np.zeros(n, np.uint8)
    if int(start) % 7 == 3:
        value[2], quality[2] = np.nan, Quality.NOT_A_NUMBER
    return Readings(channel, start + np.arange(n) / n, value, raw, quality, u_time)


def entry(journal: Journal, second: int, kind: str = "note", text: str = "", **data: object) -> Entry:
    return journal.append(
        time=second + 1 / 3, block=second, kind=kind, actor="person", given=True, text=text, data=data
    )


def record_run(
    writer: RunFileWriter, seconds: int = 100, *, flush: bool = True
) -> tuple[dict[str, list[Readings]], Journal]:
    """Feed a run into the writer; gives back what was fed."""
    given: dict[str, list[Readings]] = {TEMPERATURE: [], PRESSURE: []}
    journal = Journal()
    for second in range(seconds):
        for channel, blocks in given.items():
            readings = block(channel, float(second), u_time=0.001 * (1 + second // 50))
            blocks.append(readings)
            writer.append(readings, "bench")
        writer.append_received(Received(float(second), b"$SAT,%d\r\n" % second))
        if second % 10 == 0:
            text = "Wasser nachgegossen, " * (40 if second == 20 else 1)
            writer.append_entries([entry(journal, second, text=text, third=second / 3)])
        if flush:
            writer.flush()
    return given, journal


def closed_run(path: Path, seconds: int = 100, **changes: object) -> tuple[dict[str, list[Readings]], Journal]:
    """A closed run file at this path, and what was fed into it."""
    writer = RunFileWriter(path, HEADER)
    given = record_run(writer, seconds)
    writer.close(
        END,
        changes.get("points", POINTS),  # type: ignore[arg-type]
        changes.get("baselines", BASELINES),  # type: ignore[arg-type]
        changes.get("results", [RESULT]),  # type: ignore[arg-type]
        changes.get("truth", TRUTH),  # type: ignore[arg-type]
    )
    return given


def joined(blocks: list[Readings], name: str) -> np.ndarray:
    return np.concatenate([getattr(readings, name) for readings in blocks])
