"""Sound devices made in software: a PulseAudio daemon of its own with a microphone and a speaker.

The microphone is the monitor of a null sink that clips are played into; the speaker is another null
sink whose monitor is recorded. Nothing of the user's own sound server is touched.

A daemon that loses a device moves whoever used it to another one, if there is another: a device that is
to vanish needs a server of its own (``sinks``), and a program that uses several servers a list of devices
(``name_devices``).
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
import threading
import time
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

from assistant.audio.utterance import RATE

NEEDED = ("pulseaudio", "pactl", "paplay", "parec")


class SoundServer:
    """A running daemon. ``environment`` leads any process to it.

    ``unplug`` and ``plug`` let the microphone fall silent and come back; ``crash`` and ``start`` do the
    same to the whole sound server; ``remove_microphone`` and ``add_microphone`` to its device.
    """

    def __init__(self, sinks: tuple[str, ...] = ("mic", "speaker")) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="kitchen-sound-"))
        self._socket = self.folder / "socket"
        (self.folder / "start.pa").write_text(
            f"load-module module-native-protocol-unix auth-anonymous=1 socket={self._socket}\n"
            + "".join(f"load-module module-null-sink sink_name={sink} rate=48000\n" for sink in sinks)
        )
        self.environment = {
            **os.environ,
            "HOME": str(self.folder),
            "XDG_RUNTIME_DIR": str(self.folder),
            "PULSE_SERVER": f"unix:{self._socket}",
            "PULSE_SOURCE": "mic.monitor",
            "PULSE_SINK": "speaker",
        }
        self.start()

    def start(self) -> None:
        """Run the daemon and wait until it answers."""
        command = ["pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1"]
        with (self.folder / "log").open("ab") as log:
            self._daemon = subprocess.Popen(
                [*command, "-F", str(self.folder / "start.pa")], env=self.environment, stdout=log, stderr=log
            )
        ask = ["pactl", "info"]
        for _ in range(300):
            if subprocess.run(ask, env=self.environment, capture_output=True, check=False).returncode == 0:
                return
            time.sleep(0.1)
        raise RuntimeError((self.folder / "log").read_text())

    def crash(self) -> None:
        """Kill the daemon at once."""
        self._daemon.kill()
        self._daemon.wait(timeout=10)
        self._socket.unlink(missing_ok=True)

    def plug(self) -> None:
        """Let the microphone give sound again."""
        self._control("suspend-sink", "mic", "0")

    def unplug(self) -> None:
        """Let the microphone give nothing any more, whoever records from it."""
        self._control("suspend-sink", "mic", "1")

    def name_devices(self, **devices: tuple[SoundServer, str]) -> None:
        """Let whoever runs with this ``environment`` see named devices: each a server and its device."""
        lines = [
            f'pcm.{name} {{ type pulse server "{server.environment["PULSE_SERVER"]}" device "{device}" }}\n'
            for name, (server, device) in devices.items()
        ]
        (self.folder / ".asoundrc").write_text("".join(lines))

    def remove_microphone(self) -> None:
        """Take the microphone's device away altogether."""
        listed = subprocess.run(
            ["pactl", "list", "short", "modules"],
            env=self.environment, check=True, capture_output=True, text=True, timeout=20,
        ).stdout  # fmt: skip
        (number,) = (line.split()[0] for line in listed.splitlines() if "sink_name=mic" in line)
        self._control("unload-module", number)

    def add_microphone(self) -> None:
        """Make the microphone's device again."""
        self._control("load-module", "module-null-sink", "sink_name=mic", "rate=48000")

    def say(self, path: Path) -> subprocess.Popen[bytes]:
        """Begin to play a WAV file into the microphone, in real time."""
        return subprocess.Popen(["paplay", "-d", "mic", str(path)], env=self.environment)

    def record(self, target: Path) -> subprocess.Popen[bytes]:
        """Begin to record what the speaker gives, as a 16 kHz WAV file; terminate it to end."""
        command = ["parec", "-d", "speaker.monitor", "--rate=16000", "--channels=1", "--format=s16le"]
        return subprocess.Popen([*command, "--file-format=wav", str(target)], env=self.environment)

    def card(self) -> Card:
        """Add a speaker that keeps what it is given, in real time, and make it the one that is used."""
        card = Card(self.folder / "card")
        self._control("load-module", "module-pipe-sink", "sink_name=card", f"file={card.pipe}", *card.FORM)
        self.environment["PULSE_SINK"] = "card"
        card.start()
        return card

    def close(self) -> None:
        """End the daemon."""
        self._daemon.terminate()
        self._daemon.wait(timeout=10)
        shutil.rmtree(self.folder, ignore_errors=True)

    def _control(self, *words: str) -> None:
        subprocess.run(["pactl", *words], env=self.environment, check=True, capture_output=True, timeout=20)


class Card:
    """A sound card made of a pipe: like a real one, unlike a null sink's monitor, it takes nothing back."""

    FORM = ("format=s16le", f"rate={RATE}", "channels=1", "use_system_clock_for_timing=yes")

    def __init__(self, pipe: Path) -> None:
        self.pipe = pipe
        self._given = bytearray()

    def start(self) -> None:
        """Begin to take what is played, silence too, until the server ends."""
        threading.Thread(target=self._take, daemon=True).start()

    def mark(self) -> int:
        """Return how much was played so far, for ``since``."""
        return len(self._given) // 2

    def since(self, mark: int) -> npt.NDArray[np.int16]:
        """Return the samples that were played after ``mark``, ``RATE`` a second."""
        return np.frombuffer(bytes(self._given[2 * mark : len(self._given) // 2 * 2]), "<i2").astype(np.int16)

    def _take(self) -> None:
        with self.pipe.open("rb", buffering=0) as pipe:
            while given := pipe.read(1 << 16):
                self._given += given


def need_sound_server() -> None:
    """Skip, saying what to install, unless sound devices can be made here."""
    missing = [program for program in NEEDED if shutil.which(program) is None]
    if missing:
        pytest.skip(f"needs pulseaudio and pulseaudio-utils ({', '.join(missing)} missing)")
    plugins = [*Path("/usr/lib").glob("*/alsa-lib/libasound_module_pcm_pulse.so")]
    if not plugins:
        pytest.skip("needs ALSA's pulse plug-in: install libasound2-plugins")
    try:
        import sounddevice  # noqa: F401
    except OSError:
        pytest.skip("needs the PortAudio library: install libportaudio2")
