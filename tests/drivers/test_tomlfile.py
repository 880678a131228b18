"""The strict reader: thirty planted faults, each told with file, line, found and expected."""

import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import Field

from drivers.profile import SHIPPED, DeviceProfile, load_profile
from drivers.profile_check import check_samples
from drivers.tomlfile import Record, TomlError, load_model
from drivers.tomllines import key_lines

BENCH = (SHIPPED / "simulated-bench.toml").read_text(encoding="utf-8")
BINARY = (SHIPPED / "packed-binary.toml").read_text(encoding="utf-8")
MODBUS = (SHIPPED / "modbus-registers.toml").read_text(encoding="utf-8")
COUNTS = (SHIPPED / "analogue-counts.toml").read_text(encoding="utf-8")
THERMOCOUPLE = (SHIPPED / "thermocouple-bridge.toml").read_text(encoding="utf-8")

# ruff: noqa: E501
#: (text, what is replaced, by what, the line's own text, key, found, expected)
FAULTS = [
    (BENCH, "baud = 115200", "baud = \"9600\"", "baud", "line.baud", "'9600'", "a whole number"),
    (BENCH, "baud = 115200", "baud = -9600", "baud", "line.baud", "-9600", "a value > 0"),
    (BENCH, "baud = 115200", "baud = 9600.5", "baud", "line.baud", "9600.5", "a whole number"),
    (BENCH, "baud = 115200", "buad = 115200", "buad", "line.buad", "unknown key 'buad'", "did you mean 'baud'?"),
    (BENCH, "baud = 115200", "parity = \"evn\"", "parity", "line.parity", "'evn'", "did you mean 'even'?"),
    (BENCH, "baud = 115200", "stop_bits = 3", "stop_bits", "line.stop_bits", "3", "one of"),
    (BENCH, "baud = 115200", "settle = nan", "settle", "line.settle", "nan", "number"),
    (BENCH, "[line]", "[lines]", "[lines]", "lines", "unknown key 'lines'", "did you mean 'line'?"),
    (BENCH, 'kind = "lines"', 'kind = "line"', "[framing]", "framing", "a table", "did you mean 'lines'?"),
    (BENCH, 'kind = "sentence"', 'kind = "sentense"', "[decoding]", "decoding", "a table", "did you mean 'sentence'?"),
    (BENCH, 'kind = "sentence"\n', "", "[decoding]", "decoding", "nothing", "the key 'kind'"),
    (BENCH, 'address = "SAT"\n', "", "[decoding]", "decoding.address", "nothing", "this key, which is required"),
    (BENCH, 'address = "SAT"', 'address = "sat"', "address", "decoding.address", "'sat'", "pattern"),
    (BENCH, 'channel = "temperature"', 'channel = "temprature"', 'channel = "temprature"', "channel[1].channel", "'temprature'", "did you mean 'temperature'?"),
    (BENCH, 'channel = "pressure"\nfield = 3\nunit = "kPa"', 'channel = "temperature"\nfield = 3\nunit = "degC"', "name", "", "a table", "each channel once"),
    (BENCH, 'unit = "kPa"', 'unit = "kpA"', 'unit = "kpA"', "channel[2].unit", "'kpA'", "did you mean 'kPa'?"),
    (BENCH, 'unit = "kPa"', 'unit = "degC"', "channel = \"pressure\"", "channel[2]", "a table", "a unit of pressure for channel 'pressure', not 'degC'"),
    (BENCH, "plausible = [-20.0, 120.0]", "plausible = [120.0, -20.0]", 'channel = "temperature"', "channel[1]", "a table", "lowest < highest"),
    (BENCH, "plausible = [-20.0, 120.0]", "plausible = [-20.0]", "plausible = [-20.0]", "channel[1].plausible", "nothing", "required"),
    (BENCH, "resolution = 0.01", "resolution = 0", "resolution = 0", "channel[1].resolution", "0", "a value > 0"),
    (BENCH, "resolution = 0.01", "resolution = true", "resolution = true", "channel[1].resolution", "true", "a number"),
    (BENCH, "resolution = 0.01", "gauge = true\nbarometer = \"1 bar\"", 'channel = "temperature"', "channel[1]", "a table", "gauge = true on the pressure channel only"),
    (BENCH, "field = 1\n", "", "[clock]", "clock", "a table", "'field' with kind = \"device\""),
    (BENCH, "field = 2", 'field = "T"', "name", "", "a table", "fields counted from 1, not 'T'"),
    (BENCH, '"21.512 degC"', '"21.512"', "[[sample]]", "sample[1]", "a table", "without a unit"),
    (BENCH, "pressure = \"101.325 kPa\"", "presure = \"101.325 kPa\"", "[[sample]]", "sample[1]", "a table", "did you mean 'pressure'?"),
    (BENCH, "text = \"# simulated", "hex = \"00\"\ntext = \"# simulated", "[[sample]]", "sample[3]", "a table", "exactly one of 'text' and 'hex'"),
    (BENCH, 'title = "The simulated bench"', "title = The simulated bench", "title = The", "", "'title = The simulated bench'", "valid TOML"),
    (BINARY, "payload = 14", "payload = 15", "name", "", "a table", "payload = 14, the bytes of the layout, not 15"),
    (BINARY, 'type = "u32"', 'type = "u31"', "fields", "decoding.fields[2].type", "'u31'", "did you mean"),
    (BINARY, 'field = "T"', 'field = "t"', "name", "", "a table", "one of the fields count, us, T, p, not 't'"),
    (MODBUS, "unit = 1\n", "unit = 300\n", "unit = 300", "decoding.unit", "300", "a value <= 255"),
    (MODBUS, 'order = "ABCD"', 'order = "ABDC"', "register_map", "decoding.register_map[2].order", "'ABDC'", "one of ABCD, CDAB, BADC, DCBA"),
    (COUNTS, "beta = 3950.0, nominal = 10000.0,", "beta = 3950.0,", "conversion = { kind = \"thermistor\"", "channel[1].conversion", "a table", "either a, b and c, or beta and nominal"),
    (COUNTS, "raw_high = 920.7", "raw_high = 102.3", "conversion = { kind = \"two-point\"", "channel[2].conversion", "a table", "raw_low and raw_high to differ"),
    (THERMOCOUPLE, 'type = "K", junction_field = 2', 'type = "K"', "conversion = { kind = \"thermocouple\"", "channel[1].conversion", "a table", "exactly one of junction and junction_field"),
    (THERMOCOUPLE, 'barometer = "101.325 kPa"\n', "", 'channel = "pressure"', "channel[3]", "a table", "'barometer' with gauge = true"),
]  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS, ids=[f"{n:02d}-{fault[4] or 'whole'}" for n, fault in enumerate(FAULTS)])
def test_a_planted_fault_is_told_with_file_line_found_and_expected(fault, tmp_path):
    text, old, new, line_text, key, found, expected = fault
    assert text.count(old) >= 1
    spoilt = text.replace(old, new, 1)
    path = tmp_path / "mine.toml"
    path.write_text(spoilt, encoding="utf-8")
    with pytest.raises(TomlError) as caught:
        load_profile(path)
    (told,) = caught.value.faults
    assert told.file == str(path)
    assert (
        line_text.strip() in spoilt.splitlines()[told.line - 1] or line_text.strip() in spoilt.splitlines()[told.line]
    )
    assert told.key == key
    assert found in told.found
    assert expected in f"{told.expected}; {told.hint}"
    assert str(told).startswith(f"{path}:{told.line}:")


