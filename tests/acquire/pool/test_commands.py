"""`satline pool` and `satline study` as a user runs them."""

import json
import re
from hashlib import sha256
from html import unescape
from importlib.resources import files
from urllib.parse import unquote

import numpy as np
import pytest

from acquire.commands.main import main
from acquire.pool.job import PoolOrder, PoolStopped, left_out, own_table_hash, pool, runs_of_bench
from acquire.pool.runs_section import MOST_RUNS, runs_section
from acquire.pool.summary import RunSummary
from acquire.pool.workers import LocalWorkers
from tests.acquire.pool.made import write_run
from tests.analysis.pooling.campaigns import Fault, campaign


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("archive")
    runs, _ = campaign(np.random.default_rng(9), benches=6, runs=2, faults={1: Fault(leak_rate=1 / 2e4)})
    for number, run in enumerate(runs):
        write_run(folder / f"run{number:02d}.h5", run)
    (folder / "broken.h5").write_bytes(b"\x89HDF\r\n\x1a\nnothing")
    (folder / "notes.txt").write_text("not looked at")
    (folder / "points.csv").write_text("temperature/degC,pressure/kPa\n22,101\n")
    return folder


def test_a_folder_is_pooled_and_everything_is_written(folder, tmp_path, capsys):
    out = tmp_path / "out"
    assert main(["pool", str(folder), "--out", str(out), "--workers", "0"]) == 0
    said = capsys.readouterr().out
    assert "12 runs on 6 benches, 2 files left out" in said
    assert "a plain average would say" in said
    assert "stands out: Bench 02 loses air" in said
    assert sorted(p.name for p in out.iterdir()) == ["cache", "pool.html", "pool.json", "runs.csv"]


def test_json_is_one_document_and_nothing_else(folder, tmp_path, capsys):
    assert main(["pool", str(folder), "--out", str(tmp_path), "--workers", "0", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["runs"] == 12
    assert document["liquid"] == "n-heptane"
    low, high = document["consensus"]["interval_95"]
    assert low < 36_570 < high
    assert json.loads((tmp_path / "pool.json").read_text()) == document


def test_the_page_speaks_the_language_that_is_asked_for(folder, tmp_path):
    assert main(["pool", str(folder), "--out", str(tmp_path), "--workers", "0", "--language", "de"]) == 0
    page = (tmp_path / "pool.html").read_text(encoding="utf-8")
    assert '<html lang="de">' in page
    assert "12 Läufe mit n-Heptan, zusammengefasst" in page
    assert re.search(r"<td>eine Tabelle sagt nicht, was gemessen [^<]*; geben Sie --liquid und --air an</td>", page)


def test_a_table_of_runs_can_be_pooled_again_without_the_files(folder, tmp_path, capsys):
    first, second = tmp_path / "a", tmp_path / "b"
    main(["pool", str(folder), "--out", str(first), "--workers", "0"])
    assert main(["pool", str(first / "runs.csv"), "--out", str(second), "--workers", "0", "--json"]) == 0
    capsys.readouterr()
    a, b = (json.loads((p / "pool.json").read_text()) for p in (first, second))
    assert b["consensus_with_all"]["value"] == pytest.approx(a["consensus_with_all"]["value"], rel=1e-9)


def test_shared_instruments_from_a_table_widen_the_interval(folder, tmp_path, capsys):
    shared = tmp_path / "shared.csv"
    shared.write_text("bench,pressure sensor\n" + "".join(f"bench 0{i},one\n" for i in range(1, 7)))
    widths = []
    for more in ([], ["--shared", str(shared)]):
        main(["pool", str(folder), "--out", str(tmp_path / "o"), "--workers", "0", "--json", *more])
        widths.append(json.loads(capsys.readouterr().out)["consensus"]["standard_uncertainty"])
    assert widths[1] > 1.05 * widths[0]


def test_a_pooling_can_be_stopped_and_leaves_only_what_it_knows(folder, tmp_path):
    done: list[int] = []
    order, workers = PoolOrder((str(folder),), tmp_path), LocalWorkers(0)
    with pytest.raises(PoolStopped):
        pool(order, workers, lambda progress: done.append(progress.done), lambda: len(done) >= 5)
    assert [path.name for path in tmp_path.iterdir()] == ["cache"]
    assert 4 <= len(list(tmp_path.rglob("*.json"))) < 12
    result = pool(order, workers)
    workers.close()
    assert result.outcome.runs == 12
    (bench,) = (one.bench for one in result.outcome.outlying)
    runs = runs_of_bench(tmp_path / "runs.csv", bench, 10)
    assert [run.bench for run in runs] == [bench] * 2
    assert all(run.source.startswith(str(folder)) for run in runs)
    assert [run.reason != "" for run in left_out(tmp_path / "runs.csv", 10)] == [True, True]


def test_runs_with_a_liquid_of_the_own_table_are_pooled(tmp_path, monkeypatch):
    shipped = files("analysis").joinpath("liquids.toml").read_text(encoding="utf-8")
    table = tmp_path / "liquids.toml"
    start = shipped.index('name = "n-heptane"')
    entry = shipped[shipped.rindex("[[liquid]]", 0, start) : shipped.index("[[liquid]]", start)]
    table.write_text("format = 1\n" + entry.replace('name = "n-heptane"', 'name = "mine"'), encoding="utf-8")
    monkeypatch.setattr("acquire.own_liquids.own_table", lambda: table)
    monkeypatch.setattr("acquire.pool.job.own_table", lambda: table)
    runs, _ = campaign(np.random.default_rng(9), benches=2, runs=1)
    names = [str(write_run(tmp_path / f"{i}.h5", run, liquid="mine")) for i, run in enumerate(runs)]
    order = PoolOrder(tuple(names), tmp_path)
    workers = LocalWorkers(0)
    outcome = pool(order, workers).outcome
    workers.close()
    assert (outcome.liquid, outcome.runs) == ("mine", 2)
    assert own_table_hash() == sha256(table.read_bytes()).hexdigest()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["nothing-here.h5"], "none of the 1 files can be used"),
        (["--settle", "tolerance=0.05K", "x.h5"], "give --from-traces with it"),
        (["--liquid", "heptan", "x.h5"], "n-heptane"),
        (["--cluster", "nonsense://x", "x.h5"], "address of a scheduler|not installed"),
    ],
)
def test_what_cannot_be_done_is_said_on_standard_error(arguments, said, tmp_path, capsys):
    assert main(["pool", *arguments, "--out", str(tmp_path), "--workers", "0"]) == 1
    import re

    text = capsys.readouterr().err
    assert re.search(said, text), text
    assert "Traceback" not in text


