"""Speak the committed clips: reads ``lines.csv``, writes the FLAC files and ``manifest.csv``.

All of it is synthetic speech. What speaks it is not needed to run or test the program. On Debian::

    apt-get install espeak-ng flite festival festvox-us-slt-hts festvox-kallpc16k festvox-kdlpc16k
    uv venv VENV && uv pip install -p VENV/bin/python -r audio_fixtures/synthesisers.txt
    npm pack kokoro-js@1.2.1 && tar -xzf kokoro-js-1.2.1.tgz
    VENV/bin/python -m audio_fixtures.make_clips --styles package/voices

Clips that exist and whose line is unchanged are left alone; ``--again`` speaks all of them anew.
"""

from __future__ import annotations

import argparse
import csv
import sys
from dataclasses import dataclass
from pathlib import Path

from audio_fixtures.voices import FOLDER, RATE, Speaker, Voice, voices

COLUMNS = "file text before intent slots voice family sex accent speed licence source made kind".split()


@dataclass(frozen=True, slots=True)
class Line:
    """One clip to make: a row of ``lines.csv``.

    ``before`` holds what was said earlier in the conversation, parted by semicolons, where the words mean
    something only then. ``intent`` is empty for chatter; ``slots`` is JSON, a part of what the turn gives.
    """

    file: str
    voice: str
    speed: str
    text: str
    before: str
    intent: str
    slots: str


def read_lines(table: Path = FOLDER / "lines.csv") -> list[Line]:
    """Read the clips to make, in order. Raises ValueError when a file or a voice is wrong."""
    with table.open(encoding="utf-8", newline="") as rows:
        lines = [Line(**row) for row in csv.DictReader(rows)]
    files = [line.file for line in lines]
    twice = {file for file in files if files.count(file) > 1}
    unknown = {line.voice for line in lines} - set(voices())
    if twice or unknown:
        raise ValueError(f"{table.name}: files named twice {sorted(twice)}, unknown voices {sorted(unknown)}")
    return lines


def row(line: Line, voice: Voice) -> dict[str, str]:
    """The manifest's row for a clip."""
    made = f"{voice.engine} voice {voice.engine_voice} at speed {line.speed}; audio_fixtures/make_clips.py"
    return {
        "file": line.file,
        "text": line.text,
        "before": line.before,
        "intent": line.intent,
        "slots": line.slots or "{}",
        "voice": voice.name,
        "family": voice.family,
        "sex": voice.sex,
        "accent": voice.accent,
        "speed": line.speed,
        "licence": voice.licence,
        "source": voice.source,
        "made": made,
        "kind": "synthetic",
    }


def _spoken_before() -> dict[str, tuple[str, str, str]]:
    """File to (text, voice, speed) as the present manifest has it; empty when there is none."""
    manifest = FOLDER / "manifest.csv"
    if not manifest.exists():
        return {}
    with manifest.open(encoding="utf-8", newline="") as rows:
        return {r["file"]: (r["text"], r["voice"], r["speed"]) for r in csv.DictReader(rows)}


def write_manifest(lines: list[Line]) -> None:
    """Write ``manifest.csv`` for the clips."""
    with (FOLDER / "manifest.csv").open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(row(line, voices()[line.voice]) for line in lines)


def make(lines: list[Line], speaker: Speaker, again: bool) -> None:
    """Speak what is missing or changed, remove clips without a line, then write the manifest."""
    import soundfile

    before = {} if again else _spoken_before()
    for number, line in enumerate(lines, 1):
        target = FOLDER / line.file
        if target.exists() and before.get(line.file) == (line.text, line.voice, line.speed):
            continue
        samples = speaker.speak(line.text, voices()[line.voice], float(line.speed))
        target.parent.mkdir(parents=True, exist_ok=True)
        soundfile.write(target, samples, RATE, format="FLAC", subtype="PCM_16")
        print(f"{number}/{len(lines)} {line.file}", file=sys.stderr, flush=True)
    wanted = {line.file for line in lines}
    for clip in FOLDER.rglob("*.flac"):
        if clip.relative_to(FOLDER).as_posix() not in wanted:
            clip.unlink()
    write_manifest(lines)


def main() -> None:
    """Read the options and make the clips."""
    import platformdirs

    parser = argparse.ArgumentParser(prog="python -m audio_fixtures.make_clips", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("--styles", type=Path, help="voices folder of the unpacked npm package kokoro-js")
    parser.add_argument("--again", action="store_true", help="speak every clip anew")
    parser.add_argument("--manifest-only", action="store_true", help="write the manifest, speak nothing")
    options = parser.parse_args()
    if options.manifest_only:
        write_manifest(read_lines())
        return
    cache = platformdirs.user_cache_path("kitchen-assistant") / "synthesis"
    try:
        make(read_lines(), Speaker(options.styles, cache), options.again)
    except (ValueError, OSError) as fault:
        sys.exit(f"clips not made: {fault}")


if __name__ == "__main__":
    main()
