"""What works on this machine and what to do about what does not: plain values, no printing."""

from __future__ import annotations

import os
import platform
import shutil
import sqlite3
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal

from assistant.audio.devices import Device, list_devices
from assistant.errors import KitchenError, MissingError
from assistant.speech.recogniser import Recogniser
from assistant.speech.vocabulary import Lack
from assistant.speech.voice import VoiceSettings, open_voice
from models.registry import ModelStatus, choose, partner_of, survey, wrong_files

State = Literal["ok", "spare", "warning", "missing"]
"""``spare``: not there and not needed."""

_LEAST_FREE_BYTES = 500_000_000
_BUILT = datetime(2026, 11, 1, tzinfo=UTC)  # no honest clock is earlier than the program
_LATEST = datetime(2050, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class Check:
    """One thing looked at: what it is, how it is, and what to do (empty when it is well).

    ``warning`` is something that works with less; ``missing`` is something that does not work at all.
    """

    name: str
    state: State
    says: str
    fix: str = ""

    @property
    def ok(self) -> bool:
        """Whether nothing needs to be done."""
        return self.state == "ok"


def examine(
    state_folder: Path,
    models_folder: Path | None = None,
    language: str = "en",
    recogniser: Recogniser | None = None,
    now: datetime | None = None,
    microphone: str = "",
    speaker: str = "",
) -> tuple[Check, ...]:
    """Run every check. ``recogniser`` (optional, loaded) adds the words that its model lacks.

    ``microphone`` and ``speaker`` are the names that the site file gives (empty: the system's own).

    A check that fails in an unforeseen way becomes a line of its own; none stops the others.
    """
    checks: list[tuple[str, Callable[[], tuple[Check, ...]]]] = [
        ("sound", lambda: check_sound(microphone, speaker)),
        ("voice", lambda: (check_voice(language),)),
        ("models", lambda: check_models(models_folder, language)),
        ("words", lambda: (check_words(recogniser.lacking()),) if recogniser is not None else ()),
        ("disk", lambda: (check_disk(state_folder),)),
        ("clock", lambda: (check_clock(now or datetime.now(UTC)),)),
        ("database", lambda: (check_sqlite(sqlite3.sqlite_version_info),)),
        ("processor", lambda: (check_processor(),)),
    ]
    return tuple(line for name, check in checks for line in _guarded(name, check))


def check_sound(microphone: str = "", speaker: str = "") -> tuple[Check, ...]:
    """Look for PortAudio, a microphone and a speaker, by the names of the site file if it gives any."""
    try:
        devices = list_devices()
    except MissingError as fault:
        return (Check("sound library", "missing", str(fault), _portaudio_fix()),)
    return (
        Check("sound library", "ok", "PortAudio is there"),
        _device_check(
            "microphone",
            microphone,
            [d for d in devices if d.inputs],
            [d for d in devices if d.default_input],
        ),
        _device_check(
            "speaker", speaker, [d for d in devices if d.outputs], [d for d in devices if d.default_output]
        ),
    )


def check_voice(language: str = "en") -> Check:
    """Say a word into a file."""
    voice = open_voice(VoiceSettings(language=language))
    try:
        if voice.why:
            return Check("voice", "missing", voice.why, _voice_fix())
        seconds = len(voice.samples("ready" if language == "en" else "listo")) / voice.rate
    except KitchenError as fault:
        return Check("voice", "missing", str(fault), _voice_fix())
    finally:
        voice.close()
    return Check("voice", "ok", f"{voice.name} speaks ({seconds:.1f} seconds of sound for one word)")


def check_models(folder: Path | None = None, language: str = "en") -> tuple[Check, ...]:
    """Look at every known model: which is used, which are there, and whether they are undamaged."""
    lines: list[Check] = []
    try:
        used = choose(language, None, folder)
        partner = partner_of(used, folder, language)
        beside = f", with '{partner.entry.name}' listening along" if partner else ""
        lines.append(Check("recogniser", "ok", f"{used.entry.title} is used, in '{used.path}'{beside}"))
    except KitchenError as fault:
        lines.append(Check("recogniser", "missing", str(fault), "fetch a model"))
    return (*lines, *(_model_check(found) for found in survey(folder)))


SHOWN_WORDS = 12


def check_words(lacking: tuple[Lack, ...]) -> Check:
    """Tell which words the recogniser's model lacks, and what it listens for instead."""
    learnt = [lack.word for lack in lacking if lack.learnt]
    lacking = tuple(lack for lack in lacking if not lack.learnt)
    deaf = [lack.word for lack in lacking if not lack.instead and not lack.written]
    half = [lack.word for lack in lacking if not lack.instead and lack.written]
    replaced = [f"{lack.word} as '{lack.instead}'" for lack in lacking if lack.instead]
    unknown = f"the streaming model does not know: {_some(deaf or half)}"
    if deaf:
        return Check("words", "warning", unknown, "use other names in the site file, or a larger model")
    if half:
        fix = "where one is misheard, add how it was written to its 'also' in the site file"
        return Check("words", "ok", f"{unknown}; the other listener writes any word", fix)
    if replaced:
        return Check("words", "ok", f"words listened for by another spelling: {', '.join(replaced)}")
    if learnt:
        says = f"names that the streaming model has learnt from the site file: {_some(learnt)}"
        return Check(
            "words", "ok", says, "hear how it takes them to be said, and correct it: kitchen site names"
        )
    return Check("words", "ok", "the model knows the words that it has to hear")


def _some(words: list[str]) -> str:
    more = f" and {len(words) - SHOWN_WORDS} more" if len(words) > SHOWN_WORDS else ""
    return f"{', '.join(words[:SHOWN_WORDS])}{more}"


def check_disk(folder: Path) -> Check:
    """Look whether the log's folder can be written and has room."""
    place = folder
    while not place.exists() and place != place.parent:
        place = place.parent
    if not os.access(place, os.W_OK):
        return Check("disk", "missing", f"'{folder}' cannot be written", "choose another with --state")
    free = shutil.disk_usage(place).free
    says = f"{free / 1e9:.1f} GB free for the log in '{folder}'"
    return (
        Check("disk", "ok", says)
        if free >= _LEAST_FREE_BYTES
        else Check("disk", "warning", says, "make room: old clips, other files")
    )


def check_clock(now: datetime) -> Check:
    """Look whether the clock can be right and knows its zone. ``now`` is aware."""
    if not _BUILT <= now <= _LATEST:
        return Check(
            "clock", "warning", f"the clock says {now:%Y-%m-%d %H:%M}", "set the machine's date and time"
        )
    local = now.astimezone()
    return Check("clock", "ok", f"{local:%Y-%m-%d %H:%M} {local.tzname()}")


def check_sqlite(version: tuple[int, ...]) -> Check:
    """Look at the database library's version; strict tables need 3.37."""
    text = ".".join(str(part) for part in version[:3])
    if version < (3, 37, 0):
        return Check("database", "missing", f"SQLite {text} is too old", "use Python from a newer system")
    return Check("database", "ok", f"SQLite {text}")


def check_processor() -> Check:
    """Count the cores: with one, answers come later."""
    cores = os.cpu_count() or 1
    count = "1 core" if cores == 1 else f"{cores} cores"
    says = f"{platform.machine()}, {count}, Python {platform.python_version()}"
    if cores < 2:
        return Check("processor", "warning", says, "answers take about twice as long; two cores are better")
    return Check("processor", "ok", says)


def _guarded(name: str, check: Callable[[], tuple[Check, ...]]) -> tuple[Check, ...]:
    try:
        return check()
    except Exception as fault:  # a doctor that falls ill helps nobody
        return (Check(name, "warning", f"this could not be looked at ({type(fault).__name__}: {fault})"),)


def _device_check(kind: str, wanted: str, usable: list[Device], default: list[Device]) -> Check:
    if not usable:
        fix = "plug one in; sound files and typed words work without"
        return Check(kind, "missing", f"this machine has no {kind}", fix)
    names = "; ".join(dict.fromkeys(device.name for device in usable))
    named = [device for device in usable if device.name == wanted]
    if wanted and not named:
        says = f"the site file names '{wanted}', which is not here; there are: {names}"
        return Check(kind, "missing", says, "plug it in, or name another under [sound] in the site file")
    chosen = (named or default or usable)[0]
    return Check(kind, "ok", f"'{chosen.name}' at {chosen.rate} samples a second is used; there are: {names}")


def _model_check(found: ModelStatus) -> Check:
    entry = found.entry
    name = f"model {entry.name}"
    knows = ", ".join(entry.languages)
    facts = f"{entry.engine}, {knows}, {entry.size_bytes / 1e6:.0f} MB, licence {entry.license}"
    if found.path is None:
        state: State = "warning" if found.note != "not installed" else "spare"
        return Check(name, state, f"{found.note} ({facts})", f"kitchen models get {entry.name}")
    if damaged := wrong_files(found):
        return Check(name, "warning", f"damaged: {', '.join(damaged)}", "install it again")
    return Check(name, "ok", f"in '{found.path}' ({facts})" + (f"; {found.note}" if found.note else ""))


def _portaudio_fix() -> str:
    if platform.system() == "Linux":
        return "install the package libportaudio2; sound files and typed words work without"
    return "install the program again; sound files and typed words work without"


def _voice_fix() -> str:
    return "install the program again with all it needs, or the package libespeak-ng1; answers stay readable"
