"""Points typed or pasted into the window give what the same table gives as a file."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from PyQt5.QtGui import QGuiApplication

from acquire.commands.fit import points_window
from acquire.commands.main import main
from acquire.window.points_entry_state import Entered, EntryError, air_text, pasted, table_text

TABLE = "24,71;106,90\n28,06;108,01\n31,42;109,26\n34,75;110,69\n37,88;112,22\n"
CSV = "temperature/degC;pressure/kPa;branch\n" + "".join(f"{line};up\n" for line in TABLE.splitlines())


def entered(**changes) -> Entered:
    fields = {
        "rows": (("24,71", "106,90", "", "", "up"), ("", "", "", "", "up")),
        "temperature_unit": "degC", "pressure_unit": "kPa", "air": "sealed", "baseline": ("21,50", "101,30"),
        "liquid": "n-heptane",
    }  # fmt: skip
    return Entered(**(fields | changes))


def test_what_was_typed_becomes_a_table_with_units() -> None:
    assert table_text(entered()) == "temperature/degC;pressure/kPa;branch\n24,71;106,90;up\n"
    stated = entered(rows=(("24,71", "106,90", "0,02", "0,05", "return"),))
    assert table_text(stated).splitlines()[0] == "temperature/degC;pressure/kPa;u_temperature/K;u_pressure/kPa;branch"
    assert air_text(entered()) == "sealed=21.50 degC,101.30 kPa"


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"temperature_unit": ""}, "Choose the units"),
        ({"pressure_unit": ""}, "Choose the units"),
        ({"rows": ()}, "There is no point yet"),
        ({"rows": (("24,7", "", "", "", "up"),)}, "Row 1 has no temperature or no pressure"),
        ({"rows": (("24,7", "106", "0,1", "", "up"),)}, "Give both uncertainties of every point, or none"),
    ],
)
def test_what_is_missing_is_asked_for_and_never_guessed(changes, words) -> None:
    with pytest.raises(EntryError, match=words):
        table_text(entered(**changes))


def test_the_air_is_asked_for() -> None:
    with pytest.raises(EntryError, match="Choose how the trapped air was treated"):
        air_text(entered(air=""))
    with pytest.raises(EntryError, match="Give temperature and pressure of the closed, dry cell"):
        air_text(entered(baseline=("21,5", " ")))


@pytest.mark.parametrize(
    "text",
    ["24,71\t106,90\n28,06\t108,01", "T;p\n24,71;106,90\n28,06;108,01", "24,71  106,90\n\n28,06  108,01\n"],
)
def test_a_copied_table_is_read_in_the_usual_forms(text) -> None:
    assert pasted(text) == [["24,71", "106,90"], ["28,06", "108,01"]]
    assert pasted("24.71,106.90") == [["24.71", "106.90"]]


@pytest.mark.slow
def test_the_window_gives_the_numbers_and_the_page_of_the_same_table_in_a_file(qtbot, tmp_path: Path, capsys) -> None:
    file = tmp_path / "points.csv"
    file.write_text(CSV, encoding="utf-8")
    air = "sealed=21.50 degC,101.30 kPa"
    assert main(["fit", str(file), "--air", air, "--liquid", "n-heptane", "--json"]) == 0
    expected = json.loads(capsys.readouterr().out)

    window = points_window()
    opened: list = []
    window._open_url = opened.append
    qtbot.addWidget(window)
    window.show()
    window.fit()
    assert window.findings.text().startswith("Choose the units"), "nothing is guessed"
    window.temperature_unit.setCurrentIndex(window.temperature_unit.findData("degC"))
    window.pressure_unit.setCurrentIndex(window.pressure_unit.findData("kPa"))
    window.air.setCurrentIndex(window.air.findData("sealed"))
    window.liquid.setCurrentIndex(window.liquid.findData("n-heptane"))
    window.baseline[0].setText("21,50")
    window.baseline[1].setText("101,30")
    QGuiApplication.clipboard().setText(TABLE)
    window.paste()
    assert not window.buttons["report"].isEnabled()
    window.fit()
    assert window._fitted is not None, window.findings.text()
    document = window._fitted[1]
    assert document["enthalpy_vap"]["at_298_15"]["value"] == expected["enthalpy_vap"]["at_298_15"]["value"]
    assert document["enthalpy_vap"]["interval_95"] == expected["enthalpy_vap"]["interval_95"]
    assert [f["code"] for f in document["findings"]] == [f["code"] for f in expected["findings"]]
    window.report_to(str(tmp_path / "page.html"))
    assert "Fit of a table of points" in (tmp_path / "page.html").read_text(encoding="utf-8")
    assert opened[0].toLocalFile() == str((tmp_path / "page.html").resolve())
    window.save_to(str(tmp_path / "saved.csv"))
    assert (tmp_path / "saved.csv").read_text(encoding="utf-8") == CSV
    window.baseline[0].setText("21,60")
    assert not window.buttons["report"].isEnabled(), "what stands here is not what was fitted any more"
    window.close()
