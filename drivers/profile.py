"""Device profiles: how one kind of device speaks, as data. No code is ever executed from a profile."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Literal, Self

import platformdirs
from pydantic import AfterValidator, Field, PositiveFloat, PositiveInt, model_validator

from drivers.conversion_spec import TEMPERATURE_ONLY, Calibration, Conversion, LinearConversion, ThermocoupleConversion
from drivers.errors import ProfileError
from drivers.readings import CHANNEL_UNIT, CHANNELS
from drivers.tomlfile import Record, TomlError, load_model
from drivers.units import UnitError, find_unit, parse_quantity, quantity_of
from drivers.wire_spec import Decoding, Framing, TextLines

SHIPPED = Path(__file__).parent / "profiles"


def user_folder() -> Path:
    """Where a person's own profiles live on this machine."""
    return platformdirs.user_config_path("satline", appauthor=False) / "profiles"


def _known_unit(symbol: str) -> str:
    try:
        return find_unit(symbol).symbol
    except UnitError as error:
        raise ValueError(f"expected {str(error).partition('; expected ')[2]}") from None


UnitName = Annotated[str, AfterValidator(_known_unit)]


class Line(Record):
    """Settings of a serial line, and what to do on opening and closing it."""

    baud: PositiveInt = 115200
    data_bits: Literal[5, 6, 7, 8] = 8
    parity: Literal["none", "even", "odd", "mark", "space"] = "none"
    stop_bits: Literal[1, 2] = 1
    flow: Literal["none", "rts/cts", "xon/xoff"] = "none"
    #: "leave" is what the operating system does by itself (usually: raised on opening).
    dtr: Literal["leave", "on", "off"] = "leave"
    rts: Literal["leave", "on", "off"] = "leave"
    #: Time after opening in which what arrives is thrown away (boards that reset on opening).  [s]
    settle: float = Field(default=0.0, ge=0, le=60)
    start: str = ""
    stop: str = ""


class Identity(Record):
    """What the operating system, or the device itself, says about a device of this kind."""

    vid: int | None = Field(default=None, ge=0, le=0xFFFF)
    pid: int | None = Field(default=None, ge=0, le=0xFFFF)
    serial_number: str = ""
    location: str = ""
    #: Beginning of the answer to `*IDN?`, for devices that are asked.
    idn: str = ""


class Clock(Record):
    """Where sample times come from.

    "device": a field of each frame counts time; "steady": no clock, but a fixed rate; "arrival": neither.
    """

    kind: Literal["device", "steady", "arrival"] = "arrival"
    field: int | str | None = None
    unit: Literal["s", "ms", "us"] = "ms"
    #: Width of the counter, after which it starts from 0 again; 0: it never does.
    bits: int = Field(default=32, ge=0, le=64)

    @model_validator(mode="after")
    def _has_a_field(self) -> Self:
        if (self.kind == "device") != (self.field is not None):
            raise ValueError("expected 'field' with kind = \"device\", and only there")
        return self


class Channel(Record):
    """One column of the device: which channel, how it becomes SI, what is plausible."""

    channel: Literal["temperature", "pressure", "barometer", "room_temperature"]
    field: int | str
    unit: UnitName
    conversion: Conversion = Field(default=LinearConversion(kind="linear"), discriminator="kind")
    calibration: Calibration | None = None
    #: Lowest and highest plausible value, in `unit`; outside, a reading is marked.
    plausible: tuple[float, float] | None = None
    #: Smallest step and standard uncertainty of the device, in `unit`.
    resolution: PositiveFloat | None = None
    uncertainty: PositiveFloat | None = None
    gauge: bool = False
    #: Air pressure to add for a gauge sensor: a value with its unit, or "channel" for the barometer channel.
    barometer: str = ""

    @model_validator(mode="after")
    def _is_of_one_mind(self) -> Self:
        wanted = quantity_of(CHANNEL_UNIT[self.channel])
        if quantity_of(self.unit) != wanted:
            raise ValueError(f"expected a unit of {wanted} for channel {self.channel!r}, not {self.unit!r}")
        if isinstance(self.conversion, TEMPERATURE_ONLY) and wanted != "temperature":
            raise ValueError(f"expected a conversion to {wanted}, not kind {self.conversion.kind!r}")
        if self.plausible is not None and not self.plausible[0] < self.plausible[1]:
            raise ValueError("expected plausible = [lowest, highest] with lowest < highest")
        if self.gauge != bool(self.barometer):
            raise ValueError("expected 'barometer' with gauge = true, and only there")
        if self.gauge and self.channel != "pressure":
            raise ValueError("expected gauge = true on the pressure channel only")
        if self.barometer not in ("", "channel"):
            _expect_quantity(self.barometer, "pressure", "barometer")
        return self


def _expect_quantity(text: str, wanted: str, key: str) -> float:
    try:
        value, quantity = parse_quantity(text)
    except UnitError as error:
        raise ValueError(f"expected {key} as a value with its unit ({error})") from None
    if quantity != wanted:
        raise ValueError(f"expected {key} to be a {wanted}, not {text!r}")
    return value


