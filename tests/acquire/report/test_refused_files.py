"""Refusals of files on a page in another language: as real files make them, not as this test words them."""

from __future__ import annotations

import errno
import os
import re

import h5py
import pytest

from acquire import own_liquids, refused_sentences, sentences
from acquire.finding_words import LANGUAGES, error_words, finding_words, told_refusal
from acquire.plan import load_plan
from acquire.points_csv import PointsCsvError, parse_points
from acquire.report.language import spoken
from acquire.report.refused_files import refusal_words, told
from acquire.runfile import refusals
from acquire.runfile.errors import DamagedFileError, RunFileError
from acquire.runfile.reader import read_run
from acquire.runfile.writer import RunFileWriter
from analysis.refusal import FitRefused, LiquidError
from drivers import transport
from drivers.device_name import parse_device
from drivers.errors import DriverError, PortLostError
from drivers.profile import load_profile
from drivers.tomlfile import TomlError
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


TABLES = (
    "",
    "degC\n",
    "temperature/degC\n20\n",
    "temperature/degC,pressure\n",
    "temperature (probe)/degC,pressure/kPa\n",
    "temperature (degC),pressure (degC)\n",
    "temperature/degC,pressure/kPA2\n",
    "temperature/degC,pressure/furlong\n",
    "temperature/degC,presure/kPa\n",
    "temperature/degC,temperature/K,pressure/kPa\n",
    "temperature/degC,pressure/kPa\n20,4.7\n\n30\n",
    "temperature/degC,pressure/kPa\n20,nan\n",
    "temperature/degC,pressure/kPa,branch\n20,4.7,sideways\n",
    "temperature/degC,pressure/kPa\n" + "1" * 20_000,
    "temperature/degC,pressure/kPa\n" + "20,4.72\n" * 20_001,
    "branch,label\n",
)
PLANS = (
    '[bath]\ntargets = ["28 degC", "25 degC"]',
    "[bath]\nhot_water = 70",
    '[bath]\nhot_water = "70 kPa"',
    '[bath]\nhot_water = "70 grad"',
    '[bath]\nhot_water = "70 degD"',
    '[bath]\nhot_water = "70"',
    '[bath]\nhot_water = "warm"',
    "[cell]\nvolume = [1]",
    "[bath]\ntargets = []\nfirst_as_found = false",
    '[bath]\ntargets = ["60 degC"]',
    '[room]\nhumidity = "130 %"',
    '[room]\nhumidity = "much"\nu_humidity = [1]',
    '[settle]\ntolerance = "5 kPa"\nmode = "slow"\nautomatic = 1',
    'liqud = "x"\ntitle = 3\ncell = 3\nbench = {}\noperator = {x = 1}\nliquid = true',
    '[mark]\nnames = ["a", "b", "c"]\nleast = [0.5]',
    '[mark]\nnames = ["a"]\nleast = [0.9]\npoints = -1',
    '[mark]\nnames = ["a", "b"]\nleast = [0.9]\npoints = 0\nmishaps = 0\nresult = 0\nwaiting = 0',
    '[mark]\nnames = ["a", "b"]\nleast = [0.9]\npatience = "0 s"',
    '[mark]\nnames = "a"\nleast = [0.9]\npoints = "many"',
    "[mark]\nleast = [0.9]",
    f'title = "{"x" * 300}"',
    "title = three",
    "x = " + "[" * 5_000,
)
#: In no German sentence of ours, whatever stands in its places.
ENGLISH_WORDS = re.compile(
    r"(?<![\w-])(expected|found|the|a|is|are|of|with|without|did you|unit|number|which|for|at least|at most|nothing|"
    r"unknown)(?![\w-])"
)


def in_german(text: str) -> str:
    with spoken("de"):
        told_here = told(text)
    assert told_here, text
    without_quotes = re.sub(r"'[^']*'|„[^“]*“|\"[^\"]*\"|/\S+", "", told_here)
    assert not ENGLISH_WORDS.findall(without_quotes), told_here
    assert told(text) == text, "in English it stays as it was said"
    return told_here


@pytest.mark.parametrize("text", TABLES)
def test_what_is_wrong_in_a_table_of_points_is_told_in_german(text):
    with pytest.raises(PointsCsvError) as refused:
        parse_points(text, "points.csv")
    assert re.match(r"points\.csv:\d+: gefunden: .+; erwartet: .", in_german(str(refused.value)))


