"""Programs that know nothing of us open a run file and find its plot: h5py, nexusformat, silx, xarray with h5netcdf."""

from __future__ import annotations

import contextlib
import io
import warnings

import h5py
import numpy as np
import pytest

from acquire.runfile.editing import append_to_closed
from acquire.runfile.writer import RunFileWriter
from drivers.readings import PRESSURE, TEMPERATURE
from tests.acquire.runfile.sample_run import END, HEADER, POINTS, RESULT, closed_run, entry, joined, record_run


@pytest.fixture(scope="module")
def run(tmp_path_factory):
    path = tmp_path_factory.mktemp("run") / "run.h5"
    given, journal = closed_run(path, 30)
    append_to_closed(path, [entry(journal, 40)], [{**RESULT, "second": True}], sealed_at=END)
    return path, given


def complaints(path):
    """Warnings and errors of the NeXus validator, and what it printed."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the validator's own libraries
        from nexusformat.nexus.validate import validate_file

        printed = io.StringIO()
        with contextlib.redirect_stdout(printed):
            found = validate_file(str(path))
    return tuple(found), printed.getvalue()


def test_the_nexus_validator_has_nothing_to_say_about_a_closed_run(run):
    found, text = complaints(run[0])
    assert found == (0, 0), text


def test_the_nexus_validator_has_nothing_to_say_about_a_run_with_nothing_in_it(tmp_path):
    RunFileWriter(tmp_path / "run.h5", HEADER).close(END, (), (), ())
    found, text = complaints(tmp_path / "run.h5")
    assert found == (0, 0), text


def test_the_nexus_validator_has_nothing_to_say_about_a_run_that_was_never_closed(tmp_path):
    writer = RunFileWriter(tmp_path / "run.h5", HEADER)
    record_run(writer, 10)
    writer.abandon()
    found, text = complaints(tmp_path / "run.h5")
    assert found == (0, 0), text


def test_the_validator_would_notice(run, tmp_path):
    path = tmp_path / "spoilt.h5"
    path.write_bytes(run[0].read_bytes())
    with h5py.File(path, "r+") as file:
        file["entry/trace_pressure"].attrs["signal"] = "nothing"
        file["entry/stranger"] = 1.0
    assert complaints(path)[0] != (0, 0)


@pytest.mark.parametrize(
    ("points", "results", "signal"),
    [(POINTS, [RESULT], "ln_pressure"), (POINTS, [], "pressure"), ((), [], "pressure")],
)
def test_silx_finds_the_default_plot(tmp_path, points, results, signal):
    import silx.io
    from silx.io import nxdata

    closed_run(tmp_path / "run.h5", 10, points=points, results=results)
    with silx.io.open(str(tmp_path / "run.h5")) as file:
        plot = nxdata.get_default(file)
        assert plot is not None
        assert plot.is_valid
        assert plot.issues == []
        assert plot.signal_dataset_name == signal
        assert plot.is_curve or plot.signal.size == 1
        assert np.isfinite(plot.signal[()]).any()


def test_silx_plots_points_with_their_uncertainties(run):
    import silx.io
    from silx.io import nxdata

    with silx.io.open(str(run[0])) as file:
        plot = nxdata.NXdata(file["entry/points"])
        assert plot.issues == []
        np.testing.assert_array_equal(plot.errors, [point.u_pressure for point in POINTS])
        np.testing.assert_array_equal(plot.get_axis_errors("temperature"), [point.u_temperature for point in POINTS])


def test_nexusformat_follows_the_default_and_reads_the_trace(run):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from nexusformat.nexus import nxload

        root = nxload(str(run[0]))
        assert root.get_default().nxpath == "/entry/result_2/saturation_line"
        trace = root["entry/trace_pressure"]
        assert trace.nxsignal.attrs["units"] == "Pa"
        np.testing.assert_array_equal(trace.nxsignal.nxvalue, joined(run[1][PRESSURE], "value"))


def test_xarray_reads_a_trace_with_its_time_axis_and_units(run):
    import xarray

    with xarray.open_dataset(
        run[0], group="/entry/instrument/thermometer/value_log", engine="h5netcdf", decode_times=False
    ) as data:
        assert data["value"].dims == ("time",)
        assert data["value"].attrs["units"] == "K"
        np.testing.assert_array_equal(data["value"], joined(run[1][TEMPERATURE], "value"))
        np.testing.assert_array_equal(data["time"], joined(run[1][TEMPERATURE], "time"))


def test_xarray_opens_the_whole_tree(run):
    import xarray

    tree = xarray.open_datatree(run[0], engine="h5netcdf", phony_dims="access", decode_times=False)
    try:
        assert tree["entry/trace_pressure"]["pressure"].dims == ("time",)
        assert tree["entry"]["title"].item().decode() == HEADER.title
    finally:
        tree.close()


def test_plain_h5py_walks_everything(run):
    seen = {}
    with h5py.File(run[0], "r") as file:
        file.visititems(lambda name, item: seen.update({name: item[()] if isinstance(item, h5py.Dataset) else None}))
        assert file.attrs["creator"] == b"satline"
    assert len(seen) > 80
