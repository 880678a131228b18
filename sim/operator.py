"""The person of automatic runs: does what the program asks, after a while, about right; knows no clock of its own."""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from sim.build import STREAM_OPERATOR
from sim.device import BenchAct
from sim.errors import BenchActError
from sim.noise import Normals
from sim.parameters import WATER_DENSITY, WATER_HEAT_CAPACITY
from sim.scenario import Scenario

INSTRUCTIONS = ("close_valve", "charge", "warm", "cool", "vent", "wait")
_NEAR_ENOUGH = 0.05  # K; nobody pours for less
_PORTIONS = 4  # a person pours in several goes and looks in between
_VOLUMETRIC = WATER_DENSITY * WATER_HEAT_CAPACITY  # J/(m3 K)


@dataclass(frozen=True, slots=True)
class Done:
    """Something the person has finished, so that the program can mark it.

    `amount` and `temperature` say how much water of which temperature went in, where water did, and `drawn` how much
    was taken out before.  [m3], [K], [m3]
    """

    instruction: str
    time: float
    note: str = ""
    amount: float = 0.0
    temperature: float = 0.0
    drawn: float = 0.0


class ScriptedOperator:
    """Acts on a bench as told, with human delays and amounts.

    Parameters
    ----------
    bench_act
        Takes each `BenchAct` at the moment it is done.
    scenario
        Bath size, water temperatures, and how this person is.
    seed
        The same seed gives the same person.

    The person knows what a person at the bench knows: how much water the bath holds, what was poured, and the
    bath temperature that is read out to them (the `reading` of `ask`), or else their own estimate of it.
    """

    def __init__(self, bench_act: Callable[[BenchAct], None], scenario: Scenario, seed: int = 0) -> None:
        self._act, self._scenario = bench_act, scenario
        self._normals = Normals(seed, STREAM_OPERATOR)
        self._volume = scenario.bath_volume
        start = scenario.bath.start_degC
        self._bath = scenario.room_temperature if start is None else start + 273.15
        self._known_at = 0.0
        self._due: list[tuple[float, int, BenchAct | Done]] = []
        self._order = 0
        self._free_at = 0.0

    @property
    def busy(self) -> bool:
        """Whether something told is still to be done."""
        return bool(self._due)

    def ask(
        self,
        instruction: str,
        time: float,
        *,
        target: float | None = None,
        volume: float | None = None,
        water: float | None = None,
        reading: float | None = None,
    ) -> None:
        """Tell the person what to do next; it is begun after their reaction time, one thing after the other.

        Parameters
        ----------
        instruction
            One of `INSTRUCTIONS`.
        time
            Now.  [s]
        target
            Bath temperature to reach; needed to warm or cool without a volume.  [K]
        volume
            Water to pour in; worked out by the person where not given.  [m3]
        water
            Its temperature; the scenario's hot or cold water where not given.  [K]
        reading
            Bath temperature on the screen, where the program says it.  [K]
        """
        if instruction not in INSTRUCTIONS:
            raise BenchActError(f"found instruction {instruction!r}; expected one of {', '.join(INSTRUCTIONS)}")
        if reading is not None:
            self._settle(time)
            self._bath = reading
        begin = max(time, self._free_at) + self._reaction()
        if instruction == "warm":
            end = self._pour("warm", begin, target, volume, water or self._scenario.hot_water)
        elif instruction == "cool":
            end = self._pour("cool", begin, target, volume, water or self._scenario.cold_water)
        else:
            end = self._simple(instruction, begin)
        self._free_at = end

    def step(self, time: float) -> list[Done]:
        """Do what is due by `time`; returns what has been finished, oldest first.  [s]"""
        finished = []
        while self._due and self._due[0][0] <= time:
            _, _, item = heapq.heappop(self._due)
            if isinstance(item, Done):
                finished.append(replace(item, time=time))
            else:
                self._act(item)
        return finished

    # -- how the person is -------------------------------------------------------------------------------
    def _reaction(self) -> float:
        part = self._scenario.operator
        return part.reaction_s * math.exp(0.01 * part.reaction_spread_percent * self._normals.normal())

    def _put(self, time: float, item: BenchAct | Done) -> None:
        self._order += 1
        heapq.heappush(self._due, (time, self._order, item))

    def _simple(self, instruction: str, begin: float) -> float:
        end = begin
        if instruction == "close_valve":
            self._put(begin, BenchAct("close_valve"))
            self._put(begin, Done(instruction, begin, "valve closed"))
        elif instruction == "charge":
            self._put(begin, BenchAct("charge"))
            self._put(begin, Done(instruction, begin, "liquid in, plunger drawn back"))
            self._put(begin + 1.0, BenchAct("swirl", self._scenario.operator.swirl_s))
            end = begin + self._scenario.operator.swirl_s
        elif instruction == "vent":
            self._put(begin, BenchAct("open_valve"))
            self._put(begin, Done(instruction, begin, "valve open"))
        else:
            self._put(begin, Done(instruction, begin, "waiting"))
        return end

    # -- water -------------------------------------------------------------------------------------------
    def _settle(self, time: float) -> None:
        """Let the person's idea of the bath cool with time."""
        capacity = self._capacity(self._volume)
        passed = max(time - self._known_at, 0.0)
        room = self._scenario.room_temperature
        fade = math.exp(-self._scenario.bath.loss_W_per_K * passed / capacity)
        self._bath = room + (self._bath - room) * fade
        self._known_at = max(time, self._known_at)

    def _capacity(self, volume: float) -> float:
        part = self._scenario
        return volume * _VOLUMETRIC + part.bath.vessel_J_per_K + part.cell.glass_J_per_K

    def amount_for(self, target: float, water: float) -> tuple[float, float]:
        """Water to draw first and then to pour, to bring the bath as the person knows it to `target`.  [m3]

        Energy balance without losses. Where the bath would run over, as much is drawn as will be poured too much;
        the balance is linear in the amount then, too.
        """
        rise = target - self._bath
        if rise == 0.0 or (water - target) * rise <= 0.0:
            raise BenchActError(
                f"found water of {water - 273.15:.1f} °C to bring the bath from {self._bath - 273.15:.1f} °C to "
                f"{target - 273.15:.1f} °C; expected water beyond the target; take hotter or colder water"
            )
        full = self._scenario.bath.capacity_mL * 1e-6
        pour = self._capacity(self._volume) * rise / (_VOLUMETRIC * (water - target))
        if self._volume + pour <= full:
            return 0.0, pour
        pour = self._capacity(full) * rise / (_VOLUMETRIC * (water - target + rise))
        return max(self._volume + pour - full, 0.0), pour

    def _pour(self, name: str, begin: float, target: float | None, volume: float | None, water: float) -> float:
        self._settle(begin)
        full = self._scenario.bath.capacity_mL * 1e-6
        if volume is not None:
            pour, draw = volume, max(self._volume + volume - full, 0.0)
        elif target is None:
            raise BenchActError(f"found {name!r} without target or volume; expected one of them")
        elif (target - self._bath) * (water - target) <= 0.0 or abs(target - self._bath) < _NEAR_ENOUGH:
            # The bath is there already (or beyond, and this water cannot bring it back): a person pours nothing.
            self._put(begin, Done(name, begin, "nothing to pour, the bath is there"))
            return begin
        else:
            draw, pour = self.amount_for(target, water)
        part = self._scenario.operator
        pour *= max(1.0 + 0.01 * part.amount_error_percent * self._normals.normal(), 0.2)
        really = water + part.water_error_K * self._normals.normal() * (1.0 if water > self._bath else 0.3)
        really = max(really, 273.65)
        start = begin
        if draw > 0.0:
            self._put(start, BenchAct("draw", draw))
            start += part.pour_s
        for portion in range(_PORTIONS):
            self._put(start + portion * part.pour_s / _PORTIONS, BenchAct("pour", pour / _PORTIONS, really))
        end = start + part.pour_s
        self._put(end, BenchAct("swirl", part.swirl_s))
        drawn = f", {draw * 1e6:.0f} mL taken out before" if draw > 0.0 else ""
        note = f"{pour * 1e6:.0f} mL of water at about {water - 273.15:.0f} °C{drawn}"
        self._put(end, Done(name, end, note, pour, water, draw))
        left = self._capacity(self._volume - draw)
        self._bath = (left * self._bath + pour * _VOLUMETRIC * water) / (left + pour * _VOLUMETRIC)
        self._volume += pour - draw
        self._known_at = end
        return end
