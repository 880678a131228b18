"""Columns say the same as the summaries they were made of."""

import csv
import io
import math
from dataclasses import replace

import numpy as np
import pytest

from acquire.pool.columns import WHOLE, RunColumns, in_columns
from acquire.pool.gather import BenchTotals, FirstLook, Rooms, Sums
from acquire.pool.store import COLUMNS, read_columns, read_table, write_table
from acquire.pool.summary import RunSummary
from analysis.pooling.precision import BenchMoments
from analysis.pooling.sums import ConsensusSums


def runs(count: int, seed: int = 1) -> list[RunSummary]:
    """Runs of five benches; every seventh was left out, every fifth has no time, some share nothing."""
    rng = np.random.default_rng(seed)
    found = []
    for number in range(count):
        one = RunSummary(
            f"folder, {number}.h5",
            content=f"{number:064x}",
            run=f"run {number}",
            bench=f"bench {number % 5}",
            liquid="n-heptane",
            air="sealed",
            start=math.nan if number % 5 == 4 else 1.6e9 + 600.0 * number,
            value=float(36.5e3 + 300 * rng.normal()),
            u_own=float(rng.uniform(200, 400)),
            interval_95=(35e3 + number, 38e3),
            shared=(
                ("cell", f"bench {number % 5}, volume", float(rng.normal(0, 100))),
                ("liquid data", "all, dz", float(rng.normal(0, 100))),
                ("pressure sensor", "all: offset", float(rng.normal(0, 100))),
            )[: number % 4],
            points=number % 9,
            room_pressure=96e3 + number % 11,
            findings=("outlier-point", "leak")[: number % 3],
        )  # fmt: skip
        found.append(one.left_out("it is broken") if number % 7 == 6 else one)
    return found


def test_a_table_gives_back_every_run(tmp_path):
    given = runs(60)
    found = list(read_table(write_table(given, tmp_path / "runs.csv")))
    assert len(found) == 60
    for one, other in zip(given, found, strict=True):
        assert repr(one) == repr(other)  # not a number is like itself here


def test_a_long_table_is_read_in_pieces_and_a_spoilt_line_in_any_of_them_is_named(tmp_path, monkeypatch):
    monkeypatch.setattr("acquire.pool.store.LINES", 7)
    path = write_table(runs(40), tmp_path / "runs.csv")
    assert [len(some) for some in read_columns(path)] == [7, 7, 7, 7, 7, 5]
    lines = path.read_text().splitlines(keepends=True)
    lines[18] = lines[18].replace("n-heptane,sealed,no,", "n-heptane,sealed,no,yesterday")
    path.write_text("".join(lines))
    with pytest.raises(Exception, match=r"runs\.csv:19: could not convert string to float: 'yesterday"):
        list(read_columns(path))


def test_numbers_stand_in_the_table_in_full(tmp_path):
    given = runs(30)
    rows = list(csv.DictReader(io.StringIO(write_table(given, tmp_path / "runs.csv").read_text())))
    assert list(rows[0]) == list(COLUMNS)
    for one, row in zip(given, rows, strict=True):
        assert row["enthalpy_vap/(J/mol)"] == repr(one.value)
        assert float(row["u/(J/mol)"]) == pytest.approx(one.u, rel=1e-14)


def test_some_of_the_runs_keep_what_is_theirs():
    given = runs(40)
    columns = RunColumns.of(given)
    wanted = np.array([number % 3 == 1 for number in range(40)])
    kept = [one for one, is_wanted in zip(given, wanted, strict=True) if is_wanted]
    assert list(map(repr, columns.only(wanted).summaries())) == list(map(repr, kept))
    bare = replace(columns, whole=())
    assert list(map(repr, bare.only(wanted).summaries())) == list(map(repr, kept))
    assert columns.u == pytest.approx([one.u for one in given], rel=1e-14)


def test_a_run_left_out_is_so_in_columns_and_summary():
    columns = RunColumns.of(runs(3))
    for some in (columns, replace(columns, whole=())):
        left = some.left_out({1: "it does not fit"})
        assert left.used.tolist() == [True, False, True]
        assert [one.reason for one in left.summaries()] == ["", "it does not fit", ""]
        assert [one.used for one in left.summaries()] == [True, False, True]


def test_a_bounded_number_of_summaries_is_held():
    sizes = [len(some) for some in in_columns(RunSummary("x") for _ in range(2 * WHOLE + 3))]
    assert sizes == [WHOLE, WHOLE, 3]


def test_sums_over_columns_are_those_over_runs_one_by_one():
    given = runs(200)
    usable = [one for one in given if one.used]
    look = FirstLook()
    for some in in_columns(usable[:70] + usable[70:]):
        look.take(some, Rooms(one_room=True))
    sums = Sums(look, None, Rooms(one_room=True)).take([RunColumns.of(given[:90]), RunColumns.of(given[90:])])
    assert sums.reasons == {"it is broken": len(given) - len(usable)}
    assert look.common2 == pytest.approx(sum(p * p for one in usable for c, _, p in one.shared if c == "liquid data"))
    weights = [1 / one.u**2 for one in usable]
    assert sums.all_weight == pytest.approx(sum(weights), rel=1e-12)
    for bench in {one.bench for one in usable}:
        of_it = [one for one in usable if one.bench == bench]
        totals: BenchTotals = sums.benches[bench]
        assert totals.moments.count == len(of_it)
        assert totals.moments.mean == pytest.approx(np.mean([one.value for one in of_it]), rel=1e-13)
        assert totals.moments.deviation == pytest.approx(np.std([one.value for one in of_it], ddof=1), rel=1e-11)
        own = [p * p for one in of_it for carrier, _, p in one.shared if carrier != "liquid data"]
        assert totals.shared2 == pytest.approx(sum(own), rel=1e-12)
        dated = [one for one in of_it if math.isfinite(one.start)]
        assert list(totals.series) == [(one.start, one.value, one.u_own) for one in dated]
        assert totals.last == (dated[-1].start if dated else -math.inf)
    one_by_one = ConsensusSums(
        sums.consensus.benches, sums.consensus.shares, sums.consensus.exclusive,
        centre=sums.consensus.centre, scale=sums.consensus.scale,
    )  # fmt: skip
    one_by_one.add(one.result() for one in usable)
    assert sums.consensus.squares == pytest.approx(one_by_one.squares, rel=1e-11, abs=1e-12)
    assert sums.consensus.own2 == pytest.approx(one_by_one.own2, rel=1e-12)


def test_moments_of_many_at_once_are_those_of_one_by_one():
    values = 36.5e3 + np.random.default_rng(3).normal(0, 300, 50)
    one_by_one, at_once = BenchMoments(), BenchMoments()
    for value in values:
        one_by_one.add(float(value))
    for some in (values[:1], values[1:1], values[1:20], values[20:]):
        at_once.add_all(some)
    assert at_once.count == 50
    assert at_once.mean == pytest.approx(one_by_one.mean, rel=1e-14)
    assert at_once.squares == pytest.approx(one_by_one.squares, rel=1e-11)
