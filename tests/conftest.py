"""Settings for every test: Qt without a screen, private folders, no thread left behind."""

from __future__ import annotations

import os
import tempfile
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ.setdefault("MPLBACKEND", "agg")
# The arrays are small: a second thread of the linear algebra only waits for the first.  Read when numpy loads.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# Qt warns, and so fails tests, when the runtime folder is missing or readable by others.
_runtime = tempfile.mkdtemp(prefix="satline-tests-")
os.chmod(_runtime, 0o700)
os.environ["XDG_RUNTIME_DIR"] = _runtime


@pytest.fixture(autouse=True)
def _private_user_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A test must neither read nor change the profiles, plans and settings of the person who runs it."""
    for variable in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(variable, str(tmp_path / "user" / variable.lower()))


@pytest.fixture(autouse=True)
def _no_thread_left_behind() -> Iterator[None]:
    """Fail a test that leaves one of our threads running, and name the thread."""
    before = set(threading.enumerate())
    yield
    left = [t for t in threading.enumerate() if t not in before and t.is_alive() and not t.daemon]
    for thread in left:
        thread.join(2.0)
    still = [thread.name for thread in left if thread.is_alive()]
    assert not still, f"threads left running: {', '.join(still)}"
