"""The person's acts carried out on a simulated bench: what they say is done, is done there."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from acquire import acts
from acquire.acts import Act
from acquire.session_face import SessionFace
from sim.device import BenchAct

if TYPE_CHECKING:
    from acquire.session import Session

SWIRL = 15.0  # [s] what a person does after putting something in

#: Acts that need no amount.
SIMPLE = {
    acts.VALVE_CLOSED: (BenchAct("close_valve"),),
    acts.VALVE_OPENED: (BenchAct("open_valve"),),
    acts.CHARGED: (BenchAct("charge"), BenchAct("swirl", SWIRL)),
    acts.VENTED: (BenchAct("open_valve"),),
}


class HandsOnBench(SessionFace):
    """A session whose acts also move the simulated bench.

    Threads: as the session; `bench_act` must be callable from the window's thread.
    """

    def __init__(self, session: Session, bench_act: Callable[[BenchAct], None]) -> None:
        super().__init__(session)
        self._bench_act = bench_act

    def act(self, act: Act) -> None:
        """The act, then its work at the bench.

        Raises
        ------
        acquire.run.ActRefused
            The run refused it, and the bench stays as it is.
        """
        water = self._water(act) if act.name in (acts.WARMED, acts.COOLED) else None
        if water is not None:
            volume, temperature = water
            act = Act(act.name, act.actor, {**act.data, "volume": volume, "temperature": temperature})
        self._session.act(act)
        for work in SIMPLE.get(act.name, ()):
            self._bench_act(work)
        if water is not None and water[0] > 0:
            self._bench_act(BenchAct("pour", *water))
            self._bench_act(BenchAct("swirl", SWIRL))

    def _water(self, act: Act) -> tuple[float, float]:
        """Volume [m3] and temperature [K] as told, or what brings the bath to the target of the instruction."""
        bath = self._session.run.plan.bath
        usual = bath.hot_water if act.name == acts.WARMED else bath.cold_water
        temperature = float(act.data.get("temperature", usual))
        if "volume" in act.data:
            return float(act.data["volume"]), temperature
        snapshot = self._session.snapshot()
        now, target = snapshot.channels["temperature"].value, snapshot.instruction.target
        if target is None or not (target - now) * (temperature - target) > 0:
            return 0.0, temperature
        return bath.volume * (target - now) / (temperature - target), temperature
