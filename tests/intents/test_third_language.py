"""A language made by the guide alone ("How to add a language"), so that the guide stays true.

``third_language/pt`` is a skeleton of Brazilian Portuguese: numbers, times, emergencies and ten intents.
It is not complete and not shipped; no native cook has heard it.
"""

from __future__ import annotations

import re
import shutil
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from click.testing import CliRunner
from num2words import num2words
from text_to_num import text2num

import intents
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.turn import Turn
from assistant.door import kitchen
from assistant.errors import InputError
from assistant.site import parse_site
from intents import kept
from intents.catalogue import load_catalogue
from intents.hypotheses import Hypotheses
from intents.language import PackError, language, languages, packs
from intents.lexicon import LexiconError, load_lexicon, not_needed, pack_tables
from intents.quantities import quantities
from intents.quantities.grammar import grammar
from intents.words import tokenise
from tests.intents.quantities.notation import heard, shown
from tests.intents.quantities.test_said import table
from tests.intents.test_parity import fields, figures

HERE = Path(__file__).parent / "third_language"
TEN = (
    "storage_place", "thaw_how", "reading", "mix_sanitizer", "sanitizer_strength", "cooling_rule",
    "ill_worker", "hand_when", "hand_how", "log_open", "correction",
)  # fmt: skip
"""The intents of the skeleton; sanitizer and hands are two each."""
TABLES = {path.stem: tomllib.loads(path.read_text("utf-8")) for path in HERE.glob("pt/*/*.toml")}
EMERGENCIES = tomllib.loads((HERE / "pt/concepts/emergencies.toml").read_text("utf-8"))["lists"]["emergency"]


@contextmanager
def beside(folder: Path) -> Iterator[None]:
    """Let the packs of ``folder`` lie beside those of the program."""
    read = (
        packs, languages, language, kept.sources_hash, grammar, load_lexicon, load_catalogue, pack_tables,
        not_needed,
    )  # fmt: skip
    intents.__path__.append(str(folder))
    for each in read:
        each.cache_clear()
    try:
        yield
    finally:
        intents.__path__.remove(str(folder))
        for each in read:
            each.cache_clear()


@pytest.fixture(scope="module", autouse=True)
def _there() -> Iterator[None]:
    with beside(HERE):
        yield


def says(talk: Conversation, text: str) -> Turn:
    """Take one typed turn in Portuguese."""
    return talk.hear(Hypotheses.typed(text, "pt"))


def fits(template: str, reply: str) -> bool:
    """Whether a reply may have been filled in from a template of the pack."""
    pattern = ".+".join(re.escape(part) for part in re.split(r"\{\w+\}", template))
    return bool(re.match(pattern, reply))


def test_it_is_listed_and_offered_to_nobody() -> None:
    """No kitchen may speak it, and typed words are never taken for it."""
    assert "pt" in packs()
    assert languages() == ("en", "es")


def test_a_kitchen_that_asks_for_it_is_refused_in_one_sentence() -> None:
    """The sentence names the language, says how to try it and what to write."""
    with pytest.raises(InputError, match=r"'pt' \(Portuguese \(Brazil\)\) is not complete") as refused:
        parse_site('[kitchen]\nlanguage = "pt"', "site.toml")
    assert "write en or es" in str(refused.value)
    with pytest.raises(InputError, match="'xx' is no language here; write en or es"):
        parse_site('[kitchen]\nlanguage = "xx"', "site.toml")


def test_it_is_tried_with_a_log_of_its_own_only(tmp_path: Path) -> None:
    """A half-known language may not write into a kitchen's log."""
    run = CliRunner().invoke
    refused = run(kitchen, ["ask", "--language", "pt", "câmara fria trinta e oito"])
    assert refused.exit_code == InputError.exit_code
    assert "a folder for its log with --state" in refused.output
    tried = run(kitchen, ["--state", str(tmp_path), "ask", "--language", "pt", "câmara fria trinta e oito"])
    assert "Câmara fria, 38°F. Bom." in tried.output


def test_what_it_lacks_is_listed() -> None:
    """``kitchen languages pt`` names intents, words and foods, a line each."""
    every = CliRunner().invoke(kitchen, ["languages"]).output
    assert "es   Spanish: complete" in every
    lines = CliRunner().invoke(kitchen, ["languages", "pt"]).output.splitlines()
    assert lines[0].startswith("pt   Portuguese (Brazil): partial")
    assert {"intent   fugu", "concept  voice_louder", "list     batch_big"} <= set(lines)
    assert not any("storage_place" in line or "emergency_fire" in line for line in lines)


def test_without_emergencies_it_is_no_pack(tmp_path: Path) -> None:
    """What keeps somebody safe may not lack in a partial pack either."""
    made = shutil.copytree(HERE / "pt", tmp_path / "zz")
    (made / "concepts" / "emergencies.toml").unlink()
    with beside(tmp_path), pytest.raises(LexiconError, match="list 'emergency_fire'"):
        load_lexicon("zz")


