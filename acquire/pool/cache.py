"""Summaries kept on disk under the hash of the file's content and of the settings: a stopped pooling goes on where it
was, and a run that is not changed is never analysed twice."""

from __future__ import annotations

import json
import os
from dataclasses import replace
from pathlib import Path

from acquire.pool.settings import PoolSettings
from acquire.pool.summary import RunSummary


def named(source: str) -> tuple[str, str]:
    """What a summary takes from the name of its file: the run's and, where no plan says it, the bench's."""
    path = Path(source).resolve()
    return path.stem, path.parent.name


class SummaryCache:
    """A folder of JSON files, two levels deep.

    Threads and processes: several may use one folder; a file appears whole or not at all (written beside, renamed).
    """

    def __init__(self, folder: str | Path) -> None:
        self.folder = Path(folder)

    def _path(self, content: str, settings_key: str) -> Path:
        return self.folder / content[:2] / f"{content}-{settings_key[:16]}.json"

    def get(self, source: str, content: str, settings: PoolSettings) -> RunSummary | None:
        """The summary of a file with this content, None where there is none or it cannot be read."""
        if not content:
            return None
        try:
            data = json.loads(self._path(content, settings.key()).read_text(encoding="utf-8"))
            summary = RunSummary.from_dict(data)
        except (OSError, ValueError, KeyError, TypeError):
            return None  # a spoilt entry costs one analysis, no more
        # a moved archive is known again; under another name a run may be another bench's, or share other instruments
        return replace(summary, source=source) if named(source) == named(summary.source) else None

    def put(self, summary: RunSummary, settings: PoolSettings) -> None:
        """Keep a summary; a full or read-only disk only costs the analysis next time."""
        if not summary.content:
            return
        path = self._path(summary.content, settings.key())
        beside = path.with_name(f"{path.name}.{os.getpid()}")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            beside.write_text(json.dumps(summary.as_dict(), allow_nan=False), encoding="utf-8")
            beside.replace(path)
        except OSError:
            return
