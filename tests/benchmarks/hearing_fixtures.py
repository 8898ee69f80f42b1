"""The committed clips as a command set of the benchmark: small, and there in every checkout."""

from __future__ import annotations

import json

from audio_fixtures.make_clips import Line, read_lines
from audio_fixtures.voices import voices
from tests.benchmarks.hearing_conditions import CONDITIONS, Condition
from tests.benchmarks.hearing_speech import WAKE_PHRASE, Clip, Sentence

TELLING = ("clean", "10 dB", "5 dB")


def fixture_clips() -> list[Clip]:
    """Every committed clip whose meaning the manifest gives, and the chatter."""
    clips = []
    for line in read_lines():
        if line.intent or line.file.startswith("chatter/"):
            wake = line.text.startswith(WAKE_PHRASE)
            clips.append(Clip(_sentence(line), voices()[line.voice], float(line.speed), wake, line.file))
    return clips


def fixture_trials() -> list[tuple[Clip, Condition]]:
    """Every committed clip under every condition, one after the other, the telling ones first."""
    first = [condition for condition in CONDITIONS if condition.name in TELLING]
    rest = [condition for condition in CONDITIONS if condition.name not in TELLING]
    return [(clip, condition) for condition in (*first, *rest) for clip in fixture_clips()]


def _sentence(line: Line) -> Sentence:
    slots = json.loads(line.slots or "{}")
    readings = slots.get("readings") or [slots]
    subjects = [each.get("subject") or each.get("food") or each.get("place", "") for each in readings]
    values = [each.get("value", "") for each in readings]
    folder = line.file.split("/")[0]
    return Sentence(
        id=line.file.removesuffix(".flac").replace("/", ":"),
        kind="chatter" if folder == "chatter" else "command",
        topic=line.intent if line.intent in ("reading", "correction") else folder,
        split="dev",
        text=line.text.removeprefix(f"{WAKE_PHRASE}, "),
        before=line.before,
        intent=line.intent,
        subject=";".join(subjects) if any(values) else "",
        values=";".join(values) if all(values) else "",
        unit="",
        style="",
    )
