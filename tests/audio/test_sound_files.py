"""Sound files of every common kind become one utterance, or one clear sentence."""

import io
import struct
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.audio.sound_files import flac_bytes, read_sound, write_flac, write_wav
from assistant.audio.utterance import RATE
from assistant.errors import InputError


def tone(seconds: float, rate: int, amplitude: float = 0.5) -> np.ndarray:
    """Return a 440 Hz tone."""
    return amplitude * np.sin(2 * np.pi * 440 * np.arange(int(seconds * rate)) / rate)


@pytest.mark.parametrize(
    ("container", "rate"),
    [(kind, rate) for kind in ("WAV", "FLAC", "OGG") for rate in (8000, 11025, 16000, 22050, 44100, 48000)]
    + [("WAV", 96000), ("FLAC", 96000)],
)
def test_every_common_rate_becomes_16_khz_of_the_same_length_and_pitch(tmp_path, container, rate):
    """A half-second tone stays half a second and 440 Hz whatever the file's rate."""
    path = tmp_path / f"tone.{container.lower()}"
    soundfile.write(path, tone(0.5, rate), rate, format=container)
    utterance = read_sound(path)
    assert utterance.seconds == pytest.approx(0.5, abs=0.01)
    spectrum = np.abs(np.fft.rfft(utterance.samples))
    assert spectrum.argmax() / utterance.seconds == pytest.approx(440, abs=3)


@pytest.mark.parametrize(
    "subtype", ["PCM_U8", "PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE", "ULAW", "ALAW"]
)
def test_every_common_width_keeps_its_level(tmp_path, subtype):
    """Half of full scale stays half of full scale."""
    path = tmp_path / "tone.wav"
    soundfile.write(path, tone(0.5, RATE), RATE, subtype=subtype)
    assert np.abs(read_sound(path).samples).max() == pytest.approx(16384, rel=0.05)


@pytest.mark.parametrize("channels", [1, 2, 4])
def test_channels_are_mixed_to_one(tmp_path, channels):
    """The same tone on each channel comes out at its own level."""
    path = tmp_path / "tone.wav"
    soundfile.write(path, np.column_stack([tone(0.2, RATE)] * channels), RATE)
    assert np.abs(read_sound(path).samples).max() == pytest.approx(16384, rel=0.01)


def test_channels_that_cancel_out_do_not_become_silence(tmp_path):
    """One microphone wired the wrong way round must not silence the cook."""
    path = tmp_path / "tone.wav"
    soundfile.write(path, np.column_stack([tone(0.2, RATE), -tone(0.2, RATE)]), RATE)
    assert np.abs(read_sound(path).samples).max() == pytest.approx(16384, rel=0.01)


def test_loud_floating_point_sound_is_scaled_not_clipped(tmp_path):
    """A floating-point file may exceed full scale and still hold every detail."""
    path = tmp_path / "tone.wav"
    soundfile.write(path, tone(0.2, RATE, 3.0), RATE, subtype="FLOAT")
    samples = read_sound(path).samples
    assert (np.abs(samples) > 32000).mean() < 0.25


@pytest.mark.parametrize(("write", "name"), [(write_wav, "a.wav"), (write_flac, "a.flac")])
def test_what_is_written_is_read_again_exactly(tmp_path, write, name):
    """Clips are evidence: not one bit may change."""
    samples = np.random.default_rng(1).integers(-32768, 32767, 5000).astype(np.int16)
    write(tmp_path / name, samples)
    assert np.array_equal(read_sound(tmp_path / name).samples, samples)
    assert [item.name for item in tmp_path.iterdir()] == [name]


def test_a_write_that_fails_leaves_the_old_file(tmp_path):
    """A folder in the way of the new file is an error, and nothing half written stays."""
    (tmp_path / "a.wav").mkdir()
    with pytest.raises(OSError, match=r"a\.wav"):
        write_wav(tmp_path / "a.wav", np.zeros(10, np.int16))
    assert [item.name for item in tmp_path.iterdir()] == ["a.wav"]


