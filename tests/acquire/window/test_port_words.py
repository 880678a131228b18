"""What the drivers say of ports reaches a person in their own language: as the drivers say it, not as worded here."""

from __future__ import annotations

import types

import pytest

from acquire.window.language import load_language, use_language
from acquire.window.port_words import SENTENCES, heard_text, port_sentences, port_words
from drivers import ports
from drivers.permission import way_in
from drivers.ports import Machine, list_port_reports

ENGLISH = (" the ", " may ", "expected", "in use", "looks like", "has gone", "told apart", "run  ", " it ")


@pytest.fixture
def said(tmp_path, monkeypatch):
    """Every sentence about a port that the drivers have."""
    machine = Machine(tmp_path / "proc", tmp_path / "usb")
    for name in ("ttyUSB0", "ttyUSB1", "ttyUSB2"):
        (tmp_path / name).touch()
    for number, (name, file) in enumerate((("brltty", ""), ("ModemManager", ""), ("terminal", "ttyUSB1"))):
        folder = machine.proc / str(100 + number) / "fd"
        folder.mkdir(parents=True)
        (folder.parent / "comm").write_text(f"{name}\n")
        if file:
            (folder / "0").symlink_to(tmp_path / file)
    (machine.sys_usb / "ttyUSB0").mkdir(parents=True)
    (machine.sys_usb / "ttyUSB0" / "latency_timer").write_text("16\n")
    monkeypatch.setattr(ports.os, "access", lambda path, how: not str(path).endswith("ttyUSB2"))

    def port(name):
        return types.SimpleNamespace(
            device=str(tmp_path / name), vid=0x1A86, pid=0x7523, serial_number=None, location=name,
            manufacturer=None, product=None, description="n/a",
        )  # fmt: skip

    found = list_port_reports(ports=[port(f"ttyUSB{n}") for n in range(4)], machine=machine)
    monkeypatch.setattr("drivers.permission.owning_group", lambda path: None)
    return [*(advice for one in found for advice in (*one.advice, one.why) if advice), way_in(str(tmp_path))]


def test_every_sentence_of_the_drivers_is_told_in_german(said):
    use_language(load_language("de"))
    try:
        told = [port_words(sentence) for sentence in said]
    finally:
        use_language(load_language("en"))
    assert len({sentence.partition(" ")[0] for sentence in told}) >= 6
    assert not [one for one in told if any(word in one for word in ENGLISH)], told
    assert not [one for one in told if "Wortlaut" in one]
    assert any("echo 1 | sudo tee" in one for one in told), "a command stays as it is to be typed"
    assert any("sudo usermod -aG" in one for one in told)


def test_in_english_they_stay_and_become_sentences(said):
    for sentence in said:
        assert port_words(sentence) == sentence
    assert port_sentences("in use by x; expected it to be free; close that program", "", SENTENCES[-1]) == (
        "In use by x; expected it to be free; close that program. "
        "Expected read and write permission; ask whoever administers this machine."
    )


def test_a_heard_column_is_named_with_its_unit_as_it_is_written():
    assert heard_text("temperature", "degC") == "temperature / °C"
    assert heard_text("clock", "ms") == "clock / ms"
