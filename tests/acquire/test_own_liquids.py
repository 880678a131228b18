"""A person's own table of liquids stands beside the shipped one."""

from __future__ import annotations

import pytest

from acquire.own_liquids import find_liquid, known_liquids, own_table
from analysis.liquids import list_liquids
from analysis.refusal import LiquidError


def test_without_a_table_there_are_the_shipped_ones_only() -> None:
    assert known_liquids() == list_liquids()
    assert find_liquid(" Unknown ") is None
    assert find_liquid("n-heptane").cas == "142-82-5"


def test_an_own_liquid_is_found_by_name() -> None:
    own_table().parent.mkdir(parents=True)
    own_table().write_text('format = 1\n[[liquid]]\nname = "workshop spirit"\nmolar_mass = 0.1\n', encoding="utf-8")
    assert find_liquid("workshop spirit").molar_mass == 0.1
    assert len(known_liquids()) == len(list_liquids()) + 1


def test_a_faulty_table_is_told_with_its_path() -> None:
    own_table().parent.mkdir(parents=True)
    own_table().write_text("format = 1\n[[liquid]]\nnome = 3\n", encoding="utf-8")
    with pytest.raises(LiquidError, match=r"liquids\.toml"):
        find_liquid("n-heptane")


def test_a_table_that_is_no_text_is_refused() -> None:
    own_table().parent.mkdir(parents=True)
    own_table().write_bytes(b"\xff\xfe\x00")
    with pytest.raises(LiquidError, match="not UTF-8"):
        known_liquids()
