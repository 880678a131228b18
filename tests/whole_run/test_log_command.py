"""`satline log` on a text stream that an independent program plays onto a pseudo-terminal."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from acquire.runfile.reader import read_run

LINES = 400
PROFILE = """\
name = "two-columns"
title = "Two columns"
about = "Temperature in degrees Celsius, pressure in kilopascal, comma between."
source = "made for this test"
rate = 200.0

[framing]
kind = "lines"
end = "any"

[decoding]
kind = "delimited"
separator = ","
columns = 2

[[channel]]
channel = "temperature"
field = 1
unit = "degC"

[[channel]]
channel = "pressure"
field = 2
unit = "kPa"

[[sample]]
text = "21.500,100.900\\n"
readings = { temperature = "21.5 degC", pressure = "100.9 kPa" }
"""


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("socat") is None, reason="socat is not installed")
def test_a_stream_is_logged_complete_and_its_end_ends_the_run(tmp_path: Path) -> None:
    profile = tmp_path / "two-columns.toml"
    profile.write_text(PROFILE)
    link, out = tmp_path / "line", tmp_path / "run.h5"
    feeder = tmp_path / "feed.py"
    # The reader joins a quiet line, then hears every line; the end of the feeder ends socat, as a pulled cable would.
    feeder.write_text(
        "import sys, time\n"
        "sys.stdin.readline()\n"
        "time.sleep(0.5)\n"
        f"for i in range({LINES}):\n"
        "    print(f'{21.5 + i * 0.001:.3f},{100.9 + i * 0.01:.3f}', flush=True)\n"
        "    time.sleep(0.002)\n"
        "time.sleep(0.5)\n"
    )
    socat = subprocess.Popen(
        ["socat", f"pty,raw,echo=0,link={link}", f"exec:{sys.executable} {feeder},pipes"], stderr=subprocess.DEVNULL
    )
    try:
        for _ in range(200):
            if link.exists():
                break
            socat.poll()
            subprocess.run(["sleep", "0.02"], check=True)
        log = subprocess.Popen(
            [
                sys.executable, "-m", "acquire.commands.main", "log", "--device", f"{profile}@{link}",
                "--out", str(out), "--give-up-after", "0.5",
            ],
            stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        assert log.stdout is not None
        while "open at" not in log.stdout.readline():
            assert log.poll() is None
        with link.open("wb", buffering=0) as line:
            line.write(b"go\n")
        text, errors = log.communicate(timeout=60)
    finally:
        socat.kill()
        socat.wait()
    assert log.returncode == 0, errors
    assert f"{LINES} temperature readings, {LINES} pressure readings" in text
    record = read_run(out)
    assert record.traces["temperature"].raw.tolist() == [round(21.5 + i * 0.001, 3) for i in range(LINES)]
    assert record.traces["pressure"].raw.tolist() == [round(100.9 + i * 0.01, 3) for i in range(LINES)]
    assert record.end_time is not None


@pytest.mark.slow
def test_a_missing_port_is_told_and_leaves_no_file(tmp_path: Path) -> None:
    out = tmp_path / "run.h5"
    done = subprocess.run(
        [sys.executable, "-m", "acquire.commands.main", "log", "--device", "delimited-text@/dev/nowhere",
         "--out", str(out)],
        capture_output=True, text=True, check=False, timeout=60, stdin=subprocess.DEVNULL,
    )  # fmt: skip
    assert done.returncode == 1
    assert "/dev/nowhere" in done.stderr
    assert "Traceback" not in done.stderr
    assert not out.exists()
