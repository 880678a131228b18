"""Exported tables are read by strangers: csv, json, h5py and pandas; numbers come back to the last bit."""

from __future__ import annotations

import csv
import json
import locale
import os
from dataclasses import replace

import h5py
import numpy as np
import pandas as pd
import pytest

from acquire.fitting import fit_point
from acquire.points_csv import read_points
from acquire.runfile.errors import ExportFailedError, RunFileExistsError
from acquire.runfile.export import Dialect, export_csv, export_hdf5, export_json
from acquire.runfile.reader import read_run
from acquire.runfile.writer import RunFileWriter
from analysis.enthalpy import fit_enthalpy
from analysis.fit_input import SensorPriors
from analysis.liquids import load_liquid
from analysis.trapped_air import CellSetup
from drivers.readings import PRESSURE, TEMPERATURE
from tests.acquire.runfile.sample_run import END, HEADER, POINTS, block, closed_run, joined


@pytest.fixture(scope="module")
def run(tmp_path_factory):
    path = tmp_path_factory.mktemp("run") / "run.h5"
    given, journal = closed_run(path, 20)
    return path, given, journal


def cells(path, **options):
    with open(path, encoding="utf-8", newline="") as stream:
        return list(csv.reader(stream, **options))


def test_every_table_is_written_with_units_in_its_head(run, tmp_path):
    written = export_csv(run[0], tmp_path)
    assert [path.name for path in written] == [
        "run-points.csv",
        "run-all-points.csv",
        "run-baselines.csv",
        "run-readings-temperature.csv",
        "run-readings-pressure.csv",
        "run-journal.csv",
        "run-plan.json",
    ]
    assert cells(written[0])[0] == [
        "temperature/K", "pressure/Pa", "u_temperature/K", "u_pressure/Pa", "branch", "label", "time/s",
        "correlation/1", "lag/K", "u_lag/K",
    ]  # fmt: skip
    assert cells(written[3])[0] == ["time/s", "temperature/K", "raw", "quality"]
    assert cells(written[1])[0][3:7] == ["start/s", "end/s", "temperature_probe/K", "temperature/K"]


def test_readings_come_back_to_the_last_bit(run, tmp_path):
    table = pd.read_csv(export_csv(run[0], tmp_path)[4])
    np.testing.assert_array_equal(table["pressure/Pa"], joined(run[1][PRESSURE], "value"))
    np.testing.assert_array_equal(table["time/s"], joined(run[1][PRESSURE], "time"))
    np.testing.assert_array_equal(table["quality"], joined(run[1][PRESSURE], "quality"))


def test_points_in_use_are_what_the_fit_reads(run, tmp_path):
    (point,) = read_points(export_csv(run[0], tmp_path)[0])
    assert point == fit_point(POINTS[0])
    assert point.u_lag > 0
    assert point.u_temperature < POINTS[0].u_temperature  # that of the lag stands apart


def heptane_points():
    # temperatures and pressures of n-heptane by its own short table: any liquid would do for a round trip
    liquid = load_liquid("n-heptane")
    temperatures = [295.0, 300.0, 304.0, 308.0, 312.0]
    return [
        replace(
            POINTS[0],
            number=n,
            temperature=t,
            pressure=float(liquid.saturation_pressure(t)) * (1 + 1e-4 * (-1) ** n),
            correlation=0.1 * n,
            start=300.0 * n,
            end=300.0 * n + 61.0,
            lag=0.01 * n,
            u_lag=0.004,
            label=f'no {n}; "quoted"',
        )
        for n, t in enumerate(temperatures, 1)
    ]


@pytest.mark.parametrize("dialect", [Dialect(), Dialect(friendly=True), Dialect(friendly=True, decimal_comma=True)])
def test_the_fit_of_exported_points_is_the_fit_of_the_run(tmp_path, dialect):
    path, points = tmp_path / "run.h5", heptane_points()
    closed_run(path, 10, points=points)
    direct = [fit_point(p) for p in points]
    fits = [
        fit_enthalpy(
            chosen,
            baseline=None,
            setup=CellSetup(),
            sensors=SensorPriors(),
            liquid=load_liquid("n-heptane"),
            air="none",
        ).as_dict()
        for chosen in (direct, read_points(export_csv(path, tmp_path / "out", dialect)[0]))
    ]
    assert fits[0] == fits[1]


