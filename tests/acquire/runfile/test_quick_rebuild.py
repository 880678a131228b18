"""A whole raw journal is made into the same run file at once as frame by frame; anything odd goes the careful way."""

from __future__ import annotations

import h5py
import numpy as np
import pytest

from acquire.journal import Journal
from acquire.raw_columns import NotWhole, RawColumns
from acquire.raw_journal import HEAD, MAGIC, Kind, RawJournal
from acquire.runfile import quick_rebuild, rebuild
from acquire.runfile.errors import DamagedFileError
from acquire.runfile.integrity import verify
from acquire.runfile.layout import RunHeader
from acquire.runfile.packing import Filters, PackedColumn, Packers, check_chunks, fletcher32, pieces
from acquire.runfile.reader import RunFile, read_run
from acquire.runfile.seal import object_digest
from drivers.profile import profile_path
from drivers.readings import BAROMETER, PRESSURE, TEMPERATURE, Quality, Readings, Received
from tests.acquire.runfile.sample_run import BASELINES, END, POINTS, RESULT, START, entry

PROFILE_TEXT = profile_path("simulated-bench").read_text(encoding="utf-8")


def readings(channel, first, count, *, digits=3, quality=0, u_time=1e-4, offset=0.0):
    index = np.arange(first, first + count)
    raw = np.round(21.0 + np.sin(index / 500.0) + offset, digits)
    return Readings(channel, 0.5 + index * 1e-3, raw + 273.15, raw, np.full(count, quality, np.uint8), u_time)


def rows(number):
    """A block length that is never the same for long."""
    return 1 + number * 7919 % 37


