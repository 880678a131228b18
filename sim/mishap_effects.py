"""How each mishap works on a bench: a function that begins it and gives back how it ends."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from sim.noise import Normals
from sim.parameters import NEVER, ChargeParameters
from sim.plant import Plant
from sim.sensors import ProbePlace, Sensor
from sim.transmitter import Transmitter

End = Callable[[], None]


@dataclass
class Works:
    """The parts of a bench that a mishap can touch."""

    plant: Plant
    charge: ChargeParameters
    probe: Sensor
    gauge: Sensor
    place: ProbePlace
    transmitter: Transmitter
    noise: Normals
    pour_factor: float = 1.0
    valve_stays_open: bool = False
    valve_meant_closed: bool = False
    valve_looked_after: bool = False  # somebody opened it while it was left open anyway
    leaks: list[float] = field(default_factory=list)  # 1/s each
    layers: dict[object, _Layers] = field(default_factory=dict)
    power_on: Callable[[], None] = lambda: None

    def sensor(self, channel: str) -> Sensor:
        return self.probe if channel == "temperature" else self.gauge


def _nothing() -> None:
    """Some mishaps have no end: the air that went in stays."""


@dataclass
class _Layers:
    """What a thing was before any mishap, and what those still going on make of it, the latest last."""

    base: Any
    active: dict[object, Any] = field(default_factory=dict)


def _layered(works: Works, key: object, value: Any, read: Callable[[], Any], write: Callable[[Any], None]) -> End:
    """Change a value until the end; of several mishaps at once the latest that still goes on decides."""
    layers = works.layers.get(key)
    if layers is None or not layers.active:
        layers = works.layers[key] = _Layers(read())
    ticket = object()
    layers.active[ticket] = value
    write(value)

    def end() -> None:
        del layers.active[ticket]
        write(next(reversed(layers.active.values()), layers.base))

    return end


def _set(works: Works, target: Any, name: str, value: Any) -> End:
    """Set an attribute until the end."""
    key = (id(target), name)
    return _layered(works, key, value, lambda: getattr(target, name), lambda new: setattr(target, name, new))


def _leak(works: Works, mishap: Any) -> End:
    rate = 1.0 / (mishap.efold_h * 3600.0)

    def now() -> None:
        works.plant.leak_rate = sum(works.leaks)

    def end() -> None:
        works.leaks.remove(rate)
        now()

    works.leaks.append(rate)
    now()
    return end


def _stopper_lifts(works: Works, mishap: Any) -> End:
    plant = works.plant
    over = max(mishap.over_kPa + mishap.spread_kPa * works.noise.normal(), 0.5) * 1e3
    plant.lift_pressure = over
    # A stopper that does not reseat lets the pressure fall to the room's and stays loose.
    plant.reseat_pressure = -NEVER if mishap.reseats_kPa is None else min(mishap.reseats_kPa * 1e3, 0.9 * over)
    return _nothing


def _air(works: Works, mishap: Any) -> End:
    works.charge.air_volume += mishap.volume_mL * 1e-6
    return _nothing


def _plunger(works: Works, mishap: Any) -> End:
    works.charge.plunger_drawn = False
    return _nothing


def _valve(works: Works, mishap: Any) -> End:
    free = _set(works, works, "valve_stays_open", True)
    works.plant.valve_open = True

    def end() -> None:
        free()
        works.plant.valve_open = works.valve_stays_open or not works.valve_meant_closed

    return end


def _not_soaked(works: Works, mishap: Any) -> End:
    works.plant.t_bath += mishap.bath_warmer_K
    works.plant.ledger.heat_poured += mishap.bath_warmer_K * works.plant.bath_capacity()
    works.probe.start_at(works.plant.t_bath)
    return _nothing


def _small_charge(works: Works, mishap: Any) -> End:
    works.charge.volume = mishap.volume_mL * 1e-6
    return _nothing


def _wet(works: Works, mishap: Any) -> End:
    works.charge.water_fraction = mishap.mole_percent * 0.01
    return _nothing


def _impure(works: Works, mishap: Any) -> End:
    works.charge.impurity, works.charge.impurity_fraction = mishap.other, mishap.mole_percent * 0.01
    return _nothing


def _cell_lifted(works: Works, mishap: Any) -> End:
    return _set(works, works.plant, "cell_lifted", True)


def _probe_out(works: Works, mishap: Any) -> End:
    place, probe = _set(works, works.place, "in_air", True), _set(works, works.probe, "in_air", True)

    def end() -> None:
        place()
        probe()

    return end


def _inflow(works: Works, mishap: Any) -> End:
    return _set(works, works.place, "inflow_factor", mishap.factor)


def _overheated(works: Works, mishap: Any) -> End:
    return _set(works, works, "pour_factor", mishap.factor)


def _stirrer(works: Works, mishap: Any) -> End:
    return _set(works, works.plant, "stirred", False)


def _cable(works: Works, mishap: Any) -> End:
    return _set(works, works.transmitter, "unplugged", True)


def _restart(works: Works, mishap: Any) -> End:
    on = _set(works, works.transmitter, "off", True)

    def end() -> None:
        on()
        if not works.transmitter.off:
            works.power_on()

    return end


def _power_cut(works: Works, mishap: Any) -> End:
    stirring = _set(works, works.plant, "stirred", False)
    device = _restart(works, mishap)

    def end() -> None:
        stirring()
        device()

    return end


def _noisy(works: Works, mishap: Any) -> End:
    return _set(works, works.transmitter, "spoilt_share", mishap.lines_percent * 0.01)


def _coarse(works: Works, mishap: Any) -> End:
    step = mishap.step if mishap.channel == "temperature" else mishap.step * 1e3
    return _set(works, works.sensor(mishap.channel).parameters, "resolution", step)


def _stuck(works: Works, mishap: Any) -> End:
    return _set(works, works.sensor(mishap.channel), "stuck", True)


def _swapped(works: Works, mishap: Any) -> End:
    return _set(works, works.transmitter, "swapped", True)


def _unit(works: Works, mishap: Any) -> End:
    units, channel = works.transmitter.unit, mishap.channel
    # An empty text is the profile's own unit.
    return _layered(
        works,
        ("unit", channel),
        mishap.unit,
        lambda: units.get(channel, ""),
        lambda unit: units.__setitem__(channel, unit),
    )


#: kind: how it begins
BEGIN: dict[str, Callable[[Works, Any], End]] = {
    "leak": _leak,
    "stopper_lifts": _stopper_lifts,
    "air_with_charge": _air,
    "plunger_left_in": _plunger,
    "valve_left_open": _valve,
    "cell_not_soaked": _not_soaked,
    "small_charge": _small_charge,
    "wet_liquid": _wet,
    "impure_liquid": _impure,
    "cell_lifted": _cell_lifted,
    "probe_out": _probe_out,
    "probe_in_inflow": _inflow,
    "bath_overheated": _overheated,
    "stirrer_stops": _stirrer,
    "cable_pulled": _cable,
    "device_restarts": _restart,
    "power_cut": _power_cut,
    "noisy_line": _noisy,
    "coarse_sensor": _coarse,
    "stuck_sensor": _stuck,
    "sensors_swapped": _swapped,
    "wrong_unit": _unit,
}
