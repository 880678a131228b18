"""A short form of the soak among the benchmarks: every reading of a spoilt stream is accounted for."""

import pytest

from tests.benchmarks.drivers_soak import FORMS, soak


@pytest.mark.slow
@pytest.mark.parametrize("name", FORMS)
def test_every_reading_of_a_spoilt_stream_is_accounted_for(name, capsys):
    assert soak(name, frames=20_000, seed=3)
    assert "wrong 0, invented 0, twice 0" in capsys.readouterr().out