def journal(tmp_path, blocks, *, entries=3, ended=None, profiles=None):
    """A raw journal of (device, Readings or Received)."""
    raw = RawJournal(
        tmp_path / "run.h5.raw", RunHeader("t", START, "satline 0.1.0", profile_texts=profiles or {}).__dict__
    )
    written = Journal()
    for number, (device, item) in enumerate(blocks):
        if isinstance(item, Readings):
            raw.readings(device, item)
        else:
            raw.received(device, item)
        if number % (len(blocks) // entries + 1) == 0:
            raw.entries([entry(written, number, text=f"entry {number}")])
    if ended is not None:
        raw.ended(ended)
    raw.close()
    return raw.path


def usual(seconds=2.0):
    """Two channels of one line, in short blocks, with the bytes they came from."""
    blocks, at, number = [], 0, 0
    while at < seconds * 1000:
        count = rows(number)
        blocks.append(("bench", Received(at / 1000, b"x" * (20 * count))))
        blocks += [("bench", readings(channel, at, count)) for channel in (TEMPERATURE, PRESSURE)]
        at, number = at + count, number + 1
    return blocks


def content(path):
    """Everything that two files made of the same journal have in common."""
    with RunFile(path) as run:
        digests = run.seal().digests
        own = {"/", "/entry", "/entry/entry_identifier_uuid"}
        levels = {name: run.hdf[f"entry/overview_pressure/{name}"][()] for name in run.hdf["entry/overview_pressure"]}
        return {name: sha for name, sha in digests.items() if name not in own}, levels


def both(tmp_path, raw):
    """The file made at once, and the one made frame by frame."""
    quick, careful = tmp_path / "quick.h5", tmp_path / "careful.h5"
    rebuild._rebuild_whole(RawColumns(raw), quick, END, thorough=True)
    rebuild._rebuild_damaged(raw, careful, END)
    return quick, careful


def assert_same(tmp_path, raw):
    quick, careful = both(tmp_path, raw)
    (ours, our_levels), (theirs, their_levels) = content(quick), content(careful)
    assert ours == theirs
    for name, level in our_levels.items():
        np.testing.assert_array_equal(level, their_levels[name])
    assert verify(quick).state == verify(careful).state
    return read_run(quick)


def test_a_usual_run(tmp_path):
    run = assert_same(tmp_path, journal(tmp_path, usual(3.0)))
    assert len(run.traces[PRESSURE].time) == len(run.traces[TEMPERATURE].time) >= 3000
    assert len(run.journal) == 3


def test_a_run_longer_than_a_group_of_chunks(tmp_path, monkeypatch):
    monkeypatch.setattr(quick_rebuild, "GROUP", 32768)
    blocks = [("bench", readings(c, at, 1000)) for at in range(0, 70_000, 1000) for c in (TEMPERATURE, PRESSURE)]
    run = assert_same(tmp_path, journal(tmp_path, blocks))
    np.testing.assert_array_equal(run.traces[PRESSURE].raw, readings(PRESSURE, 0, 70_000).raw)


def test_a_run_so_long_that_its_columns_claim_more_than_the_file_still_holds(tmp_path, monkeypatch):
    raw = journal(tmp_path, [("bench", readings(c, 0, 60_000)) for c in (TEMPERATURE, PRESSURE)])
    with monkeypatch.context() as patched:
        patched.setattr("acquire.runfile.columns.SMALL", 0)
        patched.setattr("acquire.runfile.columns.DEFLATE_LIMIT", 2)
        rebuild._rebuild_whole(RawColumns(raw), tmp_path / "quick.h5", END, thorough=False)
    assert len(read_run(tmp_path / "quick.h5").traces[PRESSURE].time) == 60_000


def test_the_end_of_the_run_as_it_was_closed(tmp_path):
    closing = rebuild.closing_data(END, POINTS, BASELINES, [RESULT], {"note": "t"})
    run = assert_same(tmp_path, journal(tmp_path, usual(), ended=closing))
    assert run.end_time == END
    assert run.points == tuple(POINTS)


def test_finer_raw_values_late_in_the_run(tmp_path, monkeypatch):
    monkeypatch.setattr("acquire.raw_columns.STRETCH", 1 << 19)
    monkeypatch.setattr(quick_rebuild, "GROUP", 32768)
    blocks = [("bench", readings(c, at, 1000)) for at in range(0, 40_000, 1000) for c in (TEMPERATURE, PRESSURE)]
    finer = [("bench", readings(c, 40_000, 100, digits=5)) for c in (TEMPERATURE, PRESSURE)]
    not_decimal = [("bench", readings(TEMPERATURE, 40_100, 3, digits=15))]
    run = assert_same(tmp_path, journal(tmp_path, blocks + finer + not_decimal))
    assert run.traces[TEMPERATURE].raw[-1] == not_decimal[0][1].raw[-1]
    with RunFile(tmp_path / "quick.h5") as file:
        kinds = [
            file.hdf[f"entry/instrument/{name}/value_log/raw_value"].dtype for name in ("thermometer", "manometer")
        ]
    assert [str(kind) for kind in kinds] == ["float64", "int32"]


def test_times_that_part_late_in_the_run(tmp_path, monkeypatch):
    monkeypatch.setattr("acquire.raw_columns.STRETCH", 1 << 14)
    late = readings(PRESSURE, 5000, 10)
    other = Readings(PRESSURE, late.time + 1e-7, late.value, late.raw, late.quality, late.u_time)
    blocks = [("bench", readings(c, at, 100)) for at in range(0, 5000, 100) for c in (TEMPERATURE, PRESSURE)]
    blocks += [("bench", readings(TEMPERATURE, 5000, 10)), ("bench", other)]
    run = assert_same(tmp_path, journal(tmp_path, blocks))
    assert run.traces[PRESSURE].time[-1] == other.time[-1]


def test_two_devices_a_late_third_channel_and_uncertain_times(tmp_path, monkeypatch):
    monkeypatch.setattr("acquire.raw_columns.STRETCH", 1 << 11)
    blocks = []
    for number in range(60):
        blocks.append(("probe", readings(TEMPERATURE, number * 10, 10, u_time=1e-4 if number < 30 else 2e-3)))
        blocks.append(("gauge", Received(number / 100, b"gauge")))
        blocks.append(("gauge", readings(PRESSURE, number * 10, 9, quality=Quality.LATE if number == 7 else 0)))
    blocks.append(("weather", readings(BAROMETER, 0, 2)))
    blocks.append(("spare", readings(TEMPERATURE, 600, 1)))
    run = assert_same(tmp_path, journal(tmp_path, blocks))
    assert run.traces[TEMPERATURE].device == "probe + spare"
    assert len(run.traces[BAROMETER].time) == 2


def test_readings_that_are_not_numbers(tmp_path):
    block = readings(TEMPERATURE, 0, 500)
    value, raw = block.value.copy(), block.raw.copy()
    value[100:200] = raw[100:200] = np.nan
    quality = np.where(np.isnan(value), Quality.NOT_A_NUMBER, 0).astype(np.uint8)
    blocks = [("bench", Readings(TEMPERATURE, block.time, value, raw, quality, 0.0))]
    blocks.append(("bench", readings(PRESSURE, 0, 500)))
    assert_same(tmp_path, journal(tmp_path, blocks))


def test_a_run_without_a_reading(tmp_path):
    assert_same(tmp_path, journal(tmp_path, [("bench", Received(0.0, b"noise"))]))


@pytest.mark.parametrize("most", [300, 100_000])
def test_more_bytes_from_the_line_than_are_kept(tmp_path, monkeypatch, most):
    for place in ("acquire.runfile.received", "acquire.runfile.quick_rebuild"):
        monkeypatch.setattr(f"{place}.FIRST_BYTES", most)
        monkeypatch.setattr(f"{place}.LAST_BYTES", most)
    assert_same(tmp_path, journal(tmp_path, usual(5.0)))


@pytest.mark.parametrize("stretch", [64, 1000])
def test_wherever_the_journal_is_cut_for_reading(tmp_path, monkeypatch, stretch):
    monkeypatch.setattr("acquire.raw_columns.STRETCH", stretch)
    monkeypatch.setattr("acquire.raw_columns.SOUGHT", 512)
    run = assert_same(tmp_path, journal(tmp_path, usual(0.5)))
    np.testing.assert_array_equal(run.traces[PRESSURE].raw, readings(PRESSURE, 0, len(run.traces[PRESSURE].raw)).raw)


def test_the_mark_of_a_frame_inside_bytes_of_the_line(tmp_path):
    blocks = usual(0.2)
    blocks[3:3] = [("bench", Received(0.0, MAGIC + b"12345" + MAGIC * 3))]
    raw = journal(tmp_path, blocks)
    assert_same(tmp_path, raw)


@pytest.mark.parametrize("left", [3, 12, 60])
def test_an_unfinished_last_frame_is_passed_over(tmp_path, left):
    raw = journal(tmp_path, usual(0.3))
    whole = raw.read_bytes()
    last = whole.rindex(MAGIC)
    raw.write_bytes(whole[: last + left])
    run = assert_same(tmp_path, raw)
    assert 250 < len(run.traces[TEMPERATURE].time) < 400


def damaged(raw, kind):
    data = bytearray(raw.read_bytes())
    places = [at for at in range(len(data)) if data[at : at + 4] == MAGIC]
    one = next(at for at in places[8:] if data[at + 4] == kind)
    return data, one


@pytest.mark.parametrize(
    "spoil",
    [
        lambda data, at: data.__setitem__(at + HEAD.size + 40, data[at + HEAD.size + 40] ^ 1),  # a reading
        lambda data, at: data.__setitem__(at + 9, data[at + 9] ^ 4),  # the length
        lambda data, at: data.__setitem__(at + 5, data[at + 5] ^ 1),  # the number in the sequence
        lambda data, at: data.__setitem__(at + 4, 77),  # the kind
        lambda data, at: data.__setitem__(at, 0),  # the mark
        lambda data, at: data.__delitem__(slice(at, at + 30)),
        lambda data, at: data.__setitem__(slice(at, at), b"noise"),
        lambda data, at: data.__setitem__(at + HEAD.size + 1, 9),  # the channel
        lambda data, at: data.__setitem__(at + HEAD.size + 10, data[at + HEAD.size + 10] + 1),  # how many there are
    ],
)
def test_a_damaged_journal_is_read_with_care(tmp_path, spoil):
    raw = journal(tmp_path, usual(0.5))
    data, at = damaged(raw, Kind.READINGS)
    spoil(data, at)
    raw.write_bytes(data)
    with pytest.raises(NotWhole):
        rebuild._rebuild_whole(RawColumns(raw), tmp_path / "quick.h5", END, thorough=False)
    assert not (tmp_path / "quick.h5").exists()
    run = read_run(rebuild.rebuild(raw, tmp_path / "made.h5", now_iso=END))
    assert 350 < len(run.traces[TEMPERATURE].time) < 600


def test_undecoded_bytes_of_one_device_among_others(tmp_path):
    lines = [f"$SAT,{n * 100},21.{n % 1000:03d},101.300*".encode() for n in range(1, 200)]
    checks = [np.bitwise_xor.reduce(np.frombuffer(line[1:-1], np.uint8)) for line in lines]
    blocks = [("weather", readings(BAROMETER, 0, 30))]
    for number, (line, check) in enumerate(zip(lines, checks, strict=True), 1):
        blocks.append(("bench", Received(number * 0.1, line + b"%02X\r\n" % check)))
        if number < 150:
            value = np.array([21 + number % 1000 / 1000])
            stored = (np.array([number * 0.1]), value + 273.15, value, np.zeros(1, np.uint8), 0.0)
            blocks.append(("bench", Readings(TEMPERATURE, *stored)))
    raw = journal(tmp_path, blocks, profiles={"bench": PROFILE_TEXT})
    run = assert_same(tmp_path, raw)
    assert len(run.traces[TEMPERATURE].time) == 199


def test_what_is_read_back_is_compared(tmp_path):
    path = tmp_path / "x.h5"
    with h5py.File(path, "w", libver=("v110", "v110")) as file:
        column, _ = packed_column(file, np.arange(1000.0), shuffle=True)
        checks = {"/x": column.checks}
    data = bytearray(path.read_bytes())
    with h5py.File(path) as file:
        check_chunks(file, checks)
        place = file["x"].id.get_chunk_info(1).byte_offset
    data[place + 5] ^= 16
    path.write_bytes(data)
    with h5py.File(path) as file, pytest.raises(DamagedFileError, match="differently"):
        check_chunks(file, checks)
    with h5py.File(path) as file, pytest.raises(OSError, match=r"checksum|filter"):
        file["x"][()]


def packed_column(file, values, *, shuffle, fill=None):
    dataset = file.create_dataset(
        "x", shape=(0,), maxshape=(None,), chunks=(300,), dtype=values.dtype, fillvalue=fill, fletcher32=True,
        compression="gzip", compression_opts=1, shuffle=shuffle,
    )  # fmt: skip
    dataset.id.set_extent((len(values),))
    column = PackedColumn(dataset, "/x")
    packers = Packers()
    for start in range(0, len(values), 600):
        part = values[start : start + 600]
        packers.submit(lambda part=part: (part, pieces(part, column.filters)), lambda done: column.put(*done))
    packers.finish()
    packers.close()
    return column, dataset


@pytest.mark.parametrize("dtype", ["f8", "i4", "u1"])
@pytest.mark.parametrize("shuffle", [True, False])
@pytest.mark.parametrize("count", [0, 1, 299, 300, 301, 1500, 2111])
def test_packed_columns_are_read_by_the_library_and_hashed_alike(tmp_path, dtype, shuffle, count):
    values = np.random.default_rng(count).integers(0, 90, count).astype(dtype)
    with h5py.File(tmp_path / "x.h5", "w", libver=("v110", "v110")) as file:
        column, dataset = packed_column(file, values, shuffle=shuffle)
        file.flush()
        assert column.digests() == {"/x": object_digest("/x", dataset)}
    with h5py.File(tmp_path / "x.h5") as file:
        np.testing.assert_array_equal(file["x"][()], values)
        check_chunks(file, {"/x": column.checks})


def test_a_column_that_got_too_few_rows_has_no_digest(tmp_path):
    with h5py.File(tmp_path / "x.h5", "w") as file:
        column, dataset = packed_column(file, np.arange(10.0), shuffle=True)
        dataset.id.set_extent((11,))
        with pytest.raises(ValueError, match="10 of 11"):
            column.digests()


def test_other_filters_are_refused(tmp_path):
    with h5py.File(tmp_path / "x.h5", "w") as file, pytest.raises(ValueError, match="filters"):
        Filters.of(file.create_dataset("x", data=np.arange(10), chunks=(5,), compression="gzip"))


@pytest.mark.parametrize("data", [b"", b"\0" * 7, b"\xff" * 131_070, b"abc", bytes(range(256)) * 700])
def test_the_checksum_is_that_of_the_library(tmp_path, data):
    """The library's own code is the reference: it wrote the last four bytes of the chunk."""
    if not data:
        assert fletcher32(data) == 0
        return
    with h5py.File(tmp_path / "x.h5", "w") as file:
        dataset = file.create_dataset("x", data=np.frombuffer(data, np.uint8), chunks=(len(data),), fletcher32=True)
        file.flush()
        _, chunk = dataset.id.read_direct_chunk((0,))
    assert chunk[:-4] == data
    assert int.from_bytes(chunk[-4:], "little") == fletcher32(data)


def test_trouble_on_another_thread_comes_out():
    packers = Packers()

    def fail():
        raise OSError(28, "no space left")

    def give_work():
        packers.submit(fail, print)
        packers.finish()

    try:
        with pytest.raises(OSError, match="no space"):
            give_work()
    finally:
        packers.close()
