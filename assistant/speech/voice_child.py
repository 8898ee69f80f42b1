"""The parent's end of the voice process: start it, ask it with a time-out, kill it."""

from __future__ import annotations

import json
import queue
import subprocess
import threading
from pathlib import Path
from typing import IO

from assistant.audio.child import child_command


class VoiceChild:
    """One run of ``voice_process``; answers are read by a thread so that every wait can time out."""

    def __init__(self, library: str, folder: Path, voice: tuple[str, str, int]) -> None:
        self.sentences = 0
        self._process = subprocess.Popen(
            child_command("assistant.speech.voice_process", library, str(folder), json.dumps(voice)),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
        )
        self._answers: queue.SimpleQueue[str] = queue.SimpleQueue()
        assert self._process.stdout is not None
        self._reader = threading.Thread(
            target=_pass_on, daemon=True, args=(self._process.stdout, self._answers)
        )
        self._reader.start()

    @property
    def pid(self) -> int:
        """The process' number."""
        return self._process.pid

    def ask(self, request: dict[str, object], timeout_s: float) -> str:
        """Send a request; return an empty string, or what went wrong."""
        assert self._process.stdin is not None
        self.sentences += 1
        try:
            self._process.stdin.write(json.dumps(request) + "\n")
            self._process.stdin.flush()
        except OSError:
            return "its process ended"
        return self.answer(timeout_s)

    def answer(self, timeout_s: float) -> str:
        """Wait for the answer to the last request; an empty string means that all is well."""
        try:
            line = self._answers.get(timeout=timeout_s)
        except queue.Empty:
            return f"no answer within {timeout_s:.0f} seconds"
        if not line:
            return "its process ended"
        answer = json.loads(line)
        return "" if answer["ok"] else str(answer["why"])

    def end(self) -> None:
        """Kill the process, whatever it does."""
        self._process.kill()
        self._process.wait()
        self._reader.join()
        for pipe in (self._process.stdin, self._process.stdout):
            if pipe is not None:
                try:
                    pipe.close()
                except OSError:  # unsent words for a process that is gone
                    continue


def _pass_on(lines: IO[str], answers: queue.SimpleQueue[str]) -> None:
    for line in lines:
        answers.put(line)
    answers.put("")
