"""Sounds without a sound library: tones written as WAV, played by the system's own player, or the bell."""

from __future__ import annotations

import array
import math
import shutil
import sys
import wave
from pathlib import Path

from PyQt5.QtCore import QObject, QProcess, QTemporaryDir
from PyQt5.QtWidgets import QApplication

from acquire.window.sound_state import CAUTION, LOST, OFFER

RATE = 22050  # [1/s] samples; enough for tones below 2 kHz
#: (frequency [Hz], seconds) in turn; 0 Hz is silence.  Told apart by number and direction of tones, not by pitch.
TONES: dict[str, tuple[tuple[float, float], ...]] = {
    OFFER: ((660.0, 0.14), (0.0, 0.03), (880.0, 0.22)),
    CAUTION: ((520.0, 0.16), (0.0, 0.08), (520.0, 0.16), (0.0, 0.08), (520.0, 0.3)),
    LOST: ((740.0, 0.2), (0.0, 0.03), (494.0, 0.2), (0.0, 0.03), (330.0, 0.45)),
}
EDGE = 0.01  # [s] of rise and fall, so that a tone does not click
#: Players that take a file name and end by themselves, in the order they are tried.
PLAYERS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("paplay", ()),
    ("pw-play", ()),
    ("aplay", ("-q",)),
    ("afplay", ()),
)


def samples(cue: str) -> array.array[int]:
    """The tones of a cue as 16-bit samples."""
    made = array.array("h")
    for frequency, seconds in TONES[cue]:
        count = round(seconds * RATE)
        for index in range(count):
            edge = min(1.0, index / (EDGE * RATE), (count - index) / (EDGE * RATE))
            made.append(round(16000 * edge * math.sin(2 * math.pi * frequency * index / RATE)))
    return made


def write_cue(cue: str, path: Path) -> None:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        data = samples(cue)
        if sys.byteorder == "big":
            data.byteswap()
        file.writeframes(data.tobytes())


def find_player() -> tuple[str, tuple[str, ...]] | None:
    """The system's player and its options; None where there is none (then the bell rings)."""
    return next(((path, options) for name, options in PLAYERS if (path := shutil.which(name))), None)


class SoundBox(QObject):
    """Plays cues.  A sound that cannot be played is a bell, and never an error."""

    def __init__(self, player: tuple[str, tuple[str, ...]] | None = None, *, on: bool = True) -> None:
        super().__init__()
        self.on = on
        self.played: list[str] = []  # the latest cues, for the status and for tests
        self._player = player
        self._folder = QTemporaryDir()
        self._process: QProcess | None = None

    def play(self, cue: str) -> None:
        if not self.on:
            return
        self.played = [*self.played[-20:], cue]
        if sys.platform == "win32":
            self._play_windows(cue)
        elif self._player is None:
            QApplication.beep()
        else:
            self._play_with(self._player, cue)

    def _file(self, cue: str) -> Path:
        path = Path(self._folder.path()) / f"{cue}.wav"
        if not path.exists():
            write_cue(cue, path)
        return path

    def _play_with(self, player: tuple[str, tuple[str, ...]], cue: str) -> None:
        if self._process is not None and self._process.state() != QProcess.NotRunning:
            return  # two cues at once are noise; the graver one is chosen before it comes here
        self._process = QProcess(self)
        self._process.errorOccurred.connect(lambda _error: QApplication.beep())
        program, options = player
        self._process.start(program, [*options, str(self._file(cue))])

    def _play_windows(self, cue: str) -> None:
        import winsound  # only there

        # mypy checks for the platform it runs on, where these names do not exist.
        play, how = getattr(winsound, "PlaySound"), getattr(winsound, "SND_FILENAME") | getattr(winsound, "SND_ASYNC")  # noqa: B009
        play(str(self._file(cue)), how)

    def stop(self) -> None:
        """End a sound that is still playing."""
        if self._process is not None and self._process.state() != QProcess.NotRunning:
            self._process.kill()
            self._process.waitForFinished(500)
