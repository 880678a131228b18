"""The report command: what it writes where, and a clear word where it cannot."""

from __future__ import annotations

import json
import re
import shutil
from dataclasses import replace

import pytest

from acquire.commands.live import enthalpy_text
from acquire.commands.main import main
from acquire.review.what_if import answer
from acquire.runfile.layout import RunHeader
from acquire.runfile.reader import read_run
from acquire.runfile.writer import RunFileWriter
from acquire.window.quantities import interval as window_interval
from acquire.window.review_state import result_words
from drivers.readings import Readings


@pytest.fixture(scope="module")
def run_file(tmp_path_factory):
    """A run file with the readings, journal and points of the invented run, and the fit of these points."""
    from tests.acquire.report.conftest import make_run

    record = make_run()
    record = replace(record, results=(answer(record).fit.as_dict(),))
    path = tmp_path_factory.mktemp("runs") / "run one.h5"
    header = RunHeader(
        title=record.title, start_time=record.start_time, program=record.program, plan=record.plan,
        plan_text=record.plan_text, profile_texts=record.profile_texts, devices=record.devices,
        versions=record.versions, liquid="n-heptane", operator="",
    )  # fmt: skip
    writer = RunFileWriter(path, header)
    for trace in record.traces.values():
        writer.append(Readings(trace.channel, trace.time, trace.value, trace.raw, trace.quality), trace.device)
    writer.append_entries(record.journal)
    writer.close(record.end_time, record.points, record.baselines, record.results, None)
    return path


@pytest.fixture
def undrawn(monkeypatch):
    """Figures are made but not written out, which is most of the time a page takes."""
    monkeypatch.setattr("acquire.report.page.inline_svg", lambda figure, *, name, label: f"<svg>{name}</svg>")


@pytest.fixture
def copied(run_file, tmp_path):
    return shutil.copy(run_file, tmp_path / run_file.name)


@pytest.mark.usefixtures("undrawn")
def test_the_report_lies_beside_the_run_file(copied, capsys):
    assert main(["report", str(copied)]) == 0
    written = copied.with_suffix(".html")
    assert capsys.readouterr().out == f"{written}\n"
    page = written.read_text(encoding="utf-8")
    assert "n-Heptane, bench 7" in page
    assert "sealed when the run was closed" in page


def test_worksheet_and_answers_are_two_files(copied, tmp_path):
    assert main(["report", str(copied), "--worksheet"]) == 0
    assert main(["report", str(copied), "--answers"]) == 0
    assert "Answers to the worksheet" in (tmp_path / "run one-answers.html").read_text(encoding="utf-8")
    assert "Answers to the worksheet" not in (tmp_path / "run one-worksheet.html").read_text(encoding="utf-8")


@pytest.mark.slow
def test_figures_are_written_in_the_kinds_asked_for(copied, tmp_path, capsys):
    assert main(["report", str(copied), "--figures", str(tmp_path / "f"), "--as", "png"]) == 0
    assert len(capsys.readouterr().out.splitlines()) == 4
    assert len(list((tmp_path / "f").glob("run one-*.png"))) == 4


@pytest.mark.usefixtures("undrawn")
def test_a_folder_gets_a_page_with_a_row_a_run(copied, tmp_path):
    (tmp_path / "spoilt.h5").write_text("not a run")
    assert main(["report", str(tmp_path)]) == 0
    page = (tmp_path / "runs.html").read_text(encoding="utf-8")
    assert 'href="run%20one.html"' in page
    assert "intact" in page
    assert "Could not be read: " in page


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["nowhere.h5"], "there is no 'nowhere.h5'; expected a run file or a folder of run files"),
        (["."], "there is no run file in '.'; expected one or more files that end in .h5."),
        ([".", "--worksheet"], "are for one run; name one run file"),
        (["page.txt"], "is not an HDF5 file"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_sentence_and_exit_status_1(arguments, said, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "page.txt").write_text("not a run")
    assert main(["report", *arguments]) == 1
    captured = capsys.readouterr()
    assert said in captured.err
    assert "Traceback" not in captured.err
    assert captured.out == ""


def test_an_unknown_kind_of_figure_and_an_unwritable_place_are_named(copied, tmp_path, capsys):
    assert main(["report", str(copied), "--figures", str(tmp_path), "--as", "gif"]) == 1
    assert "found gif as a kind of figure file" in capsys.readouterr().err
    assert main(["report", str(copied), "--worksheet", "--out", str(tmp_path / "no" / "a.html")]) == 1
    assert "could not be written" in capsys.readouterr().err


def numbers_in(text: str) -> list[str]:
    """Every decimal number of a text, as it is written."""
    return re.findall(r"\d+\.\d+", text.replace("\N{NO-BREAK SPACE}", " "))


def rounds_to(shown: str, value: float) -> bool:
    """Whether `shown` is `value` to the decimals it is shown with."""
    return abs(float(shown) - value) <= 0.5 * 10.0 ** -len(shown.partition(".")[2]) * (1 + 1e-9)


@pytest.mark.usefixtures("undrawn")
def test_window_terminal_json_report_and_export_all_show_the_same_result(copied, tmp_path, capsys):
    stored = read_run(copied).results[-1]["enthalpy_vap"]["at_298_15"]
    value, u = stored["value"] / 1e3, stored["standard_uncertainty"] / 1e3
    low, high = (end / 1e3 for end in stored["interval_95"])
    half = max(high - value, value - low)

    assert main(["fit", str(copied), "--json"]) == 0
    fitted = json.loads(capsys.readouterr().out)["enthalpy_vap"]["at_298_15"]
    assert fitted["value"] == pytest.approx(stored["value"], rel=1e-9)
    assert fitted["interval_95"] == pytest.approx(stored["interval_95"], rel=1e-9)

    assert main(["export", str(copied), "--to", "json", "--out", str(tmp_path / "all.json")]) == 0
    exported = json.loads((tmp_path / "all.json").read_text(encoding="utf-8"))["results"][-1]
    assert exported["enthalpy_vap"]["at_298_15"] == stored

    result = read_run(copied).results[-1]
    terminal = numbers_in(enthalpy_text(result).split("=")[1])
    window = numbers_in(window_interval(value, low, high, "kJ/mol"))
    review = numbers_in(result_words(result))
    assert main(["report", str(copied)]) == 0
    page = copied.with_suffix(".html").read_text(encoding="utf-8")
    report = numbers_in(re.search(r'class="number">(.*?)<', page)[1])
    report_interval = numbers_in(re.search(r"95&nbsp;% interval (.*?)</strong>", page)[1])

    for shown, expected in (
        (terminal, [value, u, low, high]),
        (window, [value, half]),
        (review, [value, low, high]),
        (report, [value, half]),
        (report_interval, [low, high]),
    ):
        assert len(shown) == len(expected)
        assert all(rounds_to(*pair) for pair in zip(shown, expected, strict=True)), (shown, expected)


@pytest.mark.usefixtures("undrawn")
def test_several_runs_are_compared_on_one_page(copied, tmp_path, capsys):
    other = shutil.copy(copied, tmp_path / "other.h5")
    assert main(["report", str(copied), str(other)]) == 0
    assert capsys.readouterr().out == f"{tmp_path / 'compared.html'}\n"
    assert "2 runs compared" in (tmp_path / "compared.html").read_text(encoding="utf-8")
    assert main(["report", str(copied), str(other), "--worksheet"]) == 1
    assert "are for one run; name one run file" in capsys.readouterr().err
