"""A German window is wholly German also where a file, a table, a plan or a device is refused."""

from __future__ import annotations

import re

import pytest

pytest.importorskip("PyQt5.QtWidgets", exc_type=ImportError)

from PyQt5.QtWidgets import QTableWidgetItem

from acquire.commands.fit import points_window
from acquire.commands.main import main
from acquire.commands.other_window import OtherWindow
from acquire.commands.pool_window import pool_services
from acquire.commands.review import Check
from acquire.commands.window_services import MachineServices
from acquire.pool.settings import PoolSettings
from acquire.runfile.errors import WriteFailedError
from acquire.runfile.writer import RunFileWriter
from acquire.window.borrowed import error_text, file_text
from acquire.window.language import ENGLISH, load_language, use_language
from acquire.window.looks import Look
from acquire.window.pool_state import PoolChoice, left_out_cells
from acquire.window.start_state import StartChoice, StartRefused
from tests.acquire.report.test_refused_files import ENGLISH_WORDS
from tests.acquire.runfile.sample_run import BASELINES, END, HEADER, POINTS, RESULT


@pytest.fixture(autouse=True)
def german(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    use_language(load_language("de"))
    yield
    use_language(ENGLISH)


def is_german(text: str) -> bool:
    """No English word outside what is quoted, and not quoted whole."""
    rest = re.sub(r"'[^']*'|„[^“]*“|/\S+", "", text)
    return bool(rest.strip()) and "Wortlaut" not in text and not ENGLISH_WORDS.findall(rest)


def closed_run(path):
    RunFileWriter(path, HEADER).close(END, POINTS, BASELINES, [RESULT])
    return path


def refused(choice: StartChoice, **given) -> str:
    with pytest.raises(StartRefused) as caught:
        MachineServices(report=False, **given).open(choice)
    return str(caught.value)


def test_the_start_page_says_why_a_plan_cannot_be_used(tmp_path):
    assert refused(StartChoice(("simulated-bench@loop://",), "", "no-plan.toml")) == (
        "Den Laufplan 'no-plan.toml' gibt es nicht; erwartet wird eine TOML-Datei. Ohne Plan gelten die "
        "Voreinstellungen."
    )
    (tmp_path / "plan.toml").write_text('liquid = 7\n[bath]\nhot_water = "70"\n')
    words = refused(StartChoice(("simulated-bench@loop://",), "", "plan.toml"))
    assert words.splitlines()[0] == "Laufplan:1: liquid: gefunden: 7; erwartet: ein Text in Anführungszeichen"
    assert is_german(words), words


@pytest.mark.parametrize(
    ("device", "words"),
    [
        ("simulated-bench", "kein '@' darin; erwartet wird PROFIL@ANSCHLUSS"),
        ("simulated-bench@/dev/not-there", "Den Anschluss '/dev/not-there' gibt es nicht"),
        ("simulated-bnch@/dev/not-there", "meinten Sie 'simulated-bench'?"),
    ],
)
def test_the_start_page_says_why_a_device_cannot_be_used(device, words):
    said = refused(StartChoice((device,), ""))
    assert words in said
    assert is_german(said), said


def test_the_start_page_says_why_a_liquid_or_a_name_cannot_be_used(tmp_path):
    said = refused(StartChoice(("simulated-bench@loop://",), "n-heptan"))
    assert said.startswith("Eine Flüssigkeit 'n-heptan' gibt es nicht; erwartet wird ein Name")
    assert is_german(said), said
    closed_run(tmp_path / "run.h5")
    said = refused(StartChoice(("sim:calm",), ""), out="run.h5")
    assert said == "run.h5 gibt es schon und wird nicht überschrieben; wählen Sie einen anderen Namen."


def test_rejoining_a_run_that_nobody_records_is_refused_in_german(tmp_path):
    said = refused(StartChoice((), "", rejoin=str(tmp_path / "run.h5")))
    assert said.startswith("Niemand zeichnet diesen Lauf auf: ")
    assert is_german(said), said


def test_another_window_that_did_not_open_says_so_in_german(tmp_path, capsys):
    (tmp_path / "run.h5").write_bytes(b"temperature,pressure\n" * 30)
    assert main(["report", str(tmp_path / "run.h5")]) == 1
    printed = capsys.readouterr().err.strip()
    assert "is not an HDF5 file" in printed

    class Ended(OtherWindow):
        def __init__(self, said: bytes, status: int) -> None:
            import io
            import types

            self._said = io.BytesIO(said)
            self._process = types.SimpleNamespace(poll=lambda: status)

    told = Ended(printed.encode(), 1).trouble()
    assert "ist keine HDF5-Datei; erwartet wird eine Laufdatei" in told
    assert is_german(told), told
    assert Ended(b"", 3).trouble().startswith("Das Fenster endete mit Status 3")
    assert Ended(b"", 0).trouble() == ""


def test_many_runs_name_what_was_left_out_in_german(tmp_path):
    closed_run(tmp_path / "one.h5")
    (tmp_path / "two.h5").write_bytes(b"")
    (tmp_path / "three.csv").write_text("temperature/degC,presure/kPa\n20,4.7\n")
    services = pool_services(PoolSettings(), Look(), workers=0)
    found = services.pool(PoolChoice(tmp_path), lambda progress: None, lambda: False)
    assert found.outcome is None
    assert is_german(found.refused), found.refused
    assert "two.h5 ist leer; erwartet wird eine Laufdatei" in found.refused
    assert "die Spalte 'presure' (meinten Sie 'pressure'?)" in found.refused
    with pytest.raises(ValueError, match="ist eine Tabelle von Punkten; nur Laufdateien") as caught:
        services.open_run("three.csv")
    assert is_german(str(caught.value))
    with pytest.raises(ValueError, match="ist leer; erwartet wird eine Laufdatei"):
        services.open_run("two.h5")


def test_the_list_of_files_left_out_is_german():
    from acquire.pool.summary import RunSummary

    source, words = left_out_cells(RunSummary("a.h5").left_out("the sample is a mixture; pool pure liquids"))
    assert (source, words) == ("a.h5", "die Probe ist ein Gemisch; zusammengefasst werden reine Flüssigkeiten")


def test_the_check_of_a_file_says_in_german_what_it_found(tmp_path, capsys):
    import h5py

    path = closed_run(tmp_path / "run.h5")
    with h5py.File(path, "r+") as file:
        file["entry/added"] = 1
    assert main(["verify", str(path), "--json"]) == 1
    said = Check.words(capsys.readouterr().out)
    assert said == "verändert: /entry/added kam nach dem Versiegeln hinzu"
    assert Check.words("") == "die Datei ließ sich nicht prüfen"


def test_points_that_were_typed_wrongly_are_refused_in_german(qtbot, tmp_path):
    window = points_window("n-heptane")
    qtbot.addWidget(window)
    for box, key in ((window.temperature_unit, "degC"), (window.pressure_unit, "kPa"), (window.air, "none")):
        box.setCurrentIndex(box.findData(key))
    for row, cells in enumerate((("20,1", "4,8"), ("30", "viel"))):
        for column, cell in enumerate(cells):
            window.table.setItem(row, column, QTableWidgetItem(cell))
    window.fit()
    assert window.findings.text() == ("Zeile 2: gefunden: 'viel' als Druck; erwartet: eine einfache Zahl wie 21")
    window.table.item(1, 1).setText("")
    window.table.item(1, 0).setText("")
    window.fit()
    assert is_german(window.findings.text()), window.findings.text()
    window.save_to(str(tmp_path / "nowhere" / "points.csv"))
    assert "lässt sich nicht schreiben (wörtlich: „No such file or directory“)" in window.findings.text()


def test_an_error_is_told_by_its_facts_by_its_words_or_quoted(tmp_path):
    failed = WriteFailedError(tmp_path / "run.h5", "writing", "No space left on device")
    assert is_german(error_text(failed)), error_text(failed)
    assert is_german(error_text(PermissionError(13, "Permission denied", "run.h5")))
    assert file_text("nobody knows this") == "Im Wortlaut: „nobody knows this“"
    assert file_text("") == ""
    use_language(ENGLISH)
    assert file_text("nobody knows this") == "nobody knows this"
