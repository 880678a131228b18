"""Translation: every text is found, the one translation is complete, and it reaches the screen."""

from __future__ import annotations

import re
import string
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest

from acquire import decisions, run
from acquire import recorder_words as words
from acquire.acts import Act
from acquire.run import ActRefused
from acquire.runfile.errors import WriteFailedError
from acquire.window import language
from acquire.window.acts_state import key_sign
from acquire.window.borrowed import GATES, WHY_NOT, file_text, gate_text, quoted
from acquire.window.gather_words import FOLDER, TextError, all_texts, texts_of, update
from acquire.window.language import ENGLISH, available_languages, counted, grouped, load_language, tr, use_language
from acquire.window.procedure_state import procedure_state
from acquire.window.readouts_state import readout_states
from acquire.window.run_link import RunLink
from acquire.window.shipped_words import LIQUIDS, SCENARIOS
from acquire.window.start_state import Finished
from analysis import settling
from analysis.liquids import list_liquids
from sim.scenario import list_scenarios


@pytest.fixture
def german():
    use_language(load_language("de"))
    yield
    use_language(ENGLISH)


def places(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}


@pytest.mark.parametrize("code", [code for code in available_languages() if code != "en"])
def test_a_translation_is_complete_and_has_nothing_left_over(code):
    assert set(load_language(code).words) == set(all_texts())


@pytest.mark.parametrize("code", [code for code in available_languages() if code != "en"])
def test_a_translation_fills_in_the_same_places(code):
    different = [text for text, word in load_language(code).words.items() if places(text) != places(word)]
    assert different == []


@pytest.mark.parametrize("code", [code for code in available_languages() if code != "en"])
def test_no_two_menu_letters_are_the_same(code):
    words = load_language(code).words
    letters = [re.findall(r"&(\w)", words[text])[0] for text in words if "&" in text]
    assert len(letters) == len({letter.lower() for letter in letters})


@pytest.mark.parametrize(
    "source",
    ['tr(f"Points: {n}")', 'tr("Points: " + n)', 'tr("Points: {0}".format(n))', 'counted(f"{n} point", "points", n)'],
)
def test_a_text_put_together_before_it_is_translated_is_refused(source):
    with pytest.raises(TextError, match="module:1: write the text in full"):
        texts_of(source, "module")


def test_texts_are_found_in_calls_and_tables():
    source = 'A = {"x": said("one")}\ndef f(n):\n    return tr("two").format(n) + counted("{0} a", "{0} b", n)\n'
    assert set(texts_of(source, "module")) == {
        "one", "two", "{0} a", "{0} b",
    }  # fmt: skip


def test_a_translation_file_brought_up_to_date_keeps_what_is_known(tmp_path):
    path = tmp_path / "words_xx.ts"
    missing = update(path, "xx")
    assert missing == len(all_texts())
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('<translation type="unfinished" />', "<translation>word</translation>", 1), "utf-8")
    assert update(path, "xx") == missing - 1
    assert language.read_words(path) == {all_texts()[0]: "word"}


def test_the_file_is_what_the_format_says():
    """Qt's translation file format, TS version 2.1: TS > context > name, message > source, translation."""
    root = ElementTree.parse(FOLDER / "words_de.ts").getroot()
    assert (root.tag, root.get("version"), root.get("language")) == ("TS", "2.1", "de")
    assert [child.tag for child in root] == ["context"]
    assert root[0][0].tag == "name"
    assert {message.tag for message in root[0][1:]} == {"message"}
    assert {tuple(part.tag for part in message) for message in root[0][1:]} == {("source", "translation")}


def test_an_unknown_language_is_refused_with_those_there_are():
    with pytest.raises(ValueError, match="language is 'tlh'; there are en, de"):
        load_language("tlh")


def test_a_text_without_translation_stays_as_it_is():
    assert tr("no such text") == "no such text"


def test_german_reaches_the_screen(german, snap):
    warm, press = readout_states(snap())
    assert (warm.name, warm.value, warm.word) == ("Badtemperatur", "36,58", "ruhig")
    assert press.coming == "noch zu erwarten +0,21 ± 0,04\u00a0kPa · ruhig in 24\u00a0s (18–33\u00a0s)"
    act = procedure_state(snap()).next_act
    assert (act.text, act.detail) == ("Ruhig halten, 24\u00a0s", "der Druck ist noch nicht ruhig")


