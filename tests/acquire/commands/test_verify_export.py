"""`satline verify` and `satline export` as a user meets them: words, files and exit status."""

from __future__ import annotations

import json
import os
from dataclasses import replace

import h5py
import pytest

from acquire.commands.main import main
from acquire.plan import RunPlan
from acquire.raw_journal import RawJournal, raw_journal_path
from acquire.runfile.integrity import repair, verify
from acquire.runfile.writer import RunFileWriter
from analysis.liquids import load_liquid
from tests.acquire.runfile.sample_run import BASELINES, END, HEADER, POINTS, block, closed_run, record_run


@pytest.fixture(autouse=True)
def _in_this_process(monkeypatch):
    """Another process a test would take most of the time; tests/acquire/runfile/test_apart.py has some."""
    monkeypatch.setattr("acquire.runfile.apart.verify_apart", verify)
    monkeypatch.setattr("acquire.runfile.apart.repair_apart", repair)


@pytest.fixture
def path(tmp_path):
    closed_run(tmp_path / "run.h5", 10)
    return tmp_path / "run.h5"


@pytest.fixture
def killed(tmp_path):
    """As a killed program leaves it: marked as open for writing."""
    path = tmp_path / "run.h5"
    writer = RunFileWriter(path, HEADER)
    record_run(writer, 10)
    data = path.read_bytes()
    writer.abandon()
    path.write_bytes(data)
    return path


def test_an_intact_file_is_said_to_be_so(path, capsys):
    assert main(["verify", str(path)]) == 0
    out = capsys.readouterr().out
    assert f"{path} is intact: complete, and nothing was changed since it was sealed." in out
    assert "readings: 100 temperature, 100 pressure; journal entries: 1" in out


def test_an_altered_file_is_located_and_gives_status_1(path, capsys):
    with h5py.File(path, "r+") as file:
        file["entry/instrument/manometer/value_log/value"][3] += 1
    assert main(["verify", str(path)]) == 1
    out = capsys.readouterr().out
    assert "is altered: it was changed after it was written" in out
    assert "/entry/instrument/manometer/value_log/value differs from what was sealed" in out
    assert main(["verify", str(path), "--repair"]) == 1
    assert os.listdir(path.parent) == ["run.h5"]


def test_a_killed_file_is_incomplete_and_mended_on_request(killed, capsys):
    assert main(["verify", str(killed)]) == 1
    assert "there is no seal: its writer was killed" in capsys.readouterr().out
    reserve = killed.with_name("run.h5.reserve")
    reserve.write_bytes(b"0")
    assert main(["verify", str(killed), "--repair"]) == 0
    out = capsys.readouterr().out
    assert f"The mended copy is {killed.with_name('run.mended.h5')}:" in out
    assert f"Not touched: {killed}; keep them until you have looked at the copy." in out
    assert f"{reserve} only kept room on the disk free; delete it." in out
    assert "readings: 100 temperature, 100 pressure; journal entries: 1" in out


def test_a_lost_run_file_is_made_from_its_raw_journal(tmp_path, capsys):
    path = tmp_path / "run.h5"
    raw = RawJournal(raw_journal_path(path), HEADER.__dict__)
    raw.readings("bench", block("pressure", 0.0))
    raw.close()
    assert main(["verify", str(path)]) == 1
    assert "--repair" not in capsys.readouterr().out
    assert main(["verify", str(path), "--repair"]) == 0
    assert "was made from the raw journal" in capsys.readouterr().out


