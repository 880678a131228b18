"""Refusals of files on a page in another language: as real files make them, not as this test words them."""

from __future__ import annotations

import h5py
import pytest

from acquire import sentences
from acquire.report.language import spoken
from acquire.report.refused_files import refusal_words
from acquire.runfile import refusals
from acquire.runfile.errors import DamagedFileError, RunFileError
from acquire.runfile.reader import read_run
from acquire.runfile.writer import RunFileWriter
from tests.acquire.runfile.sample_run import BASELINES, END, HEADER, POINTS, RESULT

ENGLISH = ("expected", "Expected", "cannot be", "this program", "is damaged", "run file", "Check ")


def refused(path) -> RunFileError:
    with pytest.raises(RunFileError) as caught:
        read_run(path)
    return caught.value


@pytest.fixture
def run(tmp_path):
    path = tmp_path / "run.h5"
    RunFileWriter(path, HEADER).close(END, POINTS, BASELINES, [RESULT])
    return path


def newer(path):
    with h5py.File(path, "r+") as file:
        file["entry/satline/schema_version"][()] = b"9.0"


def foreign(path):
    path.unlink()
    with h5py.File(path, "w") as file:
        file["x"] = 1


def holed(path):
    with h5py.File(path, "r+") as file:
        del file["entry/satline/plan"]


SPOILERS = {
    "gibt es nicht": lambda path: path.unlink(),
    "ist ein Ordner": lambda path: (path.unlink(), path.mkdir()),
    "ist leer; erwartet wird": lambda path: path.write_bytes(b""),
    "ist keine HDF5-Datei; erwartet wird": lambda path: path.write_bytes(b"temperature,pressure\n" * 30),
    "bricht nach 40 Bytes ab; erwartet wird": lambda path: path.write_bytes(path.read_bytes()[:40]),
    "ist eine HDF5-Datei, lässt sich aber nicht öffnen": lambda path: path.write_bytes(path.read_bytes()[:3000]),
    "ohne unsere Schemaversion": foreign,
    "hat Schemaversion 9.0; dieses Programm liest": newer,
    "ist eine Laufdatei, aber ein Teil davon ist nicht lesbar (wörtlich: „": holed,
}


@pytest.mark.parametrize("words", SPOILERS)
def test_what_a_spoilt_file_is_refused_for_is_told_in_german(run, words):
    SPOILERS[words](run)
    error = refused(run)
    with spoken("de"):
        told = refusal_words(error)
    assert words in told, told
    assert told.startswith(str(run))
    assert not [word for word in ENGLISH if word in told]
    assert refusal_words(error) == str(error), "in English it is what the error says"


@pytest.mark.parametrize("fault", [refusals.BUSY, refusals.BROKE.format(how="signal SIGSEGV")])
@pytest.mark.parametrize("sentence", [refusals.HARMFUL, refusals.HARMFUL_APART])
def test_a_file_that_harms_the_library_is_told_in_german(sentence, fault):
    with spoken("de"):
        told = refusal_words(DamagedFileError(sentence.format(path="a b.h5", fault=fault)))
    assert told.startswith(("a b.h5 beschäftigt die HDF5", "a b.h5 bringt die HDF5-Bibliothek zum Absturz (signal SIG"))
    assert not [word for word in ENGLISH if word in told]


def test_a_refusal_that_is_not_known_keeps_its_words():
    with spoken("de"):
        assert refusal_words(RunFileError("something else.")) == "something else."


def test_a_place_that_comes_twice_holds_the_same_both_times():
    assert sentences.facts_in("a and a", "{one} and {one}") == {"one": "a"}
    assert sentences.facts_in("a and b", "{one} and {one}") is None
    assert sentences.facts_in("what (is) it?", "what ({one}) it?") == {"one": "is"}
    assert sentences.facts_in("red", "{colour}", {"colour": "green|blue"}) is None
    assert len({*refusals.SENTENCES}) == len(refusals.SENTENCES)
