"""The page: complete, self-contained, nothing executable, every text from outside escaped."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from acquire.fitting import fit_point, sealed_baseline
from acquire.report.errors import ReportError
from acquire.report.page import report_html, write_page, write_report
from analysis.enthalpy import fit_enthalpy
from analysis.findings import Finding
from analysis.liquids import load_liquid

VOID = {"meta", "link", "br", "path", "use", "img", "hr", "input"}
HOSTILE = (
    '<script>alert(1)</script> "><img src=x onerror=alert(1)> </style></title><svg onload=alert(1)> '
    "{{ 7 * 7 }}{% for x in y %} & ' \" < > \N{RIGHT-TO-LEFT OVERRIDE} \N{SNOWMAN} ]]> --> &lt;b&gt;"
)


class Reader(HTMLParser):
    """Elements, attributes and text of a page as a browser would see them."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str, str | None]] = []
        self.text: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes.extend((tag, name, value) for name, value in attrs)

    def handle_data(self, data):
        self.text.append(data)

    @property
    def words(self) -> str:
        return re.sub(r"\s+", " ", " ".join(self.text).replace("\N{NO-BREAK SPACE}", " "))


@pytest.fixture(scope="module")
def page(html):
    return Reader(html)


def test_everything_a_report_must_say_is_on_the_page(page):
    headings = [
        "Findings", "Where the uncertainty comes from", "Saturation line", "Points",
        "The textbook line, and why its interval is too narrow", "Compared with the reference", "The run",
        "How the points were taken", "Set-up and inputs", "What this run cannot show", "What happened", "Cautions",
        "Provenance",
    ]  # fmt: skip
    places = [page.words.index(heading) for heading in headings]
    assert places == sorted(places)


def test_the_numbers_are_on_the_page_with_their_digits(page, module_run):
    fit = module_run.results[0]
    at = fit["enthalpy_vap"]["at_298_15"]
    low, high = at["interval_95"]
    assert f"95 % interval {low / 1000:.1f} to {high / 1000:.1f} kJ/mol" in page.words
    assert "105.961" in page.words
    assert "(36.57 ± 0.15) kJ/mol" in page.words


def test_nothing_is_fetched_and_nothing_runs(page):
    assert "script" not in page.tags
    assert not {"iframe", "object", "embed", "img", "audio", "video", "form"} & set(page.tags)
    assert not [name for _, name, _ in page.attributes if name.startswith("on")]
    links = [value for _, name, value in page.attributes if name in ("src", "href", "xlink:href", "srcset", "data")]
    assert all(link.startswith(("#", "data:,")) for link in links)


def test_no_style_reaches_outside(html):
    style = html[html.index("<style>") : html.index("</style>")]
    assert "@import" not in style
    assert "url(" not in style


def test_every_figure_has_words_for_people_who_cannot_see_it(page):
    svgs = page.tags.count("svg")
    labels = [value for tag, name, value in page.attributes if tag == "svg" and name == "aria-label"]
    assert svgs == 7  # intervals once; line, traces and close-ups for wide and narrow pages
    assert len(labels) == svgs
    assert all(len(label) > 30 for label in labels)


def test_every_id_on_the_page_is_used_once(page):
    ids = [value for _, name, value in page.attributes if name == "id"]
    assert len(ids) == len(set(ids))


def test_tables_are_real_tables_with_heads_and_scopes(page):
    assert page.tags.count("table") >= 8
    assert page.tags.count("thead") >= 5
    heads = [value for tag, name, value in page.attributes if tag == "th" and name == "scope"]
    assert len(heads) == page.tags.count("th")


