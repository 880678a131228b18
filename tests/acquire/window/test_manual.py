"""The page about the bench window names every key there is, and no picture that is not."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from acquire.window.acts_state import LABELS
from acquire.window.bench_keys import SWITCHES

PAGE = Path(__file__).parents[3] / "docs" / "bench-window.md"
KEYS = {
    key.strip()
    for row in re.findall(r"^\| ([^|]+) \|", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
    for key in row.split(", ")
}


@pytest.mark.parametrize(
    "key", sorted({key for _, key in LABELS.values()} | {keys[0] for _, keys in SWITCHES.values()})
)
def test_every_key_is_in_the_manual(key):
    assert key in KEYS


def test_every_picture_of_the_page_is_there():
    pictures = re.findall(r"\]\((pictures/[^)]+)\)", PAGE.read_text(encoding="utf-8"))
    assert pictures
    assert [name for name in pictures if not (PAGE.parent / name).exists()] == []
