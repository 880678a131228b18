"""The marker's page: one row a run, links that work, and a spoilt file that holds nobody up."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from urllib.parse import unquote

import pytest

import acquire.report.marker as marker
from acquire.report.errors import ReportError
from acquire.report.language import spoken
from acquire.report.marker import marker_html, marker_row, relative_link, write_marker_page
from acquire.runfile.errors import RunFileError
from acquire.runfile.integrity import VerifyReport


def row_of(record, **changes):
    given = {"file": "run.h5", "href": "run.html", "integrity": "intact"} | changes
    return marker_row(record, **given)


def test_a_row_has_result_interval_reference_points_and_integrity(example_run):
    row = row_of(example_run)
    low, high = example_run.results[0]["enthalpy_vap"]["at_298_15"]["interval_95"]
    assert row.interval.startswith(f"{low / 1000:.1f} to {high / 1000:.1f}")
    assert row.reference == "inside"
    assert row.points == "6 used, with a return point"
    assert row.taken == "5 by program, 1 by person"
    assert row.integrity == "intact"
    assert row.edits == ""


def test_findings_that_put_the_value_in_doubt_are_told_and_notes_only_counted(example_run):
    row = row_of(example_run)
    assert row.findings == ("▲ The bath fell by 0.6 K per hour during the hottest plateau.",)
    assert row.notes == 1


def test_what_was_changed_by_hand_is_counted(example_run):
    first, second, *rest = example_run.journal
    journal = (
        replace(first, kind="point set aside"),
        replace(second, kind="point set aside"),
        *(replace(entry, text="point 3 taken before it was proposed") if entry.kind == "point" else entry
          for entry in rest),
    )  # fmt: skip
    points = (replace(example_run.points[0], used=False), *example_run.points[1:5])
    row = row_of(replace(example_run, journal=journal, points=points))
    assert row.edits == "2 × point set aside"
    assert row.points == "4 used, 1 set aside, no return point"
    assert row.taken.endswith("6 before a plateau was proposed")


def test_a_run_without_a_result_says_why_in_its_row(example_run):
    row = row_of(replace(example_run, results=(), points=example_run.points[:2], journal=()))
    assert row.result == "none"
    assert row.why_none == "The run has 2 points in use; three or more are needed."


def test_hostile_names_are_shown_and_never_obeyed(example_run):
    hostile = '"><script>alert(1)</script>'
    row = row_of(replace(example_run, title=hostile), file=hostile, integrity=hostile)
    html = marker_html([row], hostile)
    assert "<script" not in html
    assert html.count("&lt;script&gt;") >= 4


def test_links_work_from_where_the_page_lies_whatever_the_names(tmp_path):
    target = tmp_path / "a b" / "run #1 ü%.html"
    link = relative_link(target, tmp_path / "pages")
    assert not set(link) & set(" #ü")
    assert (tmp_path / "pages" / unquote(link)).resolve() == target.resolve()


def test_every_run_of_a_folder_gets_a_report_and_a_row_and_a_spoilt_one_its_reason(tmp_path, example_run, monkeypatch):
    for name in ("one.h5", "two.h5", "spoilt.h5"):
        (tmp_path / name).write_bytes(b"")

    def read(path):
        if Path(path).stem == "spoilt":
            raise RunFileError("spoilt.h5 is not an HDF5 file; expected a run file")
        return replace(example_run, title=f"Run {Path(path).stem}")

    monkeypatch.setattr(marker, "read_run", read)
    monkeypatch.setattr(marker, "verify", lambda path: VerifyReport(str(path), "intact", (), ""))
    monkeypatch.setattr(marker, "report_html", lambda record, language: f"report of {record.title}")
    page = write_marker_page(tmp_path, tmp_path / "runs.html").read_text(encoding="utf-8")
    assert re.findall(r'href="([^"]+\.html)"', page) == ["one.html", "two.html"]
    assert (tmp_path / "one.html").read_text() == "report of Run one"
    assert "Could not be read: spoilt.h5 is not an HDF5 file; expected a run file" in page
    assert not (tmp_path / "spoilt.html").exists()


def test_a_folder_without_runs_is_named_with_the_way_out(tmp_path):
    with pytest.raises(ReportError) as caught:
        write_marker_page(tmp_path, tmp_path / "runs.html")
    assert str(caught.value) == (
        f"there is no run file in {str(tmp_path)!r}; expected one or more files that end in .h5. Name the folder the "
        "runs are in."
    )


def test_on_a_phone_every_part_of_a_row_says_what_it_is(example_run):
    """The head of the table is not shown there: each cell carries its own, in the order of the head."""
    for language in ("en", "de"):
        with spoken(language):
            page = marker_html([row_of(example_run)], "folder")
        heads = re.findall(r'<th scope="col">([^<]*)</th>', page)
        assert re.findall(r'data-head="([^"]*)"', page) == heads[1:]


def test_the_title_of_a_shipped_scenario_is_translated_and_a_persons_own_is_not(example_run):
    simulated = replace(example_run, title="Wet hands", truth={"scenario": "wet-hands"})
    with spoken("de"):
        assert row_of(simulated).title == "Nasse Hände"
        assert row_of(replace(simulated, truth=None)).title == "Wet hands"
