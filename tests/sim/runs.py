"""Short simulated runs for tests: acts at fixed times, lines read back by hand."""

from __future__ import annotations

from typing import Any

from sim.device import BenchAct, SimulatedBench
from sim.scenario import Scenario, load_scenario

#: (time, act) of a short run: valve, charge, one warming, one more, cooling, venting.  [s]
ACTS = (
    (60.0, BenchAct("close_valve")),
    (100.0, BenchAct("charge")),
    (102.0, BenchAct("swirl", 20.0)),
    (300.0, BenchAct("pour", 60e-6, 343.15)),
    (500.0, BenchAct("pour", 70e-6, 343.15)),
    (700.0, BenchAct("draw", 150e-6)),
    (705.0, BenchAct("pour", 150e-6, 284.15)),
    (900.0, BenchAct("open_valve")),
)
END = 960.0


def quiet(*mishaps: dict[str, Any], **changes: Any) -> Scenario:
    """The calm scenario with sensors that are nearly right and nearly silent, and the given mishaps."""
    data = load_scenario("calm").model_dump()
    data["temperature"] |= {
        "u_offset_K": 0.0, "u_gain_percent": 0.0, "noise_K": 0.0, "wander_K": 0.0, "resolution_K": 0.0,
    }  # fmt: skip
    data["pressure"] |= {
        "u_offset_kPa": 0.0, "u_gain_percent": 0.0, "noise_kPa": 0.0, "wander_kPa": 0.0, "resolution_kPa": 0.0,
    }  # fmt: skip
    data["room"]["wander_K"] = 0.0
    data["cell"]["lag_spread_percent"] = 0.0
    data["cell"]["u_volume_mL"] = data["charge"]["u_volume_mL"] = 0.0
    data["charge"]["u_dissolved_air_percent"] = data["charge"]["solubility_spread_percent"] = 0.0
    data["device"]["clock_ppm"] = 0.0
    data["device"]["rate_Hz"] = 2.0
    data["mishaps"] = tuple(mishaps)
    for key, value in changes.items():
        data[key] = data[key] | value if isinstance(value, dict) else value
    return Scenario.model_validate(data)


def play(scenario: Scenario, seed: int = 0, *, end: float = END) -> tuple[SimulatedBench, bytes]:
    """The short run on this scenario: the bench afterwards and all its bytes."""
    bench = SimulatedBench(scenario, seed)
    pieces = []
    for time, act in ACTS:
        if time > end:
            break
        pieces.append(bench.advance(time))
        bench.act(act)
    pieces.append(bench.advance(end))
    return bench, b"".join(pieces)


def rows(data: bytes) -> list[tuple[int, float, float]]:
    """(milliseconds, degC, kPa) of every whole line with a right checksum."""
    found = []
    for line in data.split(b"\r\n"):
        if not line.startswith(b"$SAT,") or line[-3:-2] != b"*":
            continue
        body = line[1:-3]
        check = 0
        for byte in body:
            check ^= byte
        if b"%02X" % check != line[-2:]:
            continue
        _, ms, celsius, kilopascal = body.split(b",")
        found.append((int(ms), float(celsius), float(kilopascal)))
    return found
