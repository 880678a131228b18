"""Several runs on one page: every run in table and figures, told apart without colour."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from acquire.report.compare_figure import LOOKS, lines_figure, look_of, overlay_figure
from acquire.report.compare_page import branch_rows, compare_html, write_compare_page
from acquire.report.errors import ReportError
from acquire.report.svg import short_name
from acquire.review.compare import lines_of, overlays
from acquire.review.what_if import answer


@pytest.fixture(scope="module")
def pair(module_run):
    one = replace(module_run, results=(answer(module_run).fit.as_dict(),))
    return [one, replace(one, title="Bench 8 & <friends> $x$", truth={"scenario": "calm"})]


@pytest.fixture(scope="module")
def page(pair):
    return compare_html(pair)


def legend(figure):
    return [label.get_text() for found in figure.legends for label in found.get_texts()]


def test_every_run_is_in_the_table_with_its_result_and_findings(page):
    text = re.sub(r"<svg.*?</svg>", "", page, flags=re.DOTALL)
    assert text.count("n-Heptane, bench 7") == 2  # results and findings
    assert text.count("Bench 8 &amp; &lt;friends&gt; $x$") == 2
    assert "<friends>" not in page
    assert "Some of these runs were made on a simulated bench: 1 of 2." in text


def test_three_figures_each_for_wide_and_narrow_pages(page):
    assert page.count("<svg") == 6
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_each_run_has_a_line_with_its_points_and_a_name_in_the_legend(pair):
    figure = lines_figure(lines_of(pair))
    assert legend(figure) == ["n-Heptane, bench 7", r"Bench 8 & <friends> \$x\$"]
    marks = [drawn for drawn in figure.axes[0].get_lines() if drawn.get_linestyle() == "None"]
    assert [len(drawn.get_xdata()) for drawn in marks] == [5, 1, 5, 1]  # warming and return, run by run
    assert [drawn.get_markerfacecolor() for drawn in marks][1::2] == ["white", "white"]


def test_traces_lie_over_each_other_from_the_charge_on(pair):
    later = replace(pair[1], journal=tuple(replace(entry, time=entry.time + 60) for entry in pair[1].journal))
    figure = overlay_figure(overlays([pair[0], later], "pressure"), overlays([pair[0], later], "temperature"))
    one, two = (drawn.get_xdata() for drawn in figure.axes[0].get_lines()[:2])
    assert one[0] - two[0] == pytest.approx(1.0)  # a minute, by the charge that came a minute later


def test_no_two_runs_of_the_first_five_share_colour_line_or_mark():
    for part in range(3):
        assert len({str(look[part]) for look in LOOKS}) == len(LOOKS)
    assert look_of(len(LOOKS)) == look_of(0)


def test_branches_are_compared_where_three_points_were_taken_after_cooling(pair):
    assert branch_rows(pair) == ()
    record = pair[0]
    cooled = tuple(replace(p, branch="down", number=p.number + 10, start=p.start + 2000, end=p.end + 2000)
                   for p in record.points[:3])  # fmt: skip
    (row,) = branch_rows([replace(record, points=(*record.points, *cooled))])
    assert row.warming.endswith("(k\N{NO-BREAK SPACE}=\N{NO-BREAK SPACE}1)")
    assert "kJ/mol" in row.cooling


def test_one_run_alone_has_nothing_to_be_compared_with(pair):
    with pytest.raises(ReportError, match="found 1 run to compare; expected two or more"):
        compare_html(pair[:1])


def test_runs_without_results_or_readings_are_still_compared_in_words(pair, tmp_path):
    bare = replace(pair[0], results=(), points=(), journal=(), traces={}, title="Nothing came of it")
    path = write_compare_page([bare, replace(bare, title="Nor of this")], tmp_path / "compared.html")
    html = path.read_text(encoding="utf-8")
    assert "<svg" not in html
    assert "none: The run has 0 points in use; three or more are needed." in html


@pytest.mark.parametrize(
    ("name", "shown"),
    [("short", "short"), ("x" * 50, "x" * 39 + "…"), ("_hidden", "hidden"), ("___", "run"), ("a$b$", r"a\$b\$")],
)
def test_names_fit_into_a_figure_and_never_become_a_formula(name, shown):
    assert short_name(name) == shown
