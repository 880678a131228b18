"""The room's air: drift, wander and draughts of the stated size."""

from __future__ import annotations

import numpy as np
import pytest

from sim.liquids import load_liquid
from sim.noise import Normals
from sim.parameters import BathParameters, CellParameters, RoomParameters
from sim.plant import Plant
from sim.room import Room


def moved(hours: float, **parameters: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Room temperature, room pressure and the factor on the heat loss, every ten seconds."""
    plant = Plant(
        CellParameters(), BathParameters(), load_liquid("n-heptane"), room_temperature=294.65, room_pressure=100.9e3
    )
    room = Room(RoomParameters(**parameters), Normals(5, 0), 10.0)
    seen = []
    for _ in range(round(hours * 360)):
        room.move(plant)
        seen.append((plant.room_temperature, plant.room_pressure, plant.draught))
        plant.steps += 20
    temperature, pressure, draught = np.array(seen).T
    return temperature, pressure, draught


def test_a_quiet_room_stays_as_it_was() -> None:
    temperature, pressure, draught = moved(1.0)
    assert np.all(temperature == 294.65)
    assert np.all(pressure == 100.9e3)
    assert np.all(draught == 1.0)


def test_temperature_and_weather_drift_at_their_rates() -> None:
    temperature, pressure, _ = moved(1.0, drift=1.0 / 3600, pressure_drift=0.05)
    assert temperature[-1] - temperature[0] == pytest.approx(1.0, abs=0.01)
    assert pressure[-1] - pressure[0] == pytest.approx(0.05 * 3590, rel=1e-9)


def test_the_room_starts_at_the_stated_temperature_and_wanders_by_its_spread() -> None:
    temperature, _, _ = moved(300.0, wander=0.3, wander_time=600.0)
    assert temperature[0] == pytest.approx(294.65, abs=0.2)
    # 300 h are 900 independent stretches of twice the wander's time.
    assert np.std(temperature) == pytest.approx(0.3, rel=0.12)


def test_draughts_change_the_loss_by_their_spread_and_never_stop_it() -> None:
    _, _, draught = moved(50.0, draughts=0.25, draught_time=60.0)
    assert np.std(draught) == pytest.approx(0.25, rel=0.12)
    assert draught.min() >= 0.2