class Sample(Record):
    """Bytes from a device of this kind and what they mean; the profile's own test.

    Exactly one of `text`, `hex` gives the bytes. `readings` maps channel to value with unit; empty: the frame is
    to give no reading. A value is met when it agrees to half a unit of its last written digit.
    """

    text: str = ""
    hex: str = Field(default="", pattern=r"^([0-9a-fA-F]{2}\s*)*$")
    readings: dict[str, str] = Field(default={})
    #: For a device that is asked: the question that these bytes answer (its text, or its first register's name).
    ask: str = ""
    note: str = ""

    @model_validator(mode="after")
    def _is_complete(self) -> Self:
        if bool(self.text) == bool(self.hex):
            raise ValueError("expected exactly one of 'text' and 'hex' to give the bytes")
        for channel, value in self.readings.items():
            if channel not in CHANNELS:
                near = difflib.get_close_matches(channel, CHANNELS, n=1, cutoff=0.5)
                hint = f"; did you mean {near[0]!r}?" if near else ""
                raise ValueError(f"expected channels of {', '.join(CHANNELS)}, not {channel!r}{hint}")
            if value != "nan":
                _expect_quantity(value, quantity_of(CHANNEL_UNIT[channel]), channel)
        return self

    def data(self) -> bytes:
        """The bytes of the sample."""
        return self.text.encode("utf-8") if self.text else bytes.fromhex(self.hex)


class DeviceProfile(Record):
    """How one kind of device speaks: line, frames, fields, conversions, times, and samples that prove it."""

    name: str = Field(pattern=r"^[a-z0-9][a-z0-9-]{0,62}$")
    title: str
    about: str = ""
    #: Where the wire form is described.
    source: str = ""
    line: Line = Line()
    identity: Identity = Identity()
    framing: Framing = Field(default=TextLines(kind="lines"), discriminator="kind")
    decoding: Decoding = Field(discriminator="kind")
    clock: Clock = Clock()
    #: Readings per second and channel, where the device keeps a rate.  [1/s]
    rate: PositiveFloat | None = None
    channel: tuple[Channel, ...] = Field(min_length=1)
    sample: tuple[Sample, ...] = ()

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        names = [one.channel for one in self.channel]
        if len(set(names)) < len(names):
            raise ValueError("expected each channel once")
        if self.clock.kind == "steady" and self.rate is None:
            raise ValueError("expected 'rate' with clock kind \"steady\"")
        if any(one.barometer == "channel" for one in self.channel) and "barometer" not in names:
            raise ValueError("expected a barometer channel, since the gauge channel refers to it")
        self.decoding.check_fields([*(one.field for one in self.channel), *self._junction_fields()], self.clock.field)
        self.decoding.check_framing(self.framing)
        return self

    @property
    def wire_fields(self) -> list[int | str]:
        """Every field that is read from a frame: the clock's, the channels' in order, the cold junctions'."""
        clock = [self.clock.field] if self.clock.field is not None else []
        return [*clock, *(one.field for one in self.channel), *self._junction_fields()]

    def _junction_fields(self) -> list[int | str]:
        conversions = [one.conversion for one in self.channel]
        return [
            one.junction_field
            for one in conversions
            if isinstance(one, ThermocoupleConversion) and one.junction_field is not None
        ]

    @property
    def protected(self) -> bool:
        """Whether a checksum vouches for every frame; without one a spoilt digit cannot be noticed."""
        sums = (getattr(self.framing, "crc", "none"), getattr(self.decoding, "checksum", "none"))
        return self.decoding.kind == "modbus" or any(one != "none" for one in sums)

    @property
    def asks(self) -> bool:
        """Whether the device only speaks when asked."""
        return self.decoding.asks


def load_profile(name_or_path: str | Path, *, folder: Path | None = None) -> DeviceProfile:
    """Load a profile by name (the person's own before the shipped ones) or by the path of a TOML file.

    Raises
    ------
    ProfileError
        Where there is no such profile.
    TomlError
        Where the file has faults; it lists them all.
    """
    path = Path(name_or_path)
    if path.suffix == ".toml":
        return load_model(path, DeviceProfile)
    found = dict(_files(folder))
    if str(name_or_path) not in found:
        near = difflib.get_close_matches(str(name_or_path), found, n=1, cutoff=0.5)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        raise ProfileError(
            f"no device profile {str(name_or_path)!r}; expected one of {', '.join(sorted(found))}, "
            f"or the path of a .toml file{hint}"
        )
    return load_model(found[str(name_or_path)], DeviceProfile)


def list_profiles(*, folder: Path | None = None) -> list[DeviceProfile]:
    """All usable profiles by name; a person's file with faults is left out (`faulty_profiles` tells why)."""
    return [profile for _, profile in _loaded(folder) if isinstance(profile, DeviceProfile)]


def faulty_profiles(*, folder: Path | None = None) -> list[tuple[Path, TomlError]]:
    """Profiles that cannot be used, with their faults."""
    return [(path, error) for path, error in _loaded(folder) if isinstance(error, TomlError)]


def profile_path(name: str, *, folder: Path | None = None) -> Path | None:
    """The file a named profile comes from, or None."""
    return dict(_files(folder)).get(name)


def _loaded(folder: Path | None) -> Iterator[tuple[Path, DeviceProfile | TomlError]]:
    for _, path in sorted(_files(folder)):
        try:
            yield path, load_model(path, DeviceProfile)
        except TomlError as error:
            yield path, error


def _files(folder: Path | None) -> list[tuple[str, Path]]:
    own = user_folder() if folder is None else folder
    return list({path.stem: path for place in (SHIPPED, own) for path in sorted(place.glob("*.toml"))}.items())
