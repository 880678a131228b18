"""Every text and every mark against what it stands on.

Limits and formula: WCAG 2.1 (W3C Recommendation), success criteria 1.4.3 (text, 4.5:1) and 1.4.11 (marks, 3:1).
"""

from __future__ import annotations

import dataclasses
import re

import pytest

from acquire.window.style_sheet import style_sheet
from acquire.window.themes import PAIRS, THEMES, contrast


@pytest.mark.parametrize("theme", THEMES.values(), ids=THEMES)
def test_a_switch_that_is_on_looks_different(theme):
    """By its surface, and what stands on it can be read."""
    sheet = style_sheet(theme, 1.0)
    on = re.search(r'QPushButton\[role="small"\]:checked \{ color: (\S+); background: (\S+);', sheet)
    off = re.search(r'QPushButton\[role="small"\] \{[^}]*background: (\S+); \}', sheet)
    assert on[2] != off[1]
    assert contrast(on[1], on[2]) >= 4.5


@pytest.mark.parametrize("theme", THEMES.values(), ids=THEMES)
@pytest.mark.parametrize(("front", "back", "least"), PAIRS)
def test_everything_is_told_from_what_it_stands_on(theme, front, back, least):
    assert contrast(getattr(theme, front), getattr(theme, back)) >= least


def test_every_colour_of_a_theme_is_in_some_pair_or_is_decoration():
    decoration = {"edge", "grid"}  # a panel is told by its place, a grid line by its number on the axis
    named = {name for pair in PAIRS for name in pair[:2]} | decoration
    colours = {field.name for field in dataclasses.fields(THEMES["light"]) if field.type == "str"} - {"name"}
    assert colours <= named


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    # Published pairs: black on white is 21 by definition; #777777 on white is the usual example just below 4.5 (WCAG
    # 2.1 understanding documents).
    [("#000000", "#ffffff", 21.0), ("#777777", "#ffffff", 4.48), ("#ffffff", "#ffffff", 1.0)],
)
def test_the_contrast_is_the_published_one(one, other, expected):
    assert contrast(one, other) == pytest.approx(expected, abs=0.005)
    assert contrast(other, one) == contrast(one, other)