@pytest.mark.parametrize("text", PLANS)
def test_what_is_wrong_in_a_plan_is_told_in_german_fault_for_fault(text, tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text(text + "\n", encoding="utf-8")
    with pytest.raises(TomlError) as refused:
        load_plan(path)
    lines = in_german(str(refused.value)).splitlines()
    assert len(lines) == len(refused.value.faults)
    assert all(line.startswith("Laufplan") and "; erwartet: " in line for line in lines)


def test_a_file_that_is_no_text_and_one_without_end_are_told_in_german(tmp_path):
    path = tmp_path / "plan.toml"
    for content in (b"\xff\xfe\x00", b"#" * 1_000_001):
        path.write_bytes(content)
        with pytest.raises(TomlError) as refused:
            load_plan(path)
        assert "Laufplan: gefunden: " in in_german(str(refused.value)).replace("byte 0xff at 0", "")
    path.unlink()
    with pytest.raises(TomlError) as refused:
        load_plan(path)
    with spoken("de"):
        assert told(str(refused.value)).endswith("; erwartet: eine lesbare TOML-Datei")


def test_what_the_system_refuses_has_its_way_out_in_german(tmp_path):
    for number in (errno.ENOENT, errno.EACCES, errno.EISDIR, errno.ENOTDIR, errno.ENOSPC, errno.EROFS, errno.EIO):
        error = OSError(number, os.strerror(number), str(tmp_path))
        words = in_german(error_words(error))
        assert f"(wörtlich: „{os.strerror(number)}“)" in words
        assert words.startswith(str(tmp_path))


@pytest.mark.parametrize(
    "device", ["nowhere", "@/dev/x", "one@", "delimited-txt@/dev/x", "no-such-thing@/dev/x", "demo-text@sealed"]
)
def test_a_device_that_is_named_wrongly_is_told_in_german(device):
    with pytest.raises(DriverError) as refused:
        load_profile(parse_device(device)[0])
    in_german(str(refused.value))


@pytest.mark.parametrize(
    "code", [errno.EACCES, errno.EBUSY, errno.ENOENT, errno.EIO], ids=["denied", "busy", "missing", "other"]
)
def test_a_port_that_cannot_be_opened_is_told_in_german(code, monkeypatch):
    for group in ("dialout", None):
        monkeypatch.setattr("drivers.permission.owning_group", lambda path, group=group: group)
        error = transport._why_not("/dev/ttyACM0", OSError(code, os.strerror(code)))
        assert "'/dev/ttyACM0'" in in_german(str(error))
    in_german(str(PortLostError("/dev/ttyACM0")))


def test_a_liquid_and_a_table_of_liquids_are_refused_in_german(tmp_path, monkeypatch):
    own = tmp_path / "liquids.toml"
    monkeypatch.setattr("acquire.own_liquids.own_table", lambda: own)
    contents = (b"format = ", b'format = 1\n[[liquid]]\nname = "x"\n', b"\xff", b"#" * (own_liquids.MOST_BYTES + 1))
    for name, content in (("n-heptan", b"format = 1"), ("zzzz", b"format = 1"), *(("x", one) for one in contents)):
        own.write_bytes(content)
        with pytest.raises(LiquidError) as refused:
            own_liquids.find_liquid(name)
        in_german(str(refused.value))


def test_why_runs_were_left_out_is_told_in_german_one_by_one():
    fit = error_words(FitRefused("too-few-points", "one", used=1.0, least=2.0))
    table = "b.csv:2: 'nan' as pressure; expected a plain number such as 21.84"
    reasons = f"3 x {fit}; 1 x {table}; 1 x something else; 2 x its liquid is n-heptane, the pool is of ethanol"
    for sentence in refused_sentences.POOL:
        in_german(
            re.sub(r"\{\w+\}", "7", sentence.replace("{key}", "cell.volume"))
            .replace("7 runs", "simulated runs")
            .replace("is 7,", "is measured,")
        )
    with spoken("de"):
        words = told(
            f"there are 1 usable runs (left out: {reasons}); expected at least two. Give more run files, or look at "
            "the reasons in the table of runs"
        )
    assert "(ausgelassen: 3 x 1 brauchbarer Punkt; erwartet: mindestens 2. " in words
    assert "; 1 x b.csv:2: gefunden: 'nan' als Druck; erwartet: eine einfache Zahl wie 21; 1 x something" in words
    assert "else; 2 x ihre Flüssigkeit ist n-Heptan, zusammengefasst wird Ethanol); erwartet" in words


def test_every_refusal_of_a_fit_is_told_from_its_english_words():
    facts = {
        name: 2.5
        for kinds in LANGUAGES["en"].refusals.values()
        for words in kinds.values()
        for part in words
        for name in re.findall(r"\{(\w+)", part)
    } | {"point": "P1", "name": "offset", "column": "pressure", "short": "pressure", "long": "temperature"}
    for code, kinds in LANGUAGES["en"].refusals.items():
        for variant in kinds:
            refusal = {"code": code, "variant": variant, "facts": facts}
            with spoken("de"):
                assert told(told_refusal(refusal)) == told_refusal(refusal, "de"), code


def test_findings_that_refuse_an_interval_are_told_one_behind_the_other():
    named = {"temperature": 294.65, "pressure": 101325.0, "low": 60e3, "high": 110e3, "unit": "hPa"}
    both = [{"code": code, "facts": named, "severity": "refuse"} for code in ("channels-swapped", "pressure-unit")]
    english = " ".join(finding_words(one).text for one in both)
    with spoken("de"):
        assert told(english) == " ".join(finding_words(one, "de").text for one in both)
        assert told(f"{english} And more.") == "", "half of it is not told"


def test_a_refusal_that_is_not_known_keeps_its_words():
    with spoken("de"):
        assert refusal_words(RunFileError("something else.")) == "something else."


def test_a_place_that_comes_twice_holds_the_same_both_times():
    assert sentences.facts_in("a and a", "{one} and {one}") == {"one": "a"}
    assert sentences.facts_in("a and b", "{one} and {one}") is None
    assert sentences.facts_in("what (is) it?", "what ({one}) it?") == {"one": "is"}
    assert sentences.facts_in("red", "{colour}", {"colour": "green|blue"}) is None
    assert len({*refusals.SENTENCES}) == len(refusals.SENTENCES)