def test_json_says_the_same(path, capsys):
    assert main(["verify", str(path), "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["state"] == "intact"
    assert document["readings"] == {"temperature": 100, "pressure": 100}


def test_what_is_no_run_file_is_refused_on_standard_error(tmp_path, capsys):
    (tmp_path / "x.h5").write_bytes(b"hello")
    assert main(["verify", str(tmp_path / "x.h5")]) == 1
    seen = capsys.readouterr()
    assert seen.out == ""
    assert "is not an HDF5 file; expected a run file" in seen.err


def test_export_lists_the_files_it_wrote(path, tmp_path, capsys):
    assert (
        main(["export", str(path), "--to", "xlsx-friendly-csv", "--decimal", "comma", "--out", str(tmp_path / "t")])
        == 0
    )
    seen = capsys.readouterr()
    written = seen.out.split()
    assert len(written) == 7
    assert f"satline fit {written[0]} --plan {written[6]} --baselines {written[2]}" in seen.err
    assert all(os.path.exists(name) for name in written)


@pytest.mark.parametrize(("form", "name"), [("json", "run.json"), ("hdf5", "run-plain.h5")])
def test_documents_go_beside_the_run_file(path, form, name, capsys):
    assert main(["export", str(path), "--to", form]) == 0
    assert capsys.readouterr().out.strip() == str(path.with_name(name))
    assert main(["export", str(path), "--to", form]) == 1
    assert "exists already" in capsys.readouterr().err


def test_a_decimal_comma_in_plain_csv_is_refused_because_its_cells_are_parted_by_commas(path, capsys):
    assert main(["export", str(path), "--decimal", "comma"]) == 1
    assert "--decimal comma goes with --to xlsx-friendly-csv" in capsys.readouterr().err


HEAD = "kind,temperature/K,pressure/Pa,u_temperature/K,u_pressure/Pa,start/s,end/s"


@pytest.fixture
def sealed_run(tmp_path):
    """Six points over trapped air, with lags, a way back, one set aside, and a plan that is nobody's default."""
    liquid, sealed = load_liquid("n-heptane"), BASELINES[1]
    plan = RunPlan.model_validate({
        "cell": {"volume": "131 mL", "u_volume": "0.7 mL", "tubing": "1.3 mL", "charge": "2.2 mL"},
        "room": {"humidity": 0.38}, "sensors": {"pressure": {"u_offset": "0.9 kPa"}}, "bath": {"hot_water": "66 degC"},
    })  # fmt: skip
    points = [
        replace(
            POINTS[0], number=n, label=f"no {n}", temperature=t, branch=branch, used=n != 3, start=400.0 * n,
            end=400.0 * n + 61.0, correlation=0.07 * n, lag=0.013 * n, u_lag=0.004 + 0.001 * n, u_temperature=0.0173,
            pressure=float(liquid.saturation_pressure(t)) * 1.003 + sealed.pressure * t / sealed.temperature,
        )
        for n, (t, branch) in enumerate(
            [(296.1, "up"), (300.2, "up"), (304.3, "up"), (308.4, "up"), (312.5, "up"), (298.7, "return")], 1
        )
    ]  # fmt: skip
    path = tmp_path / "run.h5"
    header = replace(HEADER, plan=plan.model_dump(mode="json"), liquid="n-heptane")
    writer = RunFileWriter(path, header)
    record_run(writer, 10)
    writer.close(END, points, BASELINES, [], None)
    return path


@pytest.mark.parametrize("form", [["csv"], ["xlsx-friendly-csv"], ["xlsx-friendly-csv", "--decimal", "comma"]])
def test_exported_points_are_fitted_exactly_as_the_run_itself(sealed_run, tmp_path, capsys, form):
    assert main(["fit", str(sealed_run), "--json"]) == 0
    of_the_run = json.loads(capsys.readouterr().out)
    assert main(["export", str(sealed_run), "--out", str(tmp_path / "tables"), "--to", *form]) == 0
    command = capsys.readouterr().err.strip().partition("satline ")[2].split()
    assert command[0] == "fit"
    assert main([*command, "--json"]) == 0
    of_the_table = json.loads(capsys.readouterr().out)
    of_the_run["points"] = [point for point in of_the_run["points"] if point["used"]]
    assert of_the_table == of_the_run
    assert of_the_run["method"]["setup"]["room_humidity"] == 0.38
    assert len(of_the_run["points"]) == 5


def test_baselines_without_the_plan_of_their_run_are_refused(sealed_run, tmp_path, capsys):
    main(["export", str(sealed_run), "--out", str(tmp_path / "tables")])
    points, baselines = (str(tmp_path / "tables" / f"run-{name}.csv") for name in ("points", "baselines"))
    capsys.readouterr()
    assert main(["fit", points, "--baselines", baselines, "--liquid", "n-heptane"]) == 1
    assert "needs the plan of the same run" in capsys.readouterr().err
    assert main(["fit", str(sealed_run), "--baselines", baselines]) == 1
    assert "a run file has its own" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("text", "said"),
    [("{", "Expecting property name"), ('{"cell": {"volume": "much"}}', "cell.volume"), ("[1]", "expected the plan")],
)
def test_a_plan_that_is_no_exported_plan_is_refused_in_words(sealed_run, tmp_path, capsys, text, said):
    plan = tmp_path / "plan.json"
    plan.write_text(text, encoding="utf-8")
    assert main(["fit", str(sealed_run), "--plan", str(plan)]) == 1
    err = capsys.readouterr().err
    assert said in err
    assert "expected the plan that `satline export` wrote" in err


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("kind,temperature/K\nsealed,295\n", "no column end"),
        (
            f"{HEAD}\nopen,295,1e5,0,0,0,9\n",
            "'open'",
        ),
        (f"{HEAD}\nroom,,1e5,0,0,0,9\n", "'' as"),
    ],
)
def test_a_faulty_table_of_baselines_is_refused_with_its_line(sealed_run, tmp_path, capsys, text, said):
    main(["export", str(sealed_run), "--out", str(tmp_path / "tables")])
    broken = tmp_path / "broken.csv"
    broken.write_text(text, encoding="utf-8")
    tables = tmp_path / "tables"
    capsys.readouterr()
    plan = str(tables / "run-plan.json")
    assert main(["fit", str(tables / "run-points.csv"), "--plan", plan, "--baselines", str(broken)]) == 1
    assert said in capsys.readouterr().err
