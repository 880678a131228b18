import csv
import math
import sys

import pytest

from acquire.pool.settings import PoolError, read_sharing
from acquire.pool.store import COLUMNS, SummaryStore, is_table, read_table, write_parquet, write_table
from acquire.pool.summary import RunSummary

RUN = RunSummary(
    "a, b.h5",
    content="0" * 64,
    run="r1",
    bench="b 1",
    liquid="n-heptane",
    air="sealed",
    start=1.7e9,
    value=36.5712345e3,
    u_own=300.125,
    interval_95=(35.9e3, 37.2e3),
    shared=(("liquid data", "all, dz", -110.5), ("pressure sensor", "b 1, offset", 250.0)),
    points=6,
    room_pressure=96.3e3,
    findings=("outlier-point",),
)
OUT = RunSummary("c.h5", status="left out", reason='it says "no"; twice, at least')


def test_the_store_gives_back_what_it_was_given_as_often_as_wanted(tmp_path):
    store = SummaryStore(tmp_path / "s.jsonl")
    store.extend([RUN])
    store.extend([OUT])
    assert store.count == 2
    for _ in range(2):
        (some,) = store
        first, second = some.summaries()
        assert first == RUN
        assert second.reason == OUT.reason
        assert math.isnan(second.value)


def test_the_table_is_plain_csv_with_units_in_its_header(tmp_path):
    path = write_table([RUN, OUT], tmp_path / "runs.csv")
    with path.open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert float(rows[0]["enthalpy_vap/(J/mol)"]) == 36571.2345
    assert float(rows[0]["u/(J/mol)"]) == pytest.approx(RUN.u)
    assert rows[1]["reason"] == OUT.reason
    assert rows[1]["enthalpy_vap/(J/mol)"] == ""


def test_a_table_can_be_pooled_again(tmp_path):
    path = write_table([RUN, OUT], tmp_path / "runs.csv")
    assert is_table(path)
    first, second = read_table(path)
    assert first == RUN
    assert second.status == "left out"


def test_a_table_of_points_is_no_table_of_runs(tmp_path):
    path = tmp_path / "points.csv"
    path.write_text("temperature/degC,pressure/kPa\n1,2\n")
    assert not is_table(path)
    assert not is_table(tmp_path / "absent.csv")


def test_a_spoilt_line_of_a_table_is_named(tmp_path):
    path = write_table([RUN], tmp_path / "runs.csv")
    path.write_text(path.read_text() + "1,2,3\n")
    with pytest.raises(PoolError, match=r"runs.csv:3: 3 cells in place of 19"):
        list(read_table(path))


def test_parquet_holds_the_same_columns(tmp_path):
    parquet = pytest.importorskip("pyarrow.parquet")
    table = write_table([RUN, OUT], tmp_path / "runs.csv")
    read = parquet.read_table(write_parquet(table, tmp_path / "runs.parquet"))
    assert read.column_names == list(COLUMNS)
    assert read.column("enthalpy_vap/(J/mol)")[0].as_py() == 36571.2345
    assert read.column("enthalpy_vap/(J/mol)")[1].as_py() is None


def test_parquet_without_its_library_is_said(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    table = write_table([RUN], tmp_path / "runs.csv")
    with pytest.raises(PoolError, match="Parquet needs the library pyarrow, which is not installed"):
        write_parquet(table, tmp_path / "runs.parquet")


def test_who_shares_what_is_read_from_a_table(tmp_path):
    path = tmp_path / "shared.csv"
    path.write_text("bench,pressure sensor,room air\nb1,B1,lab\nb2,B1,\n\n")
    assert read_sharing(path) == {"b1": {"pressure sensor": "B1", "room air": "lab"}, "b2": {"pressure sensor": "B1"}}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("name,cell\n", "expected 'bench' or 'run' first"),
        ("bench,barometer\n", "the column 'barometer' is not known; expected any of pressure sensor"),
        ("bench,cell\nb1\n", "2: 1 cells; expected 2"),
        ("", "expected 'bench' or 'run' first"),
    ],
)
def test_a_faulty_table_of_shares_is_refused(tmp_path, text, said):
    path = tmp_path / "shared.csv"
    path.write_text(text)
    with pytest.raises(PoolError, match=said):
        read_sharing(path)
