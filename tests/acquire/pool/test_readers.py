from dataclasses import replace

import numpy as np
import pytest

from acquire.plan import RunPlan
from acquire.pool.readers import summarise
from acquire.pool.settings import PoolSettings
from acquire.pool.summary import RunSummary
from tests.acquire.pool.made import write_run
from tests.analysis.pooling.campaigns import bench_run


@pytest.fixture(scope="module")
def run():
    return bench_run(np.random.default_rng(3), {}, run="r1", bench="bench 7")


@pytest.fixture
def file(tmp_path, run):
    return write_run(tmp_path / "r1.h5", run)


def test_a_run_file_brings_its_value_bench_and_room(file):
    summary = summarise(str(file), PoolSettings())
    assert summary.used, summary.reason
    assert summary.bench == "bench 7"
    assert summary.run == "r1"
    assert summary.value == pytest.approx(36.6e3, abs=5 * summary.u)
    assert summary.room_pressure == 96.3e3
    assert summary.points == 6
    assert summary.start == pytest.approx(1930377600.0)  # 2031-03-04T08:00Z
    assert len(summary.content) == 64
    assert not summary.simulated


def test_the_summary_survives_json_whole(file):
    import json

    summary = summarise(str(file), PoolSettings())
    again = RunSummary.from_dict(json.loads(json.dumps(summary.as_dict(), allow_nan=False)))
    assert again == summary
    assert again.curve is not None
    assert summary.curve is not None
    matrix = again.curve.linear_run("r1", "bench 7").matrix
    assert matrix == pytest.approx(matrix.T)


@pytest.mark.parametrize("damage", ["cut", "rubbish", "empty", "absent"])
def test_a_broken_file_is_left_out_with_a_reason(file, damage):
    data = file.read_bytes()
    file.unlink()
    if damage != "absent":
        file.write_bytes({"cut": data[: len(data) // 2], "rubbish": b"\x89HDF\r\n\x1a\n" * 50, "empty": b""}[damage])
    summary = summarise(str(file), PoolSettings())
    assert not summary.used
    assert summary.reason


def test_a_run_that_was_not_closed_is_left_out(tmp_path, run):
    summary = summarise(str(write_run(tmp_path / "open.h5", run, closed=False)), PoolSettings())
    assert not summary.used
    assert "not closed" in summary.reason


def test_a_mixture_is_left_out(tmp_path, run):
    summary = summarise(str(write_run(tmp_path / "m.h5", run, mixture=True)), PoolSettings())
    assert summary.reason == "the sample is a mixture; pool pure liquids"


def test_a_run_with_two_points_is_left_out_with_the_words_of_the_fit(tmp_path, run):
    short = replace(run, points=list(run.points)[:2])
    summary = summarise(str(write_run(tmp_path / "two.h5", short)), PoolSettings())
    assert not summary.used
    assert "2 usable points" in summary.reason
    assert (summary.run, summary.bench, summary.liquid, summary.points) == ("two", "bench 7", "n-heptane", 2)
    assert summary.content, "so that the cache keeps it: what a fit refuses once it refuses again"


def test_common_uncertainties_replace_those_of_the_run(file):
    wide = RunPlan().model_copy(
        update={
            "sensors": RunPlan().sensors.model_copy(
                update={"pressure": RunPlan().sensors.pressure.model_copy(update={"u_offset": 8000.0})}
            )
        }
    )
    own = summarise(str(file), PoolSettings())
    common = summarise(str(file), PoolSettings(plan=wide.model_dump(mode="json")))
    assert common.u > 1.3 * own.u


def test_labels_say_what_is_shared_and_those_of_the_run_win(file):
    sharing = {"bench 7": {"pressure sensor": "B1", "thermometer": "T1"}, "r1": {"thermometer": "T9"}}
    summary = summarise(str(file), PoolSettings(sharing=sharing))
    labels = {(carrier, label.split(",")[0]) for carrier, label, _ in summary.shared}
    assert ("pressure sensor", "B1") in labels
    assert ("thermometer", "T9") in labels


def table(tmp_path, run, name="t.csv"):
    path = tmp_path / name
    rows = [f"{p.temperature - 273.15:.4f},{p.pressure / 1e3:.5f}" for p in run.points]
    path.write_text("\n".join(["temperature/degC,pressure/kPa", *rows]))
    return path


def test_a_table_of_points_is_pooled_when_told_what_it_is(tmp_path, run):
    path = table(tmp_path, run)
    summary = summarise(str(path), PoolSettings(liquid="n-heptane", air="sealed=295.15 K,96.3 kPa"))
    assert summary.used, summary.reason
    assert summary.bench == tmp_path.name
    assert summary.value == pytest.approx(36.6e3, abs=5 * summary.u)


def test_a_table_alone_is_left_out_never_guessed(tmp_path, run):
    summary = summarise(str(table(tmp_path, run)), PoolSettings())
    assert not summary.used
    assert "give --liquid and --air" in summary.reason
