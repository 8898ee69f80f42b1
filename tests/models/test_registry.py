"""Which models are known, which are here, and which is taken."""

import pytest
from pydantic import ValidationError

from assistant.errors import InputError, MissingError
from models import registry
from models.fetch import fetch
from models.manifest import find_entry, load_manifest, parse_manifest
from models.registry import choose, models_folder, partner_of, survey, wrong_files


def test_the_embedded_model_is_always_here(tmp_path):
    """It comes with the program, and its files have the hashes of the manifest."""
    found = survey(tmp_path)[0]
    assert (found.entry.name, found.entry.engine, found.installed) == (
        "whisper-kitchen-en-3",
        "whisper",
        True,
    )
    assert sum((found.path / name).stat().st_size for name in found.entry.needs) == found.entry.size_bytes
    assert wrong_files(found) == []


def test_a_damaged_model_is_named(entry, tmp_path):
    """One changed byte is found by its hash."""
    found = fetch(entry(), tmp_path)
    changed = registry.status(entry(sha256={"conf/model.conf": "0" * 64}), tmp_path)
    assert found.installed
    assert wrong_files(changed) == ["conf/model.conf"]


def test_every_known_model_has_licence_size_and_a_way_to_get_it():
    """What `kitchen models` shows is never blank; fetched ones come from one published place over TLS."""
    for entry in load_manifest():
        assert entry.license
        assert entry.size_bytes > 1_000_000
        assert entry.source != "download" or entry.address.startswith("https://alphacephei.com/vosk/models/")


def test_english_and_spanish_models_for_the_streaming_engine_are_known():
    """The user's choice of engine has models in both languages."""
    assert {entry.language for entry in load_manifest() if entry.engine == "vosk"} >= {"en", "es"}


def test_names_are_unique():
    """A name means one model."""
    names = [entry.name for entry in load_manifest()]
    assert len(set(names)) == len(names)


def test_an_unknown_name_lists_the_known_ones():
    """The sentence helps to write it right."""
    with pytest.raises(InputError, match="choose one of: whisper-kitchen-en-3"):
        find_entry("tiny")


def test_without_a_fetched_model_the_embedded_one_is_chosen(tmp_path):
    """The program works at once."""
    assert choose("en", folder=tmp_path).entry.engine == "whisper"


def test_an_installed_streaming_model_is_preferred(entry, tmp_path, monkeypatch):
    """As soon as it is there, unless another engine is named."""
    monkeypatch.setattr(registry, "load_manifest", lambda: (*load_manifest(), entry()))
    fetch(entry(), tmp_path)
    assert choose("en", folder=tmp_path).entry.name == "small-en"
    assert choose("en", "whisper", tmp_path).entry.engine == "whisper"


def test_a_language_without_a_model_says_what_to_fetch(tmp_path, monkeypatch):
    """With the very command, where the shipped one was taken out."""
    fewer = tuple(entry for entry in load_manifest() if entry.name != "whisper-kitchen-1")
    monkeypatch.setattr(registry, "load_manifest", lambda: fewer)
    with pytest.raises(MissingError, match="kitchen models get vosk-model-small-es"):
        choose("es", folder=tmp_path)
    with pytest.raises(MissingError, match="there is none to fetch"):
        choose("xx", folder=tmp_path)


def test_an_unknown_engine_is_wrong_input(tmp_path):
    """The engines that exist are listed."""
    with pytest.raises(InputError, match="choose one of: vosk, whisper"):
        choose("en", "ear", tmp_path)


def test_a_model_without_a_receipt_is_not_loaded(entry, tmp_path):
    """Its files may be the first half of a copy."""
    for name in entry().needs:
        path = tmp_path / "small-en" / name
        path.parent.mkdir(parents=True)
        path.write_text("x")
    assert "not put there by this program" in registry.status(entry(), tmp_path).note


def test_the_folder_can_be_chosen(tmp_path, monkeypatch):
    """By the environment, else the platform's data folder."""
    monkeypatch.setenv("KITCHEN_MODELS", str(tmp_path))
    assert models_folder() == tmp_path
    monkeypatch.delenv("KITCHEN_MODELS")
    assert "kitchen-assistant" in str(models_folder())


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('engine = "whisper"', "engine = 1"),
        ('source = "shipped"', 'source = "moon"'),
        ('source = "shipped"', 'source = "download"'),
        ('name = "whisper-kitchen-en-3"', 'name = "../../etc"'),
        ('license = "MIT"', 'license = "MIT"\ncolour = "red"'),
    ],
)
def test_a_wrong_manifest_is_refused(old, new):
    """Strict: wrong types, unknown keys and dangerous names do not pass."""
    from importlib.resources import files

    text = (files("models") / "manifest.toml").read_text("utf-8")
    assert old in text
    with pytest.raises(ValidationError):
        parse_manifest(text.replace(old, new, 1))


def test_only_what_cannot_stream_gets_a_partner(tmp_path):
    """The shipped model listens along with Whisper, and with nothing else."""
    whisper = choose("en", "whisper", tmp_path)
    partner = partner_of(whisper, tmp_path)
    assert partner is not None
    assert partner.entry.name == "kitchen-en-2"
    assert partner_of(partner, tmp_path) is None