@pytest.mark.parametrize(("kind", "name"), [("list", "negation"), ("concept", "not")])
def test_words_defined_in_two_files_are_refused(tmp_path: Path, kind: str, name: str) -> None:
    """Who reads one of the files knows only half of the words; the sentence names both."""
    made = shutil.copytree(HERE / "pt", tmp_path / "zz")
    (made / "concepts" / "again.toml").write_text(f'[{kind}s]\n{name} = ["nunca"]\n', encoding="utf-8")
    with (
        beside(tmp_path),
        pytest.raises(LexiconError, match=rf"{kind} '{name}' .*'zz'.* in again\.toml and in"),
    ):
        load_lexicon("zz")


def test_with_the_first_words_alone_nothing_fails(tmp_path: Path, talk: Conversation) -> None:
    """Every other list is empty and every other concept unknown: emergencies and names are still read."""
    made = shutil.copytree(HERE / "pt", tmp_path / "zz")
    for path in (made / "concepts").iterdir():
        if path.name != "emergencies.toml":
            path.unlink()
    words = ("negation", "correction_openers")
    rows = [f'{name} = ["não"]' for name in words]
    first = "\n".join(["[lists]", *rows, "[concepts]", 'not = ["não"]', ""])
    (made / "concepts" / "first.toml").write_text(first, encoding="utf-8")
    with beside(tmp_path):
        for said in (
            "câmara fria trinta e oito",
            "onde vai a carne moída?",
            "não, trinta e nove",
            "apaga isso",
        ):
            assert "Algo falhou" not in talk.hear(Hypotheses.typed(said, "zz")).reply
        assert talk.hear(Hypotheses.typed("pegou fogo na fritadeira", "zz")).intent == "fire"


def test_a_beginning_is_told_what_comes_first(tmp_path: Path) -> None:
    """With the head alone: what lacks is listed, and it cannot be tried, in one sentence."""
    (tmp_path / "zz").mkdir()
    (tmp_path / "zz" / "__init__.py").write_text("", encoding="utf-8")
    (tmp_path / "zz" / "pack.toml").write_text('name = "Begun"\ncomplete = false\n', encoding="utf-8")
    with beside(tmp_path):
        listed = CliRunner().invoke(kitchen, ["languages", "zz"]).output.splitlines()
        tried = CliRunner().invoke(kitchen, ["--state", str(tmp_path), "ask", "--language", "zz", "hello"])
    assert listed[1] == "file     numbers.py"
    assert {"list     emergency_fire", "intent   fire", "concept  not"} <= set(listed)
    assert tried.exit_code == InputError.exit_code
    assert tried.output.startswith("The language 'zz' cannot be tried yet")


def test_a_head_with_a_fault_is_named(tmp_path: Path) -> None:
    """Its file, and what to write."""
    (tmp_path / "zz").mkdir()
    (tmp_path / "zz" / "pack.toml").write_text('name = "Begun"\n', encoding="utf-8")
    with pytest.raises(PackError, match="complete = true or false"), beside(tmp_path):
        packs()


def test_a_folder_without_a_head_changes_nothing(tmp_path: Path) -> None:
    """Somebody began a language: English goes on."""
    (tmp_path / "yy").mkdir()
    (tmp_path / "yy" / "numbers.py").write_text("", encoding="utf-8")
    with beside(tmp_path):
        assert "yy" not in packs()


@pytest.mark.parametrize("name", TEN)
def test_an_example_is_understood_and_answered(name: str, talk: Conversation) -> None:
    """Each before the net knows the language, in Portuguese."""
    replies = TABLES[name]["replies"]
    assert len(TABLES[name]["examples"]) >= 2
    for example in TABLES[name]["examples"]:
        talk.fresh()
        if name == "correction":
            says(talk, "câmara fria trinta e oito")
        turn = says(talk, example if isinstance(example, str) else example["say"])
        assert turn.intent == name, (example, turn.intent, turn.reply)
        assert turn.language == "pt"
        assert any(fits(text, turn.reply) for text in replies.values()), turn.reply


@pytest.mark.parametrize("name", sorted(TABLES))
def test_a_reply_says_what_the_english_one_says(name: str) -> None:
    """The same values and figures, no more and no fewer."""
    english = load_catalogue("en")
    for key, text in TABLES[name].get("replies", {}).items():
        base = english[name].replies[key]
        assert (fields(text), figures(text)) == (fields(base), figures(base)), f"{name}: {key}"


