"""Settings for every test: Qt without a screen, private folders, no thread left behind."""

from __future__ import annotations

import os
import tempfile
import threading
from collections.abc import Iterable, Iterator
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


def _why_no_qt() -> str | None:
    """What the loader says where Qt, or a library of the system that Qt needs, is missing."""
    try:
        import PyQt5.QtSvg
        import PyQt5.QtTest
        import PyQt5.QtWidgets  # noqa: F401
    except ImportError as error:
        return f"Qt does not load here ({error}); .ci/run lists the Debian packages that it needs"
    return None


NO_QT = _why_no_qt()
# pytest-qt ends the whole session where Qt does not load, so it is kept from starting by itself and called here.
pytest_plugins = [] if NO_QT else ["pytestqt.plugin"]


def pytest_addoption(parser: pytest.Parser) -> None:
    if NO_QT:
        for name in ("qt_api", "qt_log_level_fail", "qt_log_ignore"):
            parser.addini(name, "known to pytest-qt, which is not here", type="linelist")


class _ModuleWithoutQt(pytest.Module):
    """A module of tests on a machine without Qt: skipped, with the reason, where its imports need Qt."""

    def collect(self) -> Iterable[pytest.Item | pytest.Collector]:
        try:
            return super().collect()
        except self.CollectError as error:
            if "PyQt5" in str(error) or "pyqtgraph" in str(error):
                raise pytest.skip.Exception(NO_QT or "", allow_module_level=True) from error
            raise


def pytest_pycollect_makemodule(module_path: Path, parent: pytest.Collector) -> pytest.Module | None:
    return _ModuleWithoutQt.from_parent(parent, path=module_path) if NO_QT else None


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    if NO_QT:
        for item in items:
            wanted = getattr(item, "fixturenames", ())
            if item.get_closest_marker("qt") or "qtbot" in wanted or "qapp" in wanted:
                item.add_marker(pytest.mark.skip(reason=NO_QT))


@pytest.fixture(autouse=True)
def _private_user_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A test must neither read nor change the profiles, plans and settings of the person who runs it."""
    # one cache for all: it says which contents of run files were opened without harm, and looking again takes time
    monkeypatch.setenv("XDG_CACHE_HOME", os.path.join(_runtime, "cache"))
    for variable in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME"):
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