def test_sentences_of_the_judge_keep_their_numbers_in_english(snap):
    assert gate_text("pressure_moving", "pressure still has +0.21 kPa to come") == (
        "pressure still has +0.21 kPa to come"
    )


def test_counts_have_singular_and_plural_in_both(german):
    assert [counted("{0} gap", "{0} gaps", n) for n in (0, 1, 2)] == ["0 Lücken", "1 Lücke", "2 Lücken"]


@pytest.mark.parametrize(("n", "text"), [(7, "7"), (9999, "9999"), (12_480, "12\u202f480")])
def test_large_counts_are_grouped(n, text):
    assert grouped(n) == text


def test_every_shipped_scenario_and_liquid_has_a_name_in_the_other_language():
    shipped = [text for scenario in list_scenarios() for text in (scenario.title, scenario.summary)]
    shipped += [liquid.name for liquid in list_liquids()]
    assert [text for text in shipped if text not in (*SCENARIOS, *LIQUIDS)] == []


def test_every_gate_of_the_judge_has_words_without_numbers():
    texts = "".join(path.read_text(encoding="utf-8") for path in Path(settling.__file__).parent.glob("*.py"))
    codes = set(re.findall(r'Gate\(\s*f?"([a-z_{}]+)"', texts))
    spelt = {c.replace("{name}", name) for c in codes for name in ("temperature", "pressure")}
    assert len(codes) > 10
    assert spelt <= set(GATES)


def test_a_refused_act_is_told_in_german(german, snap):
    class Closed:
        def act(self, act):
            raise ActRefused(act.name, "closed", (), "there is nothing to undo")

    link = RunLink(Closed(), Finished, None, lambda: 0.0)
    assert link.act(Act("undo")) == "„Rückgängig“ geht jetzt nicht: es gibt nichts rückgängig zu machen."


def test_every_reason_of_the_run_is_known():
    source = "".join(Path(module.__file__).read_text(encoding="utf-8") for module in (run, decisions))
    assert [why for why in WHY_NOT if why not in source] == []


def test_what_a_driver_said_is_marked_as_its_words(german):
    assert quoted("port lost") == "Im Wortlaut: „port lost“"
    assert quoted("") == ""


def test_a_recording_that_moved_is_told_in_german(german):
    moved = words.MOVED.format(folder="/c", old="/a b/run.h5.raw", reason=words.GONE)
    assert file_text(moved) == (
        "Die Aufzeichnung geht in /c weiter; nichts ist verloren. Die Laufdatei wird dort gemacht, wenn der Lauf "
        "beendet wird. /a b/run.h5.raw kann nicht mehr geschrieben werden: der Ordner wurde gelöscht oder das Laufwerk "
        "abgezogen."
    )
    made = words.MADE_ELSEWHERE.format(folder="/c")
    assert file_text(f"{moved} {made}") == (
        f"{file_text(moved)} Die Laufdatei wurde aus dem Rohjournal gemacht und ist vollständig; sie liegt in /c."
    )


def test_a_disk_that_refuses_a_write_is_told_in_german_with_the_words_of_the_system(german):
    error = WriteFailedError("/a/run.h5", "writing readings to", "No space left on device")
    told = file_text(words.JOURNAL_ONLY.format(reason=error))
    assert told.startswith("/a/run.h5 konnte nicht geschrieben werden (beim Schreiben der Messwerte): ")
    assert "No space left on device" in told
    assert told.endswith("wenn der Lauf beendet wird.")


def test_each_sentence_of_a_recorder_is_known_again(german):
    sources = Path(words.__file__).parent
    told = [*sources.glob("runfile/*.py"), sources / "raw_journal.py", sources / "recorder_sink.py"]
    texts = "".join(path.read_text(encoding="utf-8") for path in told)
    doings = set(re.findall(r'(?:WriteFailedError\([\w. ]+, |_writing\()"(.+?)"', texts))
    assert doings == set(words.DOINGS)
    for sentence in words.SENTENCES:
        places = {
            place: "syncing" if place == "doing" else f"<{place}>"
            for _, place, _, _ in string.Formatter().parse(sentence)
            if place
        }
        assert words.recognised(sentence.format(**places)) == [(sentence, places)]
        assert "Im Wortlaut" not in file_text(sentence.format(**places))
    assert file_text("something else") == "Im Wortlaut: „something else“"


def test_keys_are_called_as_on_a_german_keyboard(german):
    assert (key_sign("Ctrl+Z"), key_sign("PgDown"), key_sign("N")) == ("Strg+Z", "Bild↓", "N")