@pytest.mark.parametrize("intent", EMERGENCIES)
def test_an_emergency_takes_the_exact_path(intent: str, talk: Conversation) -> None:
    """Every phrase is answered by its own intent, past net and policy."""
    for phrase in EMERGENCIES[intent]:
        talk.fresh()
        turn = says(talk, f"gente {phrase} aqui")
        assert turn.reply, phrase
        assert turn.language == "pt"
        assert turn.intent in EMERGENCIES, (phrase, turn.intent)


def test_a_reading_and_its_correction_are_logged_as_said(talk: Conversation) -> None:
    """Number, sign and half; "make that", and "scratch that" which erases nothing."""
    for said, value in (
        ("freezer quatro abaixo de zero", "-4"),
        ("câmara fria trinta e oito e meio", "38.5"),
    ):
        (entry,) = says(talk, said).entries
        assert str(entry.value) == value
    (entry,) = says(talk, "muda para trinta e nove").entries
    assert str(entry.value) == "39"
    assert "Riscado" in says(talk, "apaga isso").reply


def test_numbers_are_read_as_a_reference_library_spells_them() -> None:
    """num2words (PyPI) spells, our grammar reads; text_to_num (PyPI), an independent parser, reads it too."""
    numbers = language("pt").numbers
    for number in range(2000):
        spelled = str(num2words(number, lang="pt_BR")).replace(",", "")
        assert number in numbers.integers(tokenise(spelled)), spelled
        if number < 1000:
            assert text2num(spelled, "pt") == number
    for number in (*range(-40, 0), 0.5, 38.5, 40.25):
        spelled = str(num2words(number, lang="pt_BR"))
        assert number in map(float, numbers.values(tokenise(spelled))), spelled


def test_numbers_are_spelled_as_a_reference_library_does() -> None:
    """Except for its comma behind the thousands."""
    spell = language("pt").spell
    for number in (*range(-40, 2000), 10000, 99999):
        assert spell.say_integer(number) == str(num2words(number, lang="pt_BR")).replace(",", "")


@pytest.mark.parametrize(
    ("shown_text", "spoken"),
    [
        ("Câmara fria, ⟦38⟧°F", "Câmara fria, três oito graus Fahrenheit"),
        ("-4°C", "menos quatro graus Celsius"),
        ("200-400 ppm", "duzentas a quatrocentas partes por milhão"),
        ("às 14:30", "às quatorze e trinta"),
        ("às 1:15", "à uma e quinze"),
        ("1 1/2 colheres", "uma e meia colheres"),
        ("38.5°F", "trinta e oito vírgula cinco graus Fahrenheit"),
        ("2 horas", "duas horas"),
    ],
)
def test_a_reply_is_spelled_for_the_ear(shown_text: str, spoken: str) -> None:
    """Plain Portuguese (no source)."""
    spell = language("pt").spell
    assert spell.for_ear(shown_text).replace("catorze", "quatorze") == spoken
    assert "⟦" not in spell.for_eye(shown_text)


def _hour(hour: int) -> str:
    """Spell an hour: hours are feminine."""
    said = str(num2words(hour, lang="pt_BR"))
    return said[:-2] + "uma" if said.endswith("um") else said.replace("dois", "duas")


def _minute(minute: int) -> str:
    return str(num2words(minute, lang="pt_BR"))


def test_every_minute_is_read_as_it_is_said() -> None:
    """Hours and minutes spelled by num2words (PyPI); the forms are common speech."""
    clock = language("pt").clock
    for moment in range(24 * 60):
        hour, minute = divmod(moment, 60)
        hours = " horas" if not minute or (hour == 20 and minute < 10) else ""  # "às vinte e um" is 21:00
        said = f"às {_hour(hour)}{hours}" + (f" e {_minute(minute)}" if minute else "")
        words = tokenise(said)
        open_ = "x" if 1 <= hour <= 12 else ""
        known = f"{hour if open_ else f'{hour:02d}'}:{minute:02d}{open_}"
        assert known in shown_of(said), said
        end, read = clock.clock_from(words, 1, True, lambda at: False) or (0, "")
        assert read.rstrip("?") == f"{hour:02}:{minute:02}", said
        assert end >= len(words) - 1  # behind "horas" or before it
        if 60 - minute in (5, *range(10, 30)) and 1 <= hour < 12:  # "nove para as duas" may be a range
            said = f"{_minute(60 - minute)} para as {_hour(hour + 1)}".replace("as uma", "a uma")
            assert f"{hour}:{minute:02d}x" in shown_of(said), said


def shown_of(said: str) -> list[str]:
    """Return every meaning of a whole run of words, in the notation of the tables."""
    (found,) = quantities(tokenise(said), "pt")
    return [shown(meaning) for meaning in found.meanings]


@pytest.mark.parametrize("said,means", table(HERE / "said_pt.csv"))  # noqa: PT006
def test_what_is_said_of_numbers_and_times(said: str, means: str) -> None:
    """Written by hand (common speech, no source)."""
    assert heard(quantities(tokenise(said), "pt")) == means
