"""When have noisy readings settled, what is still to come, and how long will it take?

How to use it::

    blocker = Blocker()
    judge = Judge(SettlingSettings(), beta=liquid_beta, air_slope=None)
    ...
    blocker.add("temperature", times, values)       # good readings only, any chunks  [s, K]
    blocker.add("pressure", times, values)          # [s, Pa]
    for block in blocker.close(int(now) - 1):        # the caller decides when a second is over
        judgement = judge.update(block)
        if judgement.ready:                          # propose judgement.window
            point = plateau_point(blocks, judgement)  # analysis.plateau; blocks: the last 200 or so

**What to tell the judge** (each once, at the time it happened; none forgets what was learned about the cell):

- `judge.valve_opened(time)`: the cell is open to the room (also the state at the start). The pressure is then
  asked to be flat by itself: this is where the room baseline is recognised.
- `judge.cell_closed(time)`: closed and still dry. The pressure has to follow the temperature as dry gas: this is
  where the sealed baseline is recognised.
- `judge.charged(time)`: the liquid is in. From here on the pressure follows as air plus saturated vapour, with a
  lag.
- `judge.step(time)`: an optional hint that hot or cold water went in (or any other change of the bath). Steps are
  also found from the temperature alone, some seconds later.
- `judge.disturbed(time)`: an optional hint that the cell was lifted, swirled or knocked.

`ready` stays True while the plateau lasts: after a point was taken wait for the next step before the next one.

**beta**, dp/dT of the *total* pressure in Pa/K as a function of the temperature in K, comes from the liquid where
that is known: `beta = lambda T: liquid.beta(T) + air_pressure / T`. 15 % accuracy is enough, the rest is learned.
Replace it any time with `judge.set_beta(beta, air_slope)`. With `beta=None` the judge estimates it: from the
pressure gained by the charge (Trouton's rule), until the steps themselves have shown it. **air_slope** is the part
of beta that the trapped air has, p_air/T of the sealed baseline [Pa/K]; None: taken from the pressure just before
the charge.

Everything is pure and deterministic: no clock, no randomness, bounded memory, constant work per block.
"""

from analysis.settling.blocks import Blocker, robust_mean
from analysis.settling.judge import Judge
from analysis.settling.records import (
    PRESSURE,
    TEMPERATURE,
    Block,
    ChannelState,
    Gate,
    Judgement,
    SettlingInputError,
    State,
)
from analysis.settling.settings import SettlingSettings

__all__ = [
    "PRESSURE",
    "TEMPERATURE",
    "Block",
    "Blocker",
    "ChannelState",
    "Gate",
    "Judge",
    "Judgement",
    "SettlingInputError",
    "SettlingSettings",
    "State",
    "robust_mean",
]
