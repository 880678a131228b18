"""Figures that can stand in one page: own ids, a label, no fetch, the same bytes every time."""

from __future__ import annotations

import re

import matplotlib as mpl
import pytest
from matplotlib.figure import Figure

from acquire.report.svg import drawing_style, figure_bytes, inline_svg


def drawn():
    with drawing_style():
        figure = Figure(figsize=(3, 2))
        axes = figure.subplots()
        axes.plot([0.123456789, 1], [0, 1], gid="the-line")
        axes.axvspan(0.2, 0.4, hatch="//")  # is cut by a path of its own, which the library names by its address
        axes.set_title("two words")
    return figure


def test_two_figures_on_one_page_share_no_id_and_refer_only_to_their_own():
    one, two = (inline_svg(drawn(), name=name, label="x") for name in ("one", "two"))
    ids = {name: set(re.findall(r'\bid="([^"]+)"', svg)) for name, svg in (("one", one), ("two", two))}
    assert ids["one"]
    assert not ids["one"] & ids["two"]
    for name, svg in (("one", one), ("two", two)):
        assert set(re.findall(r'(?:url\(#|href="#)([^")]+)', svg)) <= ids[name]


def test_the_label_is_what_a_screen_reader_gets_and_cannot_break_out():
    svg = inline_svg(drawn(), name="a", label='"><script>alert(1)</script>')
    assert svg.startswith("<svg ")
    assert 'role="img"' in svg
    assert "<script" not in svg
    assert "&lt;script&gt;" in svg


def test_the_same_figure_gives_the_same_text():
    assert inline_svg(drawn(), name="a", label="x") == inline_svg(drawn(), name="a", label="x")


def test_nothing_is_fetched_and_no_size_is_fixed():
    svg = inline_svg(drawn(), name="a", label="x")
    addresses = set(re.findall(r'https?://[^"\s<)]+', svg))
    assert not addresses  # name spaces and metadata are gone too
    assert not re.search(r"<svg[^>]*\bwidth=", svg)
    assert "viewBox=" in svg


def test_coordinates_end_at_a_hundredth_of_a_point_and_scales_are_untouched():
    svg = inline_svg(drawn(), name="a", label="x")
    paths = " ".join(re.findall(r'\bd="([^"]*)"', svg))
    assert not re.search(r"\.\d{3}", paths)
    assert re.search(r"scale\(0\.0\d{2}", svg)


@pytest.mark.parametrize(("kind", "magic"), [("svg", b"<?xml"), ("png", b"\x89PNG"), ("pdf", b"%PDF")])
def test_a_figure_file_is_of_its_kind_and_the_same_every_time(kind, magic):
    data = figure_bytes(drawn(), kind)
    assert data.startswith(magic)
    assert data == figure_bytes(drawn(), kind)


def test_drawing_leaves_the_settings_of_others_alone():
    before = mpl.rcParams["font.size"]
    with drawing_style():
        assert mpl.rcParams["font.size"] == 8
    assert mpl.rcParams["font.size"] == before
