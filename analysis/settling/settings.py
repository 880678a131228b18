"""The settings of the settling judge: defaults, and what each costs and gains."""

from __future__ import annotations

from dataclasses import dataclass

from analysis.settling.records import PRESSURE, TEMPERATURE, SettlingInputError


@dataclass(frozen=True)
class SettlingSettings:
    """How strict the judge is: what each setting does, what it gains, and what it costs.

    Parameters
    ----------
    tolerance : float
        What may still be to come in a channel when it counts as level, in kelvin-equivalents (pressure divided by
        dp/dT).  0.1 K by default: six points over 30 K with 0.1 K at random each give about 0.4 % in the enthalpy.
        Half of it (strict) costs about 30 s a point; sensors that cannot do better widen it and say so.  [K]
    mode : str
        "raw": wait until the readings themselves are level; a point is then good even for someone who distrusts the
        lag correction.  "corrected": accept as soon as the lag-corrected pair is known well enough and
        the bath is seen not to cycle; gains about a minute a point, and the uncorrected reading is then not level.
    channels : tuple of str
        Which channels decide; one may be left out when the bench has one sensor only.  Pressure alone can only be
        asked to be flat, which a bath that loses heat may never grant.
    max_drift : float
        Faster than this the bath counts as still being heated.  Higher accepts worse baths and makes a slow ramp look
        like a plateau.  [K/s]
    hold : float
        The conditions must hold for this long before a plateau is proposed: costs its own length at every point, saves
        a proposal that is withdrawn again.  [s]
    assumed_lag, u_assumed_lag : float
        Lag of the pressure behind the probe on a slow drift while the lag model is not running: median of a simulation
        study over ordinary flasks, and half its 5-95 % range.  [s]
    assumed_gas_lag, u_assumed_gas_lag : float
        The same for a dry cell, where only the gas follows the bath.  [s]
    pair_window : float
        Window of the pair test, which serves where the lag model cannot: shorter is quicker and lets more noise and
        more unfinished transients through.  [s]
    straight_window : float
        Over this long the bath must have drifted steadily ("is it cycling?" otherwise).  Longer finds
        slower cycles.  [s]
    least_wait : float
        No plateau earlier than this after a change.  [s]
    raw_share : float
        Share of the tolerance that the remaining change plus 1.96 standard uncertainties may use up in raw mode.  Each
        0.05 less costs about 4 s a point; at 1.0 one point in a hundred comes early.
    corrected_share : float
        The same for 1.96 standard uncertainties of the corrected pair in corrected mode.
    largest_lag : float
        Corrected mode does not correct more than this.  [K]
    lag_share, remaining_share : float
        Uncertainty of the corrected pair that the lag model itself leaves open, as shares of lag and remaining change:
        the price of physics that the model does not contain.
    leak_probability, leak_rate : float
        A leak is reported when it is this likely and at least this fast.  Lower finds smaller leaks and calls slow
        flasks leaky.  [-, K-equivalents per second]
    """

    tolerance: float = 0.1
    mode: str = "raw"
    channels: tuple[str, ...] = (TEMPERATURE, PRESSURE)
    max_drift: float = 0.6 / 60.0
    hold: float = 3.0
    assumed_lag: float = 59.0
    u_assumed_lag: float = 17.0
    assumed_gas_lag: float = 34.0
    u_assumed_gas_lag: float = 12.0
    pair_window: float = 90.0
    straight_window: float = 120.0
    least_wait: float = 60.0
    raw_share: float = 0.9
    corrected_share: float = 0.55
    largest_lag: float = 1.5
    lag_share: float = 0.02
    remaining_share: float = 0.05
    leak_probability: float = 0.5
    leak_rate: float = 0.1 / 60.0

    def __post_init__(self) -> None:
        if not 0.001 <= self.tolerance <= 10.0:
            raise SettlingInputError(
                f"the settling tolerance is {self.tolerance:g} K; expected 0.001 K to 10 K (0.1 K is usual)"
            )
        if self.mode not in ("raw", "corrected"):
            raise SettlingInputError(f"the settling mode is {self.mode!r}; expected 'raw' or 'corrected'")
        if not self.channels or set(self.channels) - {TEMPERATURE, PRESSURE}:
            raise SettlingInputError(
                f"the settling channels are {self.channels!r}; expected 'temperature', 'pressure' or both"
            )
