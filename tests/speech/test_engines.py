"""Which recogniser is opened when one is named, and when none is."""

import pytest

from assistant.errors import InputError, MissingError
from assistant.speech import engines
from assistant.speech.engines import open_engine
from models.manifest import ModelEntry, shipped_folder
from models.registry import ModelStatus


def test_without_a_name_the_embedded_one_gets_the_shipped_partner(tmp_path):
    """A fresh machine has both; the log names both."""
    opened = open_engine(folder=tmp_path)
    assert (opened.name, opened.model) == ("whisper+vosk", "whisper-kitchen-en-3+kitchen-en-2")
    assert opened.streams
    opened.close()


def test_by_name_the_embedded_one_listens_alone(tmp_path):
    """By the engine's name and by the model's."""
    for name in ("whisper", "whisper-kitchen-en-3"):
        opened = open_engine(name, folder=tmp_path)
        assert (opened.name, opened.model) == ("whisper", "whisper-kitchen-en-3")
        opened.close()


def test_a_name_nobody_knows_is_wrong_input(tmp_path):
    """With the engines that exist."""
    with pytest.raises(InputError, match="no engine is called 'ear'"):
        open_engine("ear", folder=tmp_path)


@pytest.mark.parametrize("name", ["vosk", "vosk-model-small-en-us-0.15"])
def test_what_is_not_installed_is_missing_with_the_command_to_get_it(tmp_path, name):
    """By engine and by model."""
    with pytest.raises(MissingError, match=r"kitchen models get vosk-model-small-en-us-0\.15"):
        open_engine(name, folder=tmp_path)


def test_an_installed_vosk_model_is_opened_with_its_language(monkeypatch):
    """The adapter is loaded on the chosen folder, with the entry's name for the log."""
    entry = ModelEntry(
        name="small-ko",
        engine="vosk",
        language="ko",
        title="Small Korean",
        source="download",
        address="https://models.invalid/small-ko.zip",
        folder="small-ko",
        needs=[],
        license="Apache-2.0",
        license_flag="READ",
        size_bytes=1,
        size_flag="READ",
    )
    found = ModelStatus(entry, shipped_folder() / "kitchen_en")
    monkeypatch.setattr(engines, "choose", lambda *_: found)
    opened = open_engine("", language="ko")
    assert (opened.name, opened.model) == ("vosk", "small-ko")
    opened.close()


def test_a_damaged_shipped_model_is_not_loaded(tmp_path, monkeypatch):
    """Its files are checked by hash each time it is loaded."""
    monkeypatch.setattr(engines, "wrong_files", lambda found: ["am/final.mdl"])
    with pytest.raises(MissingError, match="'kitchen-en-2' is damaged"):
        open_engine("kitchen-en-2", folder=tmp_path)