def test_the_friendly_form_has_a_mark_and_line_ends_that_spreadsheets_know(run, tmp_path):
    data = export_csv(run[0], tmp_path, Dialect(friendly=True))[5].read_bytes()
    assert data.startswith(b"\xef\xbb\xbfnumber,")
    assert data.count(b"\n") == data.count(b"\r\n") == 3


def test_with_a_decimal_comma_cells_are_parted_by_semicolons(run, tmp_path):
    table = pd.read_csv(
        export_csv(run[0], tmp_path, Dialect(friendly=True, decimal_comma=True))[4],
        sep=";",
        decimal=",",
        encoding="utf-8-sig",
    )
    np.testing.assert_array_equal(table["pressure/Pa"], joined(run[1][PRESSURE], "value"))


@pytest.mark.parametrize("text", ["=1+1", "+A1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "plain", "a=b", 'a;b,c"d"\n'])
def test_no_text_begins_like_a_formula_and_the_rest_is_untouched(text):
    cell = Dialect().cell(text)
    assert cell[0] not in "=+-@\t\r"
    assert cell.lstrip("'") == text


@pytest.mark.parametrize(
    ("value", "cell"),
    [(-0.1, "-0.1"), (1e-300, "1e-300"), (np.float64(1 / 3), repr(1 / 3)), (float("nan"), ""), (None, ""),
     (True, "1"), (np.int64(-3), "-3"), (float("inf"), "")],
)  # fmt: skip
def test_numbers_are_written_plainly(value, cell):
    assert Dialect().cell(value) == cell


def test_the_locale_changes_nothing(run, tmp_path, monkeypatch):
    before = export_csv(run[0], tmp_path / "a")[4].read_bytes()
    old = locale.setlocale(locale.LC_ALL)
    for name in ("de_DE.UTF-8", "fr_FR.UTF-8", "C"):
        try:
            locale.setlocale(locale.LC_ALL, name)
        except locale.Error:
            continue  # not installed here
        assert export_csv(run[0], tmp_path / name)[4].read_bytes() == before
    locale.setlocale(locale.LC_ALL, old)


def test_json_holds_the_whole_run(run, tmp_path):
    document = json.loads(export_json(run[0], tmp_path / "run.json").read_text(encoding="utf-8"))
    record = read_run(run[0])
    assert document["points"][1]["reason"] == POINTS[1].reason
    assert document["results"] == [dict(record.results[0])]
    assert len(document["journal"]) == len(record.journal)
    values = [np.nan if value is None else value for value in document["traces"]["pressure"]["value"]]
    np.testing.assert_array_equal(values, record.traces[PRESSURE].value)
    assert document["traces"]["temperature"]["unit"] == "K"


def test_plain_hdf5_holds_columns_and_units_only(run, tmp_path):
    path = export_hdf5(run[0], tmp_path / "plain.h5")
    with h5py.File(path) as file:
        assert set(file) == {"points", "pressure", "temperature"}
        np.testing.assert_array_equal(file["temperature/value"][()], joined(run[1][TEMPERATURE], "value"))
        assert file["pressure/value"].attrs["units"] == "Pa"
        assert file["points/temperature"][()].tolist() == [point.temperature for point in POINTS]
    assert path.read_bytes()[8] == 0  # superblock version 0: the oldest there is


@pytest.mark.parametrize("export", [export_json, export_hdf5])
def test_nothing_is_overwritten(run, tmp_path, export):
    target = tmp_path / "there"
    target.write_bytes(b"precious")
    with pytest.raises(RunFileExistsError):
        export(run[0], target)
    assert target.read_bytes() == b"precious"


def test_no_table_is_overwritten(run, tmp_path):
    (tmp_path / "run-points.csv").write_bytes(b"precious")
    with pytest.raises(RunFileExistsError):
        export_csv(run[0], tmp_path)
    assert os.listdir(tmp_path) == ["run-points.csv"]


def test_a_folder_that_cannot_be_made_is_told(run, tmp_path):
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(ExportFailedError, match="choose another with --out"):
        export_csv(run[0], tmp_path / "file" / "folder")


def test_a_run_that_is_being_recorded_can_be_exported(tmp_path):
    writer = RunFileWriter(tmp_path / "run.h5", HEADER)
    writer.append(block(PRESSURE, 0.0), "bench")
    writer.flush()
    written = export_csv(tmp_path / "run.h5", tmp_path / "out")
    writer.close(END, (), (), ())
    assert len(cells(written[3])) == 11
    with h5py.File(export_hdf5(tmp_path / "run.h5", tmp_path / "plain.h5")) as file:
        assert file["pressure/value"].shape == (10,)