def test_there_are_thirty_faults_and_more():
    assert len(FAULTS) >= 30


def test_every_fault_of_a_file_is_told_at_once_in_the_order_of_its_lines():
    text = (
        BENCH.replace("baud = 115200", "baud = -1")
        .replace('unit = "kPa"', 'unit = "kPas"')
        .replace('unit = "ms"', 'unit = "min"')
    )
    with pytest.raises(TomlError) as caught:
        load_model(text, DeviceProfile, name="mine.toml")
    assert [fault.key for fault in caught.value.faults] == ["line.baud", "clock.unit", "channel[2].unit"]
    assert str(caught.value).splitlines()[0] == "mine.toml:8: line.baud: found -1; expected a value > 0"


SHIPPED_TEXTS = [path.read_text(encoding="utf-8") for path in sorted(SHIPPED.glob("*.toml"))]
OTHER_VALUES = ["0", "-1", "1e400", '""', '"T"', "true", "[]", "{}", "nan", '"none"', "3.5", "[1, 2]", '"\\u0000"']


@pytest.mark.slow
@settings(max_examples=250, deadline=None)
@given(st.data())
def test_a_spoilt_profile_is_refused_with_places_or_works_and_never_ends_in_anything_else(data):
    lines = data.draw(st.sampled_from(SHIPPED_TEXTS)).splitlines()
    for _ in range(data.draw(st.integers(1, 3))):
        place = data.draw(st.integers(0, len(lines) - 1))
        key, equals, _ = lines[place].partition("=")
        other = data.draw(st.sampled_from(["drop", "double", "value", "swap", "cut"]))
        if other == "drop":
            lines[place] = ""
        elif other == "double":
            lines.insert(place, lines[place])
        elif other == "value" and equals:
            lines[place] = f"{key}= {data.draw(st.sampled_from(OTHER_VALUES))}"
        elif other == "swap":
            lines[place], lines[0] = lines[0], lines[place]
        else:
            lines[place] = lines[place][: len(lines[place]) // 2]
    faults = faults_of("\n".join(lines))
    assert all(fault.line >= 1 and fault.found and fault.expected for fault in faults)


def faults_of(text):
    try:
        profile = load_model(text, DeviceProfile, name="spoilt.toml")
    except TomlError as error:
        return error.faults
    check_samples(profile)  # whatever it says of the samples, it must not end in anything else
    return ()


class Inner(Record):
    at: float
    when: datetime.date | None = None


class Outer(Record):
    name: str
    inner: Inner
    limits: tuple[float, ...] = Field(default=(), max_length=3)


def test_a_text_and_a_file_are_read_alike(tmp_path):
    text = 'name = "a"\nlimits = [1, 2.5]\n[inner]\nat = 3\nwhen = 2024-03-01\n'
    (tmp_path / "a.toml").write_text(text)
    record = load_model(text, Outer)
    assert record == load_model(tmp_path / "a.toml", Outer)
    assert (record.limits, record.inner.when) == ((1.0, 2.5), datetime.date(2024, 3, 1))


def test_a_missing_file_is_told(tmp_path):
    with pytest.raises(TomlError, match=r"none\.toml: found No such file or directory; expected a readable TOML file"):
        load_model(tmp_path / "none.toml", Outer)


def test_a_file_that_is_no_text_is_told(tmp_path):
    (tmp_path / "a.toml").write_bytes(b'name = "\xff"')
    with pytest.raises(TomlError, match="found byte 0xff at 8; expected a text in UTF-8"):
        load_model(tmp_path / "a.toml", Outer)


def test_a_file_that_no_person_wrote_is_not_read(tmp_path):
    (tmp_path / "a.toml").write_bytes(b"#" * 1_000_001)
    with pytest.raises(TomlError, match="found more than 1000000 bytes; expected a file that a person wrote"):
        load_model(tmp_path / "a.toml", Outer)
    (tmp_path / "a.toml").write_bytes(b'name = "a"\r\n[inner]\r\nat = 3\r\n#' + b"#" * 990_000)
    assert load_model(tmp_path / "a.toml", Outer).name == "a"


@pytest.mark.parametrize("dots", [200, 2_000, 20_000])
def test_a_key_within_keys_without_end_is_told(dots):
    with pytest.raises(TomlError, match="found"):
        load_model("a." * dots + "b = 1", Outer)


def test_endless_brackets_are_told():
    with pytest.raises(TomlError, match="found brackets within brackets without end"):
        load_model("name = " + "[" * 100_000, Outer)


def test_a_record_can_not_be_changed_and_takes_no_infinity():
    record = load_model('name = "a"\n[inner]\nat = 3\n', Outer)
    with pytest.raises(ValueError, match="frozen"):
        record.name = "b"
    with pytest.raises(TomlError, match="found inf; expected a finite number"):
        load_model('name = "a"\n[inner]\nat = inf\n', Outer)


def test_lines_of_keys_are_found_through_tables_arrays_and_long_strings():
    text = 'a = 1\nlong = """\n[not.a.table]\nb = 2\n"""\n[t]\nx.y = 3\n[[list]]\nk = 1\n[list.sub]\nm = 1\n[[list]]\n"k" = 2 # [no]\n'
    lines = key_lines(text)
    assert lines[("a",)] == 1
    assert lines[("long",)] == 2
    assert lines[("t", "x", "y")] == 7
    assert lines[("list", 0, "sub", "m")] == 11
    assert lines[("list", 1, "k")] == 13
    assert ("b",) not in lines
