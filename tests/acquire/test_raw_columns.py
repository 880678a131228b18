"""A spoilt raw journal is either refused as not whole, or gives the readings that a look at each frame gives."""

from __future__ import annotations

import numpy as np
import pytest

from acquire.raw_columns import NotWhole, RawColumns
from acquire.raw_frames import Reading, items
from acquire.raw_journal import MAGIC, RawJournal
from acquire.runfile.errors import NotARunFileError
from drivers.readings import PRESSURE, TEMPERATURE, Readings, Received
from tests.acquire.runfile.sample_run import HEADER

CASES = 400


@pytest.fixture(scope="module")
def whole(tmp_path_factory) -> bytes:
    raw = RawJournal(tmp_path_factory.mktemp("raw") / "run.h5.raw", HEADER.__dict__)
    rng = np.random.default_rng(3)
    for number in range(40):
        count = int(rng.integers(1, 9))
        raw.received("bench", Received(number / 10, rng.bytes(3 * count)))
        for channel in (TEMPERATURE, PRESSURE):
            time = number + np.arange(count) / 10
            raw.readings("bench", Readings(channel, time, rng.normal(size=count), time, np.zeros(count, np.uint8)))
    raw.close()
    return raw.path.read_bytes()


def spoilt(data: bytes, rng: np.random.Generator) -> bytes:
    out = bytearray(data)
    place, length = int(rng.integers(len(out))), int(2 ** rng.uniform(0, 8))
    kind = int(rng.integers(7))
    if kind == 0:
        out[place] ^= 1 << int(rng.integers(8))
    elif kind == 1:
        del out[place:]
    elif kind == 2:
        del out[place : place + length]
    elif kind == 3:
        out[place:place] = rng.bytes(length)
    elif kind == 4:
        out[place : place + length] = bytes(len(out[place : place + length]))
    elif kind == 5:
        out[place:place] = MAGIC
    else:  # frames twice or in another order
        frames = [MAGIC + one for one in bytes(out).split(MAGIC)[1:]]
        one, other = (int(number) for number in rng.integers(len(frames), size=2))
        frames[one] = frames[other]
        out = bytearray(b"".join(frames))
    return bytes(out)


def by_columns(path) -> dict[str, bytes]:
    found: dict[str, list[bytes]] = {}
    for one in RawColumns(path).columns():
        rows = np.rec.fromarrays([one.time, one.value, one.raw, one.quality])
        found.setdefault(one.channel, []).append(rows.tobytes())
    return {channel: b"".join(parts) for channel, parts in found.items()}


def by_frames(path) -> dict[str, bytes]:
    found: dict[str, list[bytes]] = {}
    for item in items(path):
        if isinstance(item, Reading):
            one = item.readings
            rows = np.rec.fromarrays([one.time, one.value, one.raw, one.quality])
            found.setdefault(one.channel, []).append(rows.tobytes())
    return {channel: b"".join(parts) for channel, parts in found.items()}


def test_a_spoilt_journal_gives_no_other_readings(whole, tmp_path, monkeypatch):
    monkeypatch.setattr("acquire.raw_columns.STRETCH", 1500)
    path = tmp_path / "run.h5.raw"
    rng = np.random.default_rng(17)
    refused = equal = 0
    for case in range(CASES):
        data = spoilt(whole, rng)
        path.write_bytes(data)
        try:
            found = by_columns(path)
        except NotWhole:
            refused += 1
            continue
        assert found == by_frames(path), case
        equal += 1
    assert refused > CASES / 2
    assert equal > CASES / 20, "cuts within the last frame, and bits of received bytes, are no harm"


def test_a_whole_journal_is_read_alike(whole, tmp_path):
    path = tmp_path / "run.h5.raw"
    path.write_bytes(whole)
    assert by_columns(path) == by_frames(path)
    assert set(by_columns(path)) == {TEMPERATURE, PRESSURE}


def test_a_file_that_cannot_be_read_is_told(tmp_path):
    with pytest.raises(NotARunFileError, match="cannot be read"):
        RawColumns(tmp_path / "none.raw")
