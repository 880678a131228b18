"""A simulated run as a text file: what bench, which liquid, what goes wrong, and what may be learnt from it."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Annotated, Any, Self

from pydantic import Field, field_validator, model_validator

from drivers.tomlfile import Record, TomlError, load_model
from sim.errors import ScenarioError, UnknownNameError
from sim.liquids import list_liquids
from sim.mishap_records import AnyMishap, ImpureLiquid, WrongUnit
from sim.scenario_parts import (
    BathPart,
    CellPart,
    ChargePart,
    DevicePart,
    OperatorPart,
    PressureSensorPart,
    ProcedurePart,
    RoomPart,
    TemperatureSensorPart,
)
from sim.unit_factors import UNITS

_FOLDER = Path(__file__).parent / "scenarios"
DEFAULT = "calm"


class Scenario(Record):
    """One scenario. Keys carry their unit; the properties give SI.

    Threads: frozen, may be shared.
    """

    name: Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]*$")]
    title: str
    summary: str = ""
    aims: tuple[str, ...] = ()
    liquid: str = "n-heptane"
    blind: bool = False  # the trainee is not told what goes wrong
    room: RoomPart = RoomPart()
    bath: BathPart = BathPart()
    cell: CellPart = CellPart()
    charge: ChargePart = ChargePart()
    temperature: TemperatureSensorPart = TemperatureSensorPart()
    pressure: PressureSensorPart = PressureSensorPart()
    device: DevicePart = DevicePart()
    procedure: ProcedurePart = ProcedurePart()
    operator: OperatorPart = OperatorPart()
    mishaps: tuple[AnyMishap, ...] = ()

    @field_validator("liquid")
    @classmethod
    def _known_liquid(cls, value: str) -> str:
        if value not in list_liquids():
            raise ValueError(f"expected one of {', '.join(list_liquids())}")
        return value

    @model_validator(mode="after")
    def _holds_together(self) -> Self:
        for mishap in self.mishaps:
            if isinstance(mishap, ImpureLiquid) and mishap.other not in list_liquids():
                raise ValueError(f"expected 'other' of impure_liquid to be one of {', '.join(list_liquids())}")
            if isinstance(mishap, WrongUnit) and UNITS[mishap.unit][0] != mishap.channel:
                raise ValueError(f"expected a unit of {mishap.channel} in wrong_unit, not {mishap.unit!r}")
        if self.charge.volume_mL > 0.8 * self.cell.volume_mL:
            raise ValueError("expected a charge of less than 80 % of the cell")
        if self.bath.volume_mL > self.bath.capacity_mL:
            raise ValueError("expected a bath volume within the bath's capacity")
        return self

    @property
    def room_temperature(self) -> float:
        """[K]"""
        return self.room.temperature_degC + 273.15

    @property
    def room_pressure(self) -> float:
        """[Pa]"""
        return self.room.pressure_kPa * 1e3

    @property
    def humidity(self) -> float:
        """Relative humidity of the room, 0 to 1."""
        return self.room.humidity_percent * 0.01

    @property
    def cell_volume(self) -> float:
        """Nominal volume of the cell, which is what the people at the bench know.  [m3]"""
        return self.cell.volume_mL * 1e-6

    @property
    def u_cell_volume(self) -> float:
        """[m3]"""
        return self.cell.u_volume_mL * 1e-6

    @property
    def charge_volume(self) -> float:
        """Nominal charge.  [m3]"""
        return self.charge.volume_mL * 1e-6

    @property
    def u_charge_volume(self) -> float:
        """[m3]"""
        return self.charge.u_volume_mL * 1e-6

    @property
    def tube_volume(self) -> float:
        """[m3]"""
        return self.cell.tube_mL * 1e-6

    @property
    def neck_fraction(self) -> float:
        """Share of the gas space above the water line, 0 to 1."""
        return self.cell.neck_percent * 0.01

    @property
    def bath_volume(self) -> float:
        """[m3]"""
        return self.bath.volume_mL * 1e-6

    @property
    def bath_limit(self) -> float:
        """[K]"""
        return self.bath.limit_degC + 273.15

    @property
    def targets(self) -> tuple[float, ...]:
        """Bath temperatures of the plateaus, in order, without the first at room temperature.  [K]"""
        return tuple(value + 273.15 for value in self.procedure.targets_degC)

    @property
    def return_target(self) -> float | None:
        """Bath temperature of the return point.  [K]"""
        value = self.procedure.return_degC
        return None if value is None else value + 273.15

    @property
    def hot_water(self) -> float:
        """[K]"""
        return self.procedure.hot_water_degC + 273.15

    @property
    def cold_water(self) -> float:
        """[K]"""
        return self.procedure.cold_water_degC + 273.15


def load_scenario(name_or_path: str | Path) -> Scenario:
    """A shipped scenario by name, or one from a file (a path, or text that ends in ``.toml``).

    Raises
    ------
    UnknownNameError
        No such scenario is shipped.
    ScenarioError
        The file has faults; all are listed with file, line, found, expected.
    """
    text = str(name_or_path)
    if isinstance(name_or_path, Path) or text.endswith(".toml"):
        return _read(Path(name_or_path))
    shipped = _shipped()
    if text not in shipped:
        raise UnknownNameError("scenario", text, shipped)
    return shipped[text]


def list_scenarios() -> list[Scenario]:
    """The shipped scenarios, the default first, then by name."""
    return sorted(_shipped().values(), key=lambda scenario: (scenario.name != DEFAULT, scenario.name))


def scenario_text(name: str) -> str:
    """The file of a shipped scenario, comments and all: the best start for one's own.

    Raises
    ------
    UnknownNameError
        No such scenario is shipped.
    """
    shipped = _shipped()
    if name not in shipped:
        raise UnknownNameError("scenario", name, shipped)
    return (_FOLDER / f"{name}.toml").read_text(encoding="utf-8")


def scenario_schema() -> dict[str, Any]:
    """JSON Schema of a scenario, for editors that check while one types."""
    return Scenario.model_json_schema()


@cache
def _shipped() -> dict[str, Scenario]:
    found = {}
    for path in sorted(_FOLDER.glob("*.toml")):
        scenario = _read(path)
        if scenario.name != path.stem:
            raise ScenarioError(f"{path.name}: found name {scenario.name!r}; expected {path.stem!r}, like the file")
        found[scenario.name] = scenario
    return found


def _read(path: Path) -> Scenario:
    try:
        return load_model(path, Scenario, name=path.name)
    except TomlError as error:
        raise ScenarioError(str(error)) from error
