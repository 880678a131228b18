"""The run's clock: held until it begins, at the speed that was chosen meanwhile."""

from __future__ import annotations

import pytest

from acquire import clocks
from acquire.clocks import RunClock


@pytest.fixture
def machine(monkeypatch):
    """The machine's seconds, moved by hand."""
    now = [100.0]
    monkeypatch.setattr(clocks.time, "monotonic", lambda: now[0])
    return now


def test_a_held_clock_stays_at_zero_until_it_begins(machine) -> None:
    clock = RunClock(300.0, held=True)
    machine[0] += 5.0
    assert clock() == 0.0
    assert clock.speed == 300.0
    clock.begin()
    machine[0] += 0.5
    assert clock() == pytest.approx(150.0)
    clock.begin()  # it runs already
    assert clock() == pytest.approx(150.0)


def test_the_speed_of_a_held_clock_can_be_chosen(machine) -> None:
    clock = RunClock(1.0, held=True)
    clock.set_speed(10.0)
    machine[0] += 3.0
    assert clock() == 0.0
    clock.begin()
    machine[0] += 2.0
    assert clock() == pytest.approx(20.0)


def test_a_clock_that_is_not_held_runs_at_once(machine) -> None:
    clock = RunClock(2.0)
    machine[0] += 3.0
    assert clock() == pytest.approx(6.0)
