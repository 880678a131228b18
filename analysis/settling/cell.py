"""What is known about dp/dT of the cell: from the liquid, from the charge, or from the dry gas."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from analysis.settling.follower import CellCurve

#: Enthalpy of vaporisation over R T_b for liquids well below their boiling point. Trouton's rule gives 10.6
#: (88 J/mol/K) at the boiling point; ten to twenty per cent more at room temperature (from memory).
TROUTON = 12.0
#: Normal atmosphere.  [Pa]
ATMOSPHERE = 101325.0


def vapour_slope(temperature: float, pressure_vapour: float) -> float:
    """dp/dT of a saturated vapour from its pressure alone, to about 15 %.  [Pa/K]

    Integrating the Clausius-Clapeyron equation up to the boiling point, where the pressure is one atmosphere
    and the entropy of vaporisation obeys Trouton's rule, gives T_b, and with it the slope here.

    Parameters
    ----------
    temperature : float
        [K]
    pressure_vapour : float
        Vapour pressure; values outside 10 Pa to 90 kPa are taken at that limit.  [Pa]
    """
    p = min(max(pressure_vapour, 10.0), 0.9 * ATMOSPHERE)
    boiling = temperature * (1.0 + math.log(ATMOSPHERE / p) / TROUTON)
    return p * TROUTON * boiling / temperature**2


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of a cell beforehand.

    Attributes
    ----------
    beta
        dp/dT of the total pressure as a function of temperature, [K] -> [Pa/K].
    air_slope
        The part of it that comes from the trapped air, p_air/T.  [Pa/K]
    cooling
        By how much the charge cools when its vapour grows by a pascal, [K] -> [K/Pa].
    """

    beta: Callable[[float], float] | None = None
    air_slope: float | None = None
    cooling: Callable[[float], float] | None = None


class Cell:
    """Phase of the cell (open, dry, charged) and dp/dT in it."""

    def __init__(self, known: Known) -> None:
        self.phase = "open"
        self.since = -math.inf
        self._known = known
        self._air: float | None = None
        self._dry: tuple[float, float] | None = None

    @property
    def beta_known(self) -> bool:
        return self._known.beta is not None

    @property
    def cooling(self) -> Callable[[float], float] | None:
        return self._known.cooling

    def set_known(self, known: Known) -> None:
        self._known = known

    def enter(self, phase: str, time: float) -> None:
        self.phase, self.since = phase, time

    def remember_air(self, temperature: float, pressure: float) -> None:
        """Take p/T of the dry cell as the slope of its air."""
        if math.isfinite(temperature) and math.isfinite(pressure) and temperature > 0.0:
            self._air = pressure / temperature
            self._dry = temperature, pressure

    def air_slope(self, temperature: float, pressure: float) -> float:
        """p_air/T; without any knowledge of the air, what is left when the vapour is small.  [Pa/K]"""
        if self._known.air_slope is not None:
            return self._known.air_slope
        if self._air is not None:
            return self._air
        return min(pressure, ATMOSPHERE) / temperature

    def beta(self, temperature: float, pressure: float) -> float:
        """dp/dT of the total pressure in the present phase; NaN where the readings allow none.  [Pa/K]"""
        if not (math.isfinite(temperature) and math.isfinite(pressure) and temperature > 0.0 and pressure > 0.0):
            return math.nan
        if self.phase != "charged":
            return pressure / temperature
        if self._known.beta is not None:
            value = float(self._known.beta(temperature))
            if math.isfinite(value) and value > 0.0:
                return value
        air = self.air_slope(temperature, pressure)
        return air + vapour_slope(temperature, pressure - air * temperature)

    def fill_size(self, temperature: float, pressure: float, beta: float) -> float:
        """How much pressure the charge has still to build up, in kelvin-equivalents; 0 when it is there already.  [K]

        What stands above the pressure of the dry cell was built up before the charge was marked; differences only, so
        that an offset of the sensor does not matter.
        """
        whole, built = self._filling(temperature, pressure, beta)
        return max(whole - max(built, 0.0), 0.0) / beta

    def fill_begun(self, temperature: float, pressure: float, beta: float) -> bool:
        """Whether the vapour has begun to build up: a charge is sometimes marked before the liquid is in."""
        whole, built = self._filling(temperature, pressure, beta)
        return self._dry is None or built > 0.05 * whole

    def _filling(self, temperature: float, pressure: float, beta: float) -> tuple[float, float]:
        air = self.air_slope(temperature, pressure)
        vapour_slope_here = max(beta - air, 0.02 * beta)
        # p_v = (dp_v/dT) R T^2/(dH), with dH/RT near 15 for the liquids of this method
        whole = vapour_slope_here * temperature / 15.0
        if self._dry is None:
            return whole, 0.0
        return whole, pressure - self._dry[1] - air * (temperature - self._dry[0])

    def ready_for_model(self, time: float, step: float) -> bool:
        """Whether dp/dT is known well enough to start the lag model."""
        if self._known.beta is not None:
            return True
        # Unknown liquid: the vapour pressure has to have built up first; a step of the bath then forces the start.
        waited = time - self.since
        return waited > 240.0 or (waited > 90.0 and math.isfinite(step) and step > self.since)

    def estimated_curve(self, temperature: float, pressure: float) -> CellCurve:
        """dp/dT over the whole range from one pressure (Trouton's rule), for an unknown liquid."""
        air = self.air_slope(temperature, pressure)
        vapour = max(pressure - air * temperature, 10.0)
        slope = vapour_slope(temperature, vapour)
        rise = slope / vapour * temperature  # dH/RT

        def beta(t: float) -> float:
            ratio = temperature / t
            return air + slope * ratio**2 * math.exp(rise * (1.0 - ratio))

        return CellCurve(beta, air, u_gain=0.3, cooling=self.cooling)
