"""Figures as files: every kind, named after the run, and a clear word where they cannot be written."""

from __future__ import annotations

from dataclasses import replace

import pytest

from acquire.report.errors import ReportError
from acquire.report.export import export_figures, figures_of, kinds_of


@pytest.mark.slow
def test_every_figure_is_written_in_the_kinds_asked_for_and_named_after_the_run(tmp_path, module_run):
    written = export_figures(module_run, tmp_path / "figures", ("png", "pdf"))
    names = ["traces", "plateaus", "saturation-line", "intervals"]
    assert [path.name for path in written] == [f"bench7-run04-{n}.{k}" for n in names for k in ("png", "pdf")]
    for path in written:
        assert path.read_bytes()[:4] == (b"%PDF" if path.suffix == ".pdf" else b"\x89PNG")


def test_a_run_without_points_has_only_its_traces_to_draw(module_run):
    assert list(figures_of(replace(module_run, points=(), results=()))) == ["traces"]


@pytest.mark.parametrize(("listed", "kinds"), [("svg", ("svg",)), (" PNG , pdf ", ("png", "pdf"))])
def test_kinds_are_read_from_a_list(listed, kinds):
    assert kinds_of(listed) == kinds


@pytest.mark.parametrize(("listed", "found"), [("svg,gif", "gif"), ("", "nothing")])
def test_a_kind_that_is_not_written_is_named_with_those_that_are(listed, found):
    with pytest.raises(ReportError) as caught:
        kinds_of(listed)
    assert str(caught.value) == f"found {found} as a kind of figure file; expected one or more of svg, png, pdf."


def test_a_folder_that_cannot_be_made_is_named_with_the_way_out(tmp_path, module_run):
    (tmp_path / "taken").write_text("a file")
    with pytest.raises(ReportError, match=r"a figure could not be written into .*; expected a folder"):
        export_figures(module_run, tmp_path / "taken", ("png",))
