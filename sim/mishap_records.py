"""What can go wrong on a simulated bench, as data: kind, onset, size. How it works is in `mishap_effects`."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal, get_args

from pydantic import Field

from drivers.tomlfile import Record

When = Literal["start", "close_valve", "open_valve", "charge", "pour"]
ChannelName = Literal["temperature", "pressure"]
_Positive = Annotated[float, Field(gt=0)]


class Mishap(Record):
    """Common to all: it begins `after_s` after the `count`-th act of the kind `when`, and lasts `for_s`.

    `when = "start"` counts from the start of the run. Without `for_s` it lasts to the end of the run.
    """

    words: ClassVar[str] = ""
    #: Whether the bench itself misbehaves (True) or only what the device says about it.
    physical: ClassVar[bool] = True
    #: Whether it takes effect with the charge, however early it is set.
    with_charge: ClassVar[bool] = False

    when: When = "start"
    count: Annotated[int, Field(ge=1)] = 1
    after_s: Annotated[float, Field(ge=0)] = 0.0
    for_s: _Positive | None = None

    @classmethod
    def kind_name(cls) -> str:
        """The kind, as the scenario file writes it."""
        return str(get_args(cls.model_fields["kind"].annotation)[0])

    @property
    def name(self) -> str:
        """The kind of this one."""
        return self.kind_name()

    def size(self) -> dict[str, Any]:
        """What the file says about its size."""
        common = set(Mishap.model_fields) | {"kind"}
        return {key: value for key, value in self.model_dump().items() if key not in common}


class Leak(Mishap):
    """Gas passes a seal; the over-pressure falls to 1/e in `efold_h` hours."""

    words: ClassVar[str] = "the cell leaks"
    kind: Literal["leak"]
    efold_h: _Positive = 3.0


class StopperLifts(Mishap):
    """The stopper lifts at an over-pressure (drawn once, normal spread) and may fall back at a lower one."""

    words: ClassVar[str] = "the stopper lifts"
    kind: Literal["stopper_lifts"]
    over_kPa: _Positive = 15.0
    spread_kPa: Annotated[float, Field(ge=0)] = 1.0
    reseats_kPa: Annotated[float, Field(ge=0)] | None = None


class AirWithCharge(Mishap):
    """Room air goes in with the liquid."""

    words: ClassVar[str] = "air went in with the liquid"
    with_charge: ClassVar[bool] = True
    kind: Literal["air_with_charge"]
    volume_mL: _Positive = 0.5


class PlungerLeftIn(Mishap):
    """The plunger is not drawn back, so the liquid compresses the air."""

    words: ClassVar[str] = "the plunger was not drawn back"
    with_charge: ClassVar[bool] = True
    kind: Literal["plunger_left_in"]


class ValveLeftOpen(Mishap):
    """The valve is thought closed but is not, until `for_s` after it was."""

    words: ClassVar[str] = "the valve was left open"
    kind: Literal["valve_left_open"]


class CellNotSoaked(Mishap):
    """The bath is warmer than the cell when the run starts."""

    words: ClassVar[str] = "the cell was not given time to reach the bath's temperature"
    kind: Literal["cell_not_soaked"]
    bath_warmer_K: Annotated[float, Field(ge=-15, le=25)] = 3.0


class SmallCharge(Mishap):
    """Less liquid goes in than was meant; it may dry up."""

    words: ClassVar[str] = "too little liquid was charged"
    with_charge: ClassVar[bool] = True
    kind: Literal["small_charge"]
    volume_mL: _Positive = 0.05


class WetLiquid(Mishap):
    """The liquid holds water."""

    words: ClassVar[str] = "the liquid was wet"
    with_charge: ClassVar[bool] = True
    kind: Literal["wet_liquid"]
    mole_percent: Annotated[float, Field(gt=0, lt=60)] = 5.0


class ImpureLiquid(Mishap):
    """The liquid holds another one; ideal mixture (Raoult)."""

    words: ClassVar[str] = "the liquid was impure"
    with_charge: ClassVar[bool] = True
    kind: Literal["impure_liquid"]
    other: str
    mole_percent: Annotated[float, Field(gt=0, lt=60)] = 5.0


class CellLifted(Mishap):
    """The cell hangs in air for a while."""

    words: ClassVar[str] = "the cell was out of the bath"
    kind: Literal["cell_lifted"]
    for_s: _Positive | None = 60.0


class ProbeOut(Mishap):
    """The probe hangs in air for a while."""

    words: ClassVar[str] = "the probe was out of the water"
    kind: Literal["probe_out"]
    for_s: _Positive | None = 60.0


class ProbeInInflow(Mishap):
    """The probe sits where the hot water comes in: it sees the poured water `factor` times stronger."""

    words: ClassVar[str] = "the probe touched the inflow"
    kind: Literal["probe_in_inflow"]
    factor: _Positive = 4.0


class BathOverheated(Mishap):
    """From the onset on, the next water poured is `factor` times what was meant; lasts one act by default."""

    words: ClassVar[str] = "too much hot water was poured"
    kind: Literal["bath_overheated"]
    factor: _Positive = 3.0
    for_s: _Positive | None = 60.0


class StirrerStops(Mishap):
    """Nobody stirs the bath."""

    words: ClassVar[str] = "the bath was not stirred"
    kind: Literal["stirrer_stops"]


class CablePulled(Mishap):
    """The line is dead; the device goes on."""

    words: ClassVar[str] = "the cable was pulled"
    physical: ClassVar[bool] = False
    kind: Literal["cable_pulled"]
    for_s: _Positive | None = 20.0


class DeviceRestarts(Mishap):
    """The device is off for a moment and starts again: banner, clock at zero, warm-up."""

    words: ClassVar[str] = "the device restarted"
    physical: ClassVar[bool] = False
    kind: Literal["device_restarts"]
    for_s: _Positive | None = 2.0


class PowerCut(Mishap):
    """Device and stirrer are off for a while."""

    words: ClassVar[str] = "the power was cut"
    physical: ClassVar[bool] = False
    kind: Literal["power_cut"]
    for_s: _Positive | None = 90.0


class NoisyLine(Mishap):
    """A share of the lines arrives spoilt: a bit turned, a byte lost or one too many."""

    words: ClassVar[str] = "the line was disturbed"
    physical: ClassVar[bool] = False
    kind: Literal["noisy_line"]
    lines_percent: Annotated[float, Field(gt=0, le=100)] = 5.0


class CoarseSensor(Mishap):
    """One channel comes in coarse steps (in K or kPa)."""

    words: ClassVar[str] = "a sensor spoke in coarse steps"
    physical: ClassVar[bool] = False
    kind: Literal["coarse_sensor"]
    channel: ChannelName = "temperature"
    step: _Positive = 0.5


class StuckSensor(Mishap):
    """One channel repeats its last value."""

    words: ClassVar[str] = "a sensor was stuck"
    physical: ClassVar[bool] = False
    kind: Literal["stuck_sensor"]
    channel: ChannelName = "pressure"


class SensorsSwapped(Mishap):
    """Each number stands in the other's place."""

    words: ClassVar[str] = "the two sensors were swapped"
    physical: ClassVar[bool] = False
    kind: Literal["sensors_swapped"]


class WrongUnit(Mishap):
    """One channel is sent in another unit than the profile says."""

    words: ClassVar[str] = "a sensor was set to another unit"
    physical: ClassVar[bool] = False
    kind: Literal["wrong_unit"]
    channel: ChannelName = "temperature"
    unit: Literal["K", "degF", "Pa", "hPa", "bar", "mmHg", "psi", "inHg", "atm", "Torr"] = "degF"


AnyMishap = Annotated[
    Leak
    | StopperLifts
    | AirWithCharge
    | PlungerLeftIn
    | ValveLeftOpen
    | CellNotSoaked
    | SmallCharge
    | WetLiquid
    | ImpureLiquid
    | CellLifted
    | ProbeOut
    | ProbeInInflow
    | BathOverheated
    | StirrerStops
    | CablePulled
    | DeviceRestarts
    | PowerCut
    | NoisyLine
    | CoarseSensor
    | StuckSensor
    | SensorsSwapped
    | WrongUnit,
    Field(discriminator="kind"),
]


def mishap_classes() -> tuple[type[Mishap], ...]:
    """The record of every kind, in the order above."""
    return get_args(get_args(AnyMishap)[0])
