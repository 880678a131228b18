"""Tables beside the runs that nobody wrote in good faith: told with file and reason, never a traceback."""

from __future__ import annotations

from pathlib import Path

import pytest

from acquire.pool.settings import PoolError, read_sharing
from acquire.pool.store import COLUMNS, read_table


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"bench,barometer\na,\xff\n", "cannot be read"),
        (b"bench,barometer\na," + b"9" * 200_000 + b"\n", "field larger than field limit"),
        (None, "cannot be read"),
    ],
)
def test_who_shares_what(tmp_path: Path, content: bytes | None, sentence: str) -> None:
    file = tmp_path / "sharing.csv"
    if content is not None:
        file.write_bytes(content)
    with pytest.raises(PoolError, match=sentence):
        read_sharing(file)


@pytest.mark.parametrize("line", ["x" * 200_000, "a,b", '"' + "x\n" * 10])
def test_a_table_of_runs(tmp_path: Path, line: str) -> None:
    file = tmp_path / "runs.csv"
    file.write_text(",".join(COLUMNS) + "\n" + line + "\n", encoding="utf-8")
    with pytest.raises(PoolError, match=r"runs\.csv:\d+: .*; expected a line as a pooling wrote it"):
        list(read_table(file))
