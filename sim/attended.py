"""A simulated bench with its scripted person: the scenario's procedure goes by itself, by the clock."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sim.device import BenchAct, SimulatedBench
from sim.errors import BenchActError
from sim.operator import Done, ScriptedOperator
from sim.scenario import Scenario

BASELINE = 60.0  # s with the valve open before the soak
SEALED = 45.0  # s between closing the valve and charging
HOLD = 300.0  # s for each plateau


@dataclass(frozen=True, slots=True)
class Step:
    """One thing of the procedure and when the person is told.  [s], [K]"""

    time: float
    instruction: str
    target: float | None = None


def procedure(scenario: Scenario, hold: float = HOLD) -> list[Step]:
    """The scenario's whole run: soak, close, charge, first plateau, each target, return point, vent."""
    time = BASELINE + scenario.procedure.soak_s
    steps = [Step(time, "close_valve"), Step(time + SEALED, "charge")]
    time += SEALED + hold
    for target in scenario.targets:
        steps.append(Step(time, "warm", target))
        time += hold
    if scenario.return_target is not None:
        steps.append(Step(time, "cool", scenario.return_target))
        time += hold
    return [*steps, Step(time, "vent")]


class AttendedBench(SimulatedBench):
    """A bench whose person follows the procedure without being asked.

    The bytes depend on scenario, seed, profile and `hold` only, and on acts that others add; not on how time is
    cut, because the person looks every half second of bench time.

    Parameters
    ----------
    hold
        Length of each plateau.  [s]
    """

    LOOK = 0.5  # s between the person's looks

    def __init__(self, scenario: Scenario, seed: int = 0, *, profile: str = "", hold: float = HOLD) -> None:
        super().__init__(scenario, seed, profile=profile)
        self.steps = procedure(scenario, hold)
        self.done: list[Done] = []
        self.refused: list[str] = []
        self._person = ScriptedOperator(self._try, scenario, seed)
        self._to_tell: Iterator[Step] = iter(self.steps)
        self._next: Step | None = next(self._to_tell)
        self._looks = 0

    @property
    def end(self) -> float:
        """When the procedure is over: a minute after the person is told to vent.  [s]"""
        return self.steps[-1].time + 60.0

    def advance(self, to: float) -> bytes:
        """As `SimulatedBench.advance`, with the person at work meanwhile."""
        pieces = []
        while (look := (self._looks + 1) * self.LOOK) <= to:
            if look > self.time:
                pieces.append(super().advance(look))
            self._looks += 1
            self._tell(look)
            self.done += self._person.step(look)
        pieces.append(super().advance(to))
        return b"".join(pieces)

    def _try(self, act: BenchAct) -> None:
        """What cannot be done any more, because somebody else did it before, the person leaves."""
        try:
            self.act(act)
        except BenchActError as error:
            self.refused.append(str(error))

    def _tell(self, time: float) -> None:
        while self._next is not None and self._next.time <= time:
            # The person reads the bath's thermometer as everybody at the bench can.
            reading = self.truth.states[-1].shown_temperature
            self._person.ask(self._next.instruction, time, target=self._next.target, reading=reading)
            self._next = next(self._to_tell, None)


def play(scenario: Scenario, seed: int = 0, *, profile: str = "", hold: float = HOLD) -> tuple[AttendedBench, bytes]:
    """A whole unattended run as fast as it can be computed: the bench with its truth, and all bytes."""
    bench = AttendedBench(scenario, seed, profile=profile, hold=hold)
    return bench, bench.advance(bench.end)
