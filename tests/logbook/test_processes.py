"""Real processes on one log: killed at any instant, two at a time, several threads."""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from itertools import pairwise
from pathlib import Path

import pytest

from assistant.logbook import Draft, Logbook, open_views
from assistant.logbook.database import FILE_NAME
from assistant.logbook.verify import verify

KILLS = 300

WRITER = """
import sys
import numpy as np
from assistant.logbook import Draft, Logbook

def write(folder, name, turns):
    with Logbook.open(folder) as log:
        for turn in range(turns):
            clip = log.keep_clip(np.full(200, turn, np.int16), 16000) if turn % 5 == 0 else None
            first, second = log.append(
                Draft(kind="reading", subject="walk-in", words=f"{name} {turn} {part}", clip=clip)
                for part in ("first", "second")
            )
            sys.stdout.write(f"{first.id} {name} {turn}\\n")  # only what is committed is acknowledged
            sys.stdout.flush()
"""

KILLER = """
import os, random, signal, time
random.seed(7)
began = time.monotonic()
if (child := os.fork()) == 0:
    write(sys.argv[1], "measure", 1)
    sys.exit()
os.waitpid(child, 0)
enough = max(0.1, time.monotonic() - began)  # a slow machine's writers get time to write, too
for round in range(int(sys.argv[2])):
    child = os.fork()
    if child == 0:
        write(sys.argv[1], f"writer{round}", 10**6)
    time.sleep(random.uniform(0, enough))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
"""


def acknowledged(output: str) -> dict[int, str]:
    """The number of each turn's first entry, with the words that it was acknowledged for.

    A last line that the kill cut in half is no acknowledgement.
    """
    lines = [line.split() for line in output.splitlines(keepends=True) if line.endswith("\n")]
    return {int(number): f"{name} {turn}" for number, name, turn in lines}


def check(folder: Path, turns: dict[int, str]) -> int:
    """All that was acknowledged is there as it was, no turn is half there; return the entries' number."""
    report = verify(folder)
    assert report.faults == ()
    with open_views(folder) as views:
        words = {entry.id: entry.words for entry in views.entries() if entry.kind == "reading"}
    assert all(words[number] == f"{said} first" for number, said in turns.items())
    assert all(words[number + 1] == f"{said} second" for number, said in turns.items())
    halves = [tuple(text.rsplit(" ", 1)) for text in words.values()]
    assert all(one[0] == two[0] for one, two in list(pairwise(halves))[::2])
    assert [half[1] for half in halves] == ["first", "second"] * (len(halves) // 2)
    return len(halves)


@pytest.mark.skipif(sys.platform == "win32", reason="needs fork and SIGKILL")
def test_no_acknowledged_entry_is_lost_however_the_writer_is_killed(on_disk: Path) -> None:
    """Hundreds of writers, each killed at a random instant of opening, keeping a clip or committing."""
    done = subprocess.run(
        [sys.executable, "-c", WRITER + KILLER, str(on_disk), str(KILLS)], capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    turns = acknowledged(done.stdout)
    assert len({said.split()[0] for said in turns.values()}) > KILLS / 10, "too few writers got to write"
    assert check(on_disk, turns) >= 2 * len(turns)


def test_two_programs_at_once_keep_one_chain(on_disk: Path) -> None:
    """Both acknowledge all their turns; the chain holds them all."""
    command = [sys.executable, "-c", WRITER + "write(sys.argv[1], sys.argv[2], 25)", str(on_disk)]
    both = [subprocess.Popen([*command, name], stdout=subprocess.PIPE, text=True) for name in ("one", "two")]
    turns: dict[int, str] = {}
    for program in both:
        turns |= acknowledged(program.communicate()[0])
        assert program.returncode == 0
    assert len(turns) == 50
    assert check(on_disk, turns) == 100


def test_threads_share_one_log(log: Logbook) -> None:
    """Turns do not mix."""
    with ThreadPoolExecutor(4) as pool:
        both = [Draft(kind="note", subject="note"), Draft(kind="note", subject="note", refers_to=-1)]
        turns = list(pool.map(lambda _: log.append(both), range(20)))
    assert all(second.refers_to == first.id == second.id - 1 for first, second in turns)
    assert verify(log.folder).head.count == 40


def test_a_reader_sees_the_log_while_it_is_written(log: Logbook, passed: Draft) -> None:
    """The page reads beside the assistant."""
    log.append(passed)
    with open_views(log.folder) as views:
        assert views.count() == 1
        log.append(passed)
        assert views.count() == 2


def test_a_reader_mends_what_a_dead_writer_left(log: Logbook, passed: Draft, tmp_path: Path) -> None:
    """Pages of an unfinished turn are in the file, and its journal beside it: the power went just then."""
    log.append(passed)
    with closing(sqlite3.connect(log.folder / FILE_NAME, isolation_level=None)) as dying:
        dying.execute("PRAGMA cache_size = 1")
        dying.execute("BEGIN")
        dying.execute("UPDATE standing SET person = ?", ["x" * 9000])
        dying.execute("CREATE TABLE unfinished (text TEXT)")
        dying.executemany("INSERT INTO unfinished VALUES (?)", [["y" * 500]] * 2000)
        shutil.copytree(log.folder, tmp_path / "after")
    assert (tmp_path / "after" / (FILE_NAME + "-journal")).stat().st_size > 0
    with open_views(tmp_path / "after") as views:
        assert views.lines().lines[0].now.person == "Dana"
    assert verify(tmp_path / "after").ok
