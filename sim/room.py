"""The room's air: a slow wander of temperature, a drift, the weather, and draughts over the bath."""

from __future__ import annotations

import math

from sim.noise import Normals
from sim.parameters import RoomParameters
from sim.plant import Plant


class Room:
    """Moves the surroundings of a plant, once per `interval`.

    Two first-order random walks that forget (Ornstein and Uhlenbeck), so that no state depends on how often the
    bench is asked for bytes.
    """

    def __init__(self, parameters: RoomParameters, noise: Normals, interval: float) -> None:
        self._p, self._noise = parameters, noise
        self._slow = math.exp(-interval / parameters.wander_time)
        self._gust = math.exp(-interval / parameters.draught_time)
        self._wander = parameters.wander * noise.normal()
        self._draught = parameters.draughts * noise.normal()
        self._start = self._wander  # the stated room temperature is the one at the start

    def move(self, plant: Plant) -> None:
        """Bring room temperature, pressure and heat loss to the plant's present time."""
        p, normal = self._p, self._noise.normal
        self._wander = self._slow * self._wander + p.wander * math.sqrt(1.0 - self._slow**2) * normal()
        self._draught = self._gust * self._draught + p.draughts * math.sqrt(1.0 - self._gust**2) * normal()
        time = plant.time
        plant.room_temperature = p.temperature + p.drift * time + self._wander - self._start
        plant.room_pressure = p.pressure + p.pressure_drift * time
        plant.draught = max(1.0 + self._draught, 0.2)