@pytest.mark.slow
def test_texts_from_people_and_devices_are_shown_and_never_obeyed(build_run, example_run):
    hostile = HOSTILE
    journal = tuple(
        replace(entry, text=hostile, actor=hostile, data={**entry.data, "note": hostile, "reason": hostile})
        if entry.kind == "act"
        else entry
        for entry in example_run.journal
    )
    points = tuple(replace(point, label=hostile, reason=hostile, taken_by=hostile) for point in example_run.points)
    fit = dict(example_run.results[0])
    fit["budget"] = [{**row, "source": hostile} for row in fit["budget"]]
    fit["findings"] = [
        {"code": hostile, "severity": "doubt", "statistic": 1.0, "threshold": 2.0, "text": hostile, "advice": hostile}
    ]
    fit["method"] = {"name": hostile, "measure_better_first": hostile}
    plan = {**example_run.plan, "liquid": hostile, "operator": hostile, "bench": hostile, "notes": hostile}
    run = build_run(
        title=hostile, plan=plan, points=points, results=(fit,), devices={hostile: hostile}, program=hostile,
        profile_texts={hostile: hostile}, versions={hostile: hostile}, path=hostile, start_time=hostile,
        end_time=hostile, truth={"source": hostile, "mishaps": [hostile], "scenario": hostile},
    )  # fmt: skip
    page = Reader(report_html(replace(run, journal=journal)))
    assert "script" not in page.tags
    assert "img" not in page.tags
    assert not [name for _, name, _ in page.attributes if name.startswith("on")]
    assert page.tags.count("style") == 1
    assert page.words.count(hostile) > 20


def test_a_run_that_never_came_to_points_still_has_a_page(example_run):
    bare = replace(example_run, traces={}, journal=(), baselines=(), points=(), results=(), plan={})
    words = Reader(report_html(bare)).words
    assert "No result" in words
    assert "0 points in use" in words


def test_writing_replaces_an_older_page_in_one_step_and_leaves_nothing_else(tmp_path):
    path = tmp_path / "report.html"
    path.write_text("old")
    assert write_page("<!doctype html>ü", path) == path
    assert path.read_text(encoding="utf-8") == "<!doctype html>ü"
    assert [file.name for file in tmp_path.iterdir()] == ["report.html"]


def test_a_page_that_cannot_be_put_in_place_leaves_the_old_one_and_no_rubbish(tmp_path):
    (tmp_path / "report.html").mkdir()
    with pytest.raises(ReportError):
        write_page("new", tmp_path / "report.html")
    assert [file.name for file in tmp_path.iterdir()] == ["report.html"]


def test_a_folder_that_is_not_there_is_named_with_the_way_out(tmp_path):
    path = tmp_path / "nowhere" / "report.html"
    with pytest.raises(ReportError) as caught:
        write_page("new", path)
    assert str(caught.value) == (
        f"the page could not be written to {str(path)!r}: No such file or directory; "
        "expected a folder that can be written to. Name another file with --out, or make room."
    )


@pytest.mark.slow
def test_the_report_of_a_run_is_written_to_the_path_and_the_same_every_time(tmp_path, module_run, html):
    path = write_report(module_run, str(tmp_path / "report.html"))
    assert path.read_text(encoding="utf-8") == html


@pytest.mark.usefixtures("undrawn")
def test_a_refused_interval_still_shows_the_line_and_the_textbook_value_and_says_why(module_run):
    refuse = Finding("lag-too-long", "refuse", 0.3, 0.25, "", {"lag": 120.0, "hold": 360.0})
    fit = fit_enthalpy(
        [fit_point(point) for point in module_run.points],
        baseline=sealed_baseline(module_run.baselines),
        liquid=load_liquid("n-heptane"),
        run_findings=[refuse],
    ).as_dict()
    page = Reader(report_html(replace(module_run, results=(fit,))))
    said = "The vapour is 120 s behind the bath and the plateaus lasted 360 s:"
    assert f"No result {said}" in page.words
    assert f"■ No interval: {said}" in page.words
    assert "Saturation line" in page.words
    assert "The straight line through" in page.words
    assert "Compared with the reference" not in page.words
    assert "Where the uncertainty comes from" not in page.words
