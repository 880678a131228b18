"""Mishaps of whole runs in a study, one kind or none for each run; named as those of scenarios."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sim.errors import UnknownNameError
from sim.study_plant import R, StudyPlant

Array = NDArray[np.float64]

#: What happens, with the sizes that are drawn: those of scenarios, so far as a closed cell knows them.
MISHAPS = {
    "leak": "the cell leaks: the over-pressure falls with an e-fold of 1 to 10 h",
    "stopper_lifts": "the stopper lifts in the middle of a plateau and sits down again: the over-pressure is lost once",
    "air_with_charge": "0.3 to 1 mL of air goes in with the liquid",
    "plunger_left_in": "the plunger is not drawn back: the liquid squeezes the air",
    "cell_not_soaked": "the cell is closed before it has the temperature of a bath 1 to 4 K warmer",
    "small_charge": "only 0.02 to 0.1 mL of liquid goes in",
    "stirrer_stops": "the bath is not stirred: poured water takes 1 to 3 min to mix",
    "sensors_swapped": "the two sensors are swapped",
}


class StudyMishaps:
    """Which run has which mishap, and what that does to the cells.

    Parameters
    ----------
    names
        One for each run, of `MISHAPS`; "" for none.
    generator
        For the sizes.

    Raises
    ------
    UnknownNameError
        A name that is not in `MISHAPS`.
    """

    def __init__(self, names: Sequence[str], generator: np.random.Generator) -> None:
        for name in names:
            if name and name not in MISHAPS:
                raise UnknownNameError("mishap", name, MISHAPS)
        self._names = np.array(list(names), dtype=object)
        self._size = generator.random(len(names))  # from 0 to 1 between the least and the largest

    def has(self, name: str) -> NDArray[np.bool_]:
        """Which runs have this mishap."""
        found: NDArray[np.bool_] = self._names == name
        return found

    def _between(self, low: float, high: float) -> Array:
        size: Array = low + (high - low) * self._size
        return size

    def before_closing(self, plant: StudyPlant) -> None:
        """What is wrong from the beginning."""
        bench = plant.bench
        warmer = np.where(self.has("cell_not_soaked"), self._between(1.0, 4.0), 0.0)
        plant.t_bath = plant.t_bath + warmer
        plant.t_probe = plant.t_probe + warmer
        efold = 3600.0 * np.exp(self._between(0.0, np.log(10.0)))
        bench.leak_rate = np.where(self.has("leak"), 1.0 / efold, bench.leak_rate)
        bench.mixing = np.where(self.has("stirrer_stops"), self._between(60.0, 180.0), bench.mixing)
        plant.set_constants()

    def charged(self, volume: Array) -> Array:
        """What really goes in.  [m3]"""
        small: Array = np.where(self.has("small_charge"), self._between(0.02e-6, 0.1e-6), volume)
        return small

    def charge(self, plant: StudyPlant, volume: Array) -> None:
        """Put the liquid in, as it went."""
        before = plant.n_air
        plant.charge(volume)
        let_in = self._between(0.3e-6, 1e-6) * plant.bench.room_pressure / (R * plant.bench.room)
        plant.n_air = np.where(self.has("plunger_left_in"), before, plant.n_air)
        plant.n_air = plant.n_air + np.where(self.has("air_with_charge"), let_in, 0.0)

    def lift(self, plant: StudyPlant) -> None:
        """The stopper lets the over-pressure out."""
        share = np.where(
            self.has("stopper_lifts"), np.maximum(1.0 - plant.bench.room_pressure / plant.pressure, 0.0), 0.0
        )
        for name in ("n_air", "n_main", "n_stagnant", "n_neck", "n_tube", "pressure"):
            setattr(plant, name, getattr(plant, name) * (1.0 - share))
