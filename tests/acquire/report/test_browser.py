"""The pages in a real browser: no errors, no requests, no figure cut by a page end.  Skipped where there is none."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from acquire.report.worksheet import worksheet_html

BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
PDF_TO_TEXT = shutil.which("pdftotext")
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(BROWSER is None, reason="no Chromium on this machine (Debian package chromium)"),
]
FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-default-apps", "--enable-logging=stderr",
    "--host-resolver-rules=MAP * ~NOTFOUND",  # a test talks to nobody
)  # fmt: skip


def browse(page: Path, folder: Path, *options: str) -> subprocess.CompletedProcess[str]:
    """Open a page and let the browser finish; its standard error holds what the page's console said."""
    profile = f"--user-data-dir={folder / 'profile'}"
    command = [str(BROWSER), *FLAGS, profile, *options, page.as_uri()]
    return subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)


def asked_by_pages(log: Path) -> list[str]:
    """Addresses on the net that a page asked for; what the browser wants for itself has no origin and is left out."""
    text = log.read_text(encoding="utf-8").rstrip()
    events = json.loads(text if text.endswith("}") else text.rstrip(",") + "]}")["events"]
    asked = [event["params"] for event in events if {"url", "initiator"} <= event.get("params", {}).keys()]
    return [p["url"] for p in asked if p["initiator"] != "not an origin" and not p["url"].startswith("file:")]


def with_figure_ends_marked(html: str) -> str:
    """The page with a word at the start and the end of every figure, to see on which sheet each lies."""
    count = iter(range(1000))

    def mark(match: re.Match[str]) -> str:
        number = next(count)
        return f"<figure><div>BEGIN{number}X</div>{match.group(1)}<div>END{number}X</div></figure>"

    return re.sub(r"<figure>(.*?)</figure>", mark, html, flags=re.DOTALL)


def sheets_of(html: str, folder: Path) -> list[str]:
    """The text of every printed sheet."""
    page, pdf = folder / "marked.html", folder / "marked.pdf"
    page.write_text(with_figure_ends_marked(html), encoding="utf-8")
    browse(page, folder, "--no-pdf-header-footer", f"--print-to-pdf={pdf}")
    text = subprocess.run([str(PDF_TO_TEXT), "-layout", str(pdf), "-"], capture_output=True, text=True, check=True)
    return text.stdout.split("\f")


def cut_figures(sheets: list[str]) -> tuple[int, list[str]]:
    """How many figures there are, and those that begin and end on different sheets."""
    begins = {number: index for index, sheet in enumerate(sheets) for number in re.findall(r"BEGIN(\d+)X", sheet)}
    ends = {number: index for index, sheet in enumerate(sheets) for number in re.findall(r"END(\d+)X", sheet)}
    return len(begins), [number for number in begins if ends.get(number) != begins[number]]


def test_the_console_stays_silent_and_no_address_outside_is_asked_for(html, tmp_path):
    page, log = tmp_path / "report.html", tmp_path / "requests.json"
    page.write_text(html, encoding="utf-8")
    seen = browse(page, tmp_path, f"--log-net-log={log}", "--dump-dom")
    assert "CONSOLE" not in seen.stderr
    assert "What this run cannot show" in seen.stdout
    assert asked_by_pages(log) == []


def test_the_check_would_see_a_console_error_and_a_request(tmp_path):
    page, log = tmp_path / "bad.html", tmp_path / "requests.json"
    page.write_text(
        "<!doctype html><title>x</title><img src='http://192.0.2.1/pixel.png'><script>console.error('seen')</script>"
    )  # 192.0.2.0/24 is set aside for documentation (RFC 5737): nobody answers
    seen = browse(page, tmp_path, f"--log-net-log={log}", "--dump-dom", "--timeout=2000")
    assert "CONSOLE" in seen.stderr
    assert asked_by_pages(log) == ["http://192.0.2.1/pixel.png"]


@pytest.mark.skipif(PDF_TO_TEXT is None, reason="no pdftotext on this machine (Debian package poppler-utils)")
def test_no_figure_of_the_report_is_cut_by_a_page_end(html, tmp_path):
    figures, cut = cut_figures(sheets_of(html, tmp_path))
    assert figures == 4
    assert cut == []


@pytest.mark.skipif(PDF_TO_TEXT is None, reason="no pdftotext on this machine (Debian package poppler-utils)")
def test_the_check_would_see_a_cut_figure(html, tmp_path):
    may_break = html.replace("break-inside: avoid", "break-inside: auto")
    pushed = may_break.replace("<h2>Findings</h2>", '<div style="height:120mm"></div><h2>Findings</h2>')
    _, cut = cut_figures(sheets_of(pushed, tmp_path))
    assert cut


@pytest.mark.skipif(PDF_TO_TEXT is None, reason="no pdftotext on this machine (Debian package poppler-utils)")
@pytest.mark.parametrize(("language", "filled"), [("en", False), ("de", True)])
def test_the_worksheet_fits_two_sheets_with_its_graph_whole(module_run, tmp_path, language, filled):
    sheets = sheets_of(worksheet_html(module_run, filled=filled, language=language), tmp_path)
    assert cut_figures(sheets) == (1, [])
    assert len([sheet for sheet in sheets if sheet.strip()]) == 2


def test_the_page_is_no_wider_than_a_telephone(html, tmp_path):
    page, frame = tmp_path / "report.html", tmp_path / "frame.html"
    # A window cannot be made narrower than 500 dots without a display: a frame of 390 stands for the telephone.
    width = "document.title = 'width ' + document.documentElement.scrollWidth + ' of ' + innerWidth"
    page.write_text(html.replace("</body>", f"<script>{width}</script></body>"), encoding="utf-8")
    frame.write_text(
        f"<!doctype html><title>frame</title><iframe width=390 height=800 src='{page.as_uri()}'></iframe>"
        "<script>onload = () => { document.title = frames[0].document.title }</script>"
    )
    seen = browse(frame, tmp_path, "--dump-dom", "--hide-scrollbars", "--allow-file-access-from-files")
    assert "<title>width 390 of 390</title>" in seen.stdout