def bad_files(folder: Path) -> dict[str, Path]:
    """Make one file of each bad kind."""
    good = folder / "good.wav"
    soundfile.write(good, tone(2, RATE), RATE)
    whole = good.read_bytes()
    flac = flac_bytes((tone(2, RATE) * 30000).astype(np.int16))
    contents = {
        "empty.wav": b"",
        "text.wav": b"quat bucket two hundred\n" * 40,
        "cut.wav": whole[: len(whole) // 2],
        "header.wav": whole[:44],
        "cut.flac": flac[: len(flac) // 2],
        "stub.wav": whole[:20],
    }
    for name, content in contents.items():
        (folder / name).write_bytes(content)
    soundfile.write(folder / "nan.wav", np.array([0.1, np.nan, 0.2] * 900), RATE, subtype="FLOAT")
    soundfile.write(folder / "silent_header.wav", np.zeros(0), RATE)
    soundfile.write(folder / "slow.wav", tone(1, 1000), 1000)
    (folder / "folder.wav").mkdir()
    return {path.name: path for path in folder.iterdir()}


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("missing.wav", "there is no sound file"),
        ("empty.wav", "is empty"),
        ("text.wav", "is not a sound file"),
        ("cut.wav", "is cut off"),
        ("header.wav", "cut off|holds no sound"),
        ("cut.flac", "is cut off"),
        ("stub.wav", "is not a sound file"),
        ("nan.wav", "NaN or infinite"),
        ("silent_header.wav", "holds no sound"),
        ("slow.wav", "1000 samples a second"),
        ("folder.wav", "is a folder"),
    ],
)
def test_a_bad_file_gets_one_sentence(tmp_path, name, says):
    """Each kind of bad file is refused with its own sentence of one line."""
    bad_files(tmp_path)
    with pytest.raises(InputError, match=says) as caught:
        read_sound(tmp_path / name)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("container", ["WAV", "FLAC"])
def test_an_hour_is_refused_from_its_header(tmp_path, container):
    """An hour of sound is no utterance."""
    path = tmp_path / "hour"
    with soundfile.SoundFile(path, "w", 8000, 1, format=container) as file:
        for _ in range(60):
            file.write(np.zeros(60 * 8000, np.int16))
    with pytest.raises(InputError, match="3600 seconds long; give one utterance a file"):
        read_sound(path)


def test_an_hour_behind_a_header_without_length_is_refused_too(tmp_path):
    """Programs that stream write no length; then the reading stops at the limit."""
    path = tmp_path / "stream.wav"
    soundfile.write(path, np.zeros(70 * RATE), RATE, subtype="PCM_16")
    content = bytearray(path.read_bytes())
    content[4:8] = content[40:44] = struct.pack("<I", 0xFFFFFFFF)
    path.write_bytes(content)
    with pytest.raises(InputError, match="seconds long"):
        read_sound(path)
    assert read_sound(path, max_seconds=71).seconds == pytest.approx(70, abs=0.01)


def small_files() -> list[bytes]:
    """Return a few valid files of different kinds, a tenth of a second each."""
    made = []
    for container, subtype in [("WAV", "PCM_16"), ("WAV", "FLOAT"), ("FLAC", "PCM_16"), ("OGG", "VORBIS")]:
        target = io.BytesIO()
        soundfile.write(target, tone(0.1, RATE), RATE, format=container, subtype=subtype)
        made.append(target.getvalue())
    return made


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=150)
@given(
    st.sampled_from(small_files()),
    st.lists(st.tuples(st.integers(0, 5000), st.integers(0, 255)), max_size=8),
    st.integers(0, 6000),
)
def test_no_damage_whatever_gives_anything_but_sound_or_a_sentence(tmp_path, content, changes, length):
    """Bytes changed and the end cut off at random: an utterance comes out, or an InputError of one line."""
    damaged = bytearray(content[:length])
    for at, byte in changes:
        if at < len(damaged):
            damaged[at] = byte
    path = tmp_path / "damaged"
    path.write_bytes(damaged)
    said = ""
    try:
        assert 0 < read_sound(path).seconds <= 61
    except InputError as fault:
        said = str(fault)
    assert "\n" not in said


@given(st.binary(max_size=300))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_rubbish_is_never_sound(tmp_path, content):
    """Random bytes are refused, without a traceback."""
    path = tmp_path / "rubbish.wav"
    path.write_bytes(content)
    with pytest.raises(InputError):
        read_sound(path)
