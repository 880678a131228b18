"""A run file that points into other files is refused: its bytes must not come out in an export."""

from __future__ import annotations

import shutil
from pathlib import Path

import h5py
import numpy as np
import pytest

from acquire.commands.simulate import simulate
from acquire.runfile.errors import RunFileError
from acquire.runfile.reader import read_run
from sim.scenario import load_scenario

RAW = "entry/instrument/manometer/value_log/raw_value"


@pytest.fixture(scope="module")
def stored(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("foreign") / "run.h5"
    simulate(load_scenario("calm"), 8, path)
    return path


@pytest.fixture
def copy(stored: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(stored, tmp_path / "run.h5"))


@pytest.mark.slow
def test_values_that_lie_in_another_file_are_refused(copy: Path, tmp_path: Path) -> None:
    secret = tmp_path / "secret.bin"
    secret.write_bytes(b"not yours" * 100_000)
    with h5py.File(copy, "r+") as file:
        rows = file[RAW].shape[0]
        del file[RAW]
        file.create_dataset(RAW, shape=(rows,), dtype="f8", external=[(str(secret), 0, rows * 8)])
    with pytest.raises(RunFileError, match="another file"):
        read_run(copy)


@pytest.mark.slow
def test_a_link_into_another_file_is_refused(copy: Path, tmp_path: Path) -> None:
    with h5py.File(tmp_path / "other.h5", "w") as other, h5py.File(copy, "r+") as file:
        other["numbers"] = np.zeros(file[RAW].shape[0])
        del file[RAW]
        file[RAW] = h5py.ExternalLink(str(tmp_path / "other.h5"), "/numbers")
    with pytest.raises(RunFileError, match="another file"):
        read_run(copy)
