"""The shipped table of liquids is what its script makes of the libraries, as long as these are the same versions."""

from __future__ import annotations

import tomllib
from importlib import resources
from importlib.metadata import version

import pytest

from tests.published import make_liquids_table

#: The property library reads a file of its own and leaves it to the garbage collector.
pytestmark = pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")


@pytest.fixture(name="shipped", scope="module")
def _shipped():
    return tomllib.loads(resources.files("analysis").joinpath("liquids.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", ["n-heptane", "ethyl acetate", "acetonitrile"])
def test_an_entry_made_afresh_is_the_shipped_one(shipped, name):
    if shipped["libraries"] != {lib: version(lib) for lib in shipped["libraries"]}:
        pytest.skip("the table was made with other versions of the libraries; run its script to renew it")
    cas, fluid, aliases, ostwald = next(row[1:] for row in make_liquids_table.LIQUIDS if row[0] == name)
    made = tomllib.loads(
        "\n".join(make_liquids_table.write_entry(make_liquids_table.Entry(name, cas, fluid), aliases, ostwald))
    )
    assert made["liquid"][0] == next(e for e in shipped["liquid"] if e["name"] == name)


def test_the_list_of_the_script_is_the_list_of_the_table(shipped):
    assert [e["name"] for e in shipped["liquid"]] == [row[0] for row in make_liquids_table.LIQUIDS]
