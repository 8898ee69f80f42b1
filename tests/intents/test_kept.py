"""What is kept between starts is what would be made anew, and counts only while nothing changed."""

from __future__ import annotations

import json
import os
import time
from pathlib import Path
from types import SimpleNamespace

import pytest

from intents import catalogue, foods_heard, kept, lexicon, names_heard, short_names
from intents.quantities import grammar


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(kept, "user_cache_path", lambda *_, **__: tmp_path / "cache")
    return tmp_path / "cache"


def test_a_kept_value_is_read_back(folder: Path):
    assert kept.kept("thing", lambda: {"a": [1, 2]}) == {"a": [1, 2]}
    assert kept.kept("thing", lambda: pytest.fail("it was kept")) == {"a": [1, 2]}
    (file,) = folder.iterdir()
    assert file.name.startswith("thing-")


def test_what_was_altered_or_cut_is_made_anew(folder: Path):
    kept.kept("thing", lambda: ["raw chicken"])
    (file,) = folder.iterdir()
    whole = file.read_bytes()
    for damaged in (whole.replace(b"raw", b"ripe"), whole[:-3], whole.partition(b"\n")[0], b"", b"\xff\n[]"):
        file.write_bytes(damaged)
        assert kept.kept("thing", lambda: ["made"]) == ["made"]
        file.write_bytes(whole)
    assert kept.kept("thing", lambda: ["made"]) == ["raw chicken"]


def test_what_older_tables_gave_is_made_anew(folder: Path, monkeypatch: pytest.MonkeyPatch):
    kept.kept("thing", lambda: ["old"])
    monkeypatch.setattr(kept, "sources_hash", lambda: "of other tables")
    assert kept.kept("thing", lambda: ["new"]) == ["new"]


def test_the_hash_tells_every_change_of_a_source(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """Also one that keeps the length, and the time of the last change as it was."""
    table, before = tmp_path / "topic" / "table.csv", set[str]()
    table.parent.mkdir()
    monkeypatch.setattr(kept.intents, "__path__", [str(tmp_path)])
    for number in ("41", "45", "41"):
        time.sleep(0.02)  # a disk's clock may tick only every few milliseconds
        table.write_text(number, encoding="utf-8")
        os.utime(table, (1, 1))
        assert kept.sources_hash.__wrapped__() not in before
        before.add(kept.sources_hash.__wrapped__())
    (tmp_path / "other.py").write_text("", encoding="utf-8")
    assert kept.sources_hash.__wrapped__() not in before
    (tmp_path / "other.py").unlink()
    assert kept.sources_hash.__wrapped__() in before


def test_where_times_are_coarse_the_bytes_are_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """As on an image of a whole system, where every file has the same moment and the number that it had."""
    monkeypatch.setattr(kept.intents, "__path__", [str(tmp_path)])
    told = set[str]()
    for number in ("41", "45"):
        (tmp_path / "table.csv").write_text(number, encoding="utf-8")
        real = os.stat(tmp_path / "table.csv")
        same = SimpleNamespace(
            st_size=2, st_ino=real.st_ino, st_mtime_ns=kept.SECOND, st_ctime_ns=kept.SECOND
        )
        with monkeypatch.context() as patch:
            patch.setattr(kept.os, "stat", lambda *_, same=same, **__: same)
            told.add(kept.sources_hash.__wrapped__())
    assert len(told) == 2


def test_two_installed_programs_leave_each_others_alone(folder: Path, monkeypatch: pytest.MonkeyPatch):
    kept.kept("thing", lambda: ["here"])
    with monkeypatch.context() as elsewhere:
        elsewhere.setattr(kept.intents, "__path__", ["/elsewhere/intents"])
        assert kept.kept("thing", lambda: ["there"]) == ["there"]
    assert kept.kept("thing", lambda: pytest.fail("it was kept")) == ["here"]


def test_what_other_names_gave_is_made_anew(folder: Path):
    kept.kept("thing", lambda: ["of one site"], of="walk-in")
    assert kept.kept("thing", lambda: pytest.fail("it was kept"), of="walk-in") == ["of one site"]
    assert kept.kept("thing", lambda: ["of another"], of="reach-in") == ["of another"]


def test_where_nothing_can_be_written_it_works_all_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    blocked = tmp_path / "a file"
    blocked.write_text("", encoding="utf-8")
    monkeypatch.setattr(kept, "user_cache_path", lambda *_, **__: blocked)
    assert kept.kept("thing", lambda: [1]) == [1]
    assert kept.kept("thing", lambda: [2]) == [2]


@pytest.mark.parametrize("code", ["en", "es"])
def test_everything_that_is_kept_survives_the_keeping(code: str):
    made = {topic: lexicon.tables(lexicon.data_folder(code) / topic) for topic in lexicon.pack_tables(code)}
    for topic, topic_tables in lexicon.pack_tables(code).items():
        assert [tuple(each) for each in topic_tables] == made[topic]  # names, and tables as they are written
    assert grammar._read(code) == json.loads(json.dumps(grammar._read(code)))
    assert catalogue.examples_of(code) == catalogue._examples_of(catalogue.load_catalogue(code))
    assert [phrase for phrase, _ in foods_heard.food_phrases()] == foods_heard._food_phrases()


@pytest.mark.parametrize("code", ["en", "es"])
def test_words_are_found_as_if_nothing_were_kept(folder: Path, monkeypatch: pytest.MonkeyPatch, code: str):
    finders = (
        names_heard.food_finder.__wrapped__,
        lambda code: lexicon.load_lexicon.__wrapped__(code).finder,
    )
    first, again = ([made(code)._by_first for made in finders] for _ in range(2))
    monkeypatch.setattr(lexicon, "kept", lambda _, make: make())
    assert first == again == [made(code)._by_first for made in finders]


def test_short_names_are_kept_as_they_are_made(folder: Path):
    english, foods = lexicon.load_lexicon("en"), (("shrimp", "shrimp"),)
    places = (("fish drawer", "fish drawer"), ("salad fridge 2", "salad fridge 2"))
    finder = lexicon.Finder("food", foods)
    made = short_names._short_names(places, english, finder)
    assert made.sure
    for _ in range(2):
        assert short_names.short_names(places, english, finder, foods) == made