def test_an_empty_folder_is_said(tmp_path, capsys):
    (tmp_path / "empty").mkdir()
    assert main(["pool", str(tmp_path / "empty"), "--out", str(tmp_path / "o"), "--workers", "0"]) == 1
    assert "holds no run file and no CSV table" in capsys.readouterr().err


def test_a_study_runs_from_its_own_example(tmp_path, capsys):
    assert main(["study", "--example"]) == 0
    text = capsys.readouterr().out
    plan = tmp_path / "study.toml"
    plan.write_text(text.replace("[4, 6]", "[3]").replace('["8 K", "16 K"]', '["16 K"]').replace('"120 s", ', ""))
    out = tmp_path / "out"
    assert main(["study", str(plan), "--runs", "20", "--out", str(out), "--workers", "0"]) == 0
    assert "sensors good: error" in capsys.readouterr().out
    assert (out / "study.html").is_file()


def test_a_study_without_a_plan_says_how_to_get_one(capsys):
    assert main(["study"]) == 1
    assert "satline study --example" in capsys.readouterr().err


def test_the_page_leads_to_every_run_file_and_to_the_report_beside_it(folder, tmp_path):
    (folder / "run03.html").write_text("a report")
    out = tmp_path / "results of <May>"
    main(["pool", str(folder), "--out", str(out), "--workers", "0"])
    (folder / "run03.html").unlink()
    page = (out / "pool.html").read_text()
    links = re.findall(r"<a href='([^']+)'>", page)
    there = {(out / unquote(unescape(link))).resolve() for link in links}
    assert there == {(folder / f"run{number:02d}.h5").resolve() for number in range(12)} | {
        (folder / "run03.html").resolve()
    }
    assert not [link for link in links if ":" in link or link.startswith("/")]


def test_the_list_of_runs_is_bounded_and_a_run_without_a_file_is_named_only(tmp_path):
    runs = (RunSummary(f"{n}.h5", run=f"run <{n}>", bench="one", value=36e3, u_own=300.0) for n in range(MOST_RUNS + 9))
    section = runs_section(runs, tmp_path, MOST_RUNS + 9)
    assert section.count("<tr>") == MOST_RUNS + 1
    assert f"The first {MOST_RUNS} of {MOST_RUNS + 9} are listed" in section
    assert "run &lt;0&gt;" in section
    assert "<a " not in section
    assert runs_section([], tmp_path, 0) == ""
