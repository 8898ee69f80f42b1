"""Clips, heads noted outside, and the report itself."""

from __future__ import annotations

import os

import numpy as np
import pytest

from assistant.errors import InputError
from assistant.logbook import Clip, Draft, Head, Logbook
from assistant.logbook.anchors import anchors_from
from assistant.logbook.canonical import FIRST_HASH, digest
from assistant.logbook.chain import Chain, Fault
from assistant.logbook.verify import verify


@pytest.fixture
def spoken(log: Logbook, passed: Draft) -> Logbook:
    """Three readings with a clip each."""
    for number in range(3):
        clip = log.keep_clip(np.full(400, number, np.int16), 16000)
        log.append(passed.model_copy(update={"clip": clip}))
    return log


def clip_of(log: Logbook, number: int) -> bytes:
    """The path of an entry's clip, as bytes of its name."""
    entry = next(log.views.entries(number))
    assert entry.clip is not None
    return bytes(log.clip_path(entry.clip))


def test_whole_clips_are_counted(spoken: Logbook) -> None:
    """All three were read."""
    report = verify(spoken.folder)
    assert (report.ok, report.checked, report.clips) == (True, 3, 3)


def test_a_changed_clip_is_named(spoken: Logbook) -> None:
    """One byte is enough."""
    path = clip_of(spoken, 2)
    with open(path, "r+b") as file:
        file.seek(-1, 2)
        last = file.read(1)
        file.seek(-1, 2)
        file.write(bytes([last[0] ^ 1]))
    first = verify(spoken.folder).first
    assert first is not None
    assert (first.entry, "clip of entry 2 was changed" in first.text) == (2, True)


def test_a_missing_clip_is_named(spoken: Logbook) -> None:
    """Somebody removed a file."""
    os.unlink(clip_of(spoken, 3))
    first = verify(spoken.folder).first
    assert first is not None
    assert (first.entry, "missing" in first.text) == (3, True)


def test_exchanged_clips_are_found(spoken: Logbook) -> None:
    """Each is whole, but at the wrong entry."""
    one, two = clip_of(spoken, 1), clip_of(spoken, 2)
    os.rename(one, one + b".x")
    os.rename(two, one)
    os.rename(one + b".x", two)
    assert [fault.entry for fault in verify(spoken.folder).faults] == [1, 2]


def test_a_clip_without_an_entry_is_no_fault(spoken: Logbook) -> None:
    """The power went between clip and entry."""
    spoken.keep_clip(np.zeros(100, np.int16), 8000)
    assert verify(spoken.folder).ok


def test_clips_can_be_left_out(spoken: Logbook) -> None:
    """For a quick look at the chain alone."""
    assert verify(spoken.folder, clips=False).clips == 0


def test_older_heads_hold_for_a_log_that_went_on(spoken: Logbook, passed: Draft) -> None:
    """A head printed last week is still on the way."""
    noted = spoken.views.head()
    spoken.append(passed)
    assert verify(spoken.folder, [noted, spoken.views.head(), Head(0, "0" * 64)]).ok


def test_a_head_beyond_the_end_shows_a_cut(spoken: Logbook) -> None:
    """The log ends earlier than the paper says."""
    first = verify(spoken.folder, [Head(5, "a" * 64)]).first
    assert first is not None
    assert "cut: it ends at entry 3" in first.text


def test_a_head_of_another_log_is_a_fault(spoken: Logbook) -> None:
    """Same number, other hash."""
    first = verify(spoken.folder, [Head(2, "a" * 64)]).first
    assert first is not None
    assert first.entry == 2


def test_a_head_reads_back_as_written() -> None:
    """As printed on a report."""
    head = Head(1204, "ab" * 32)
    assert Head.parse(f" {head}\n") == head


def test_a_short_head_from_a_footer_is_held_against_the_log(spoken: Logbook) -> None:
    """As the foot of a page shows it, or as somebody read it out."""
    head = spoken.views.head()
    assert verify(spoken.folder, anchors_from(head.short)).ok
    assert verify(spoken.folder, anchors_from(f"{head.count}:{head.hash[:4]} {head.hash[4:8]}")).ok
    wrong = verify(spoken.folder, anchors_from(f"{head.count}:{'ab' * 8}…")).first
    assert wrong is not None
    assert "is not the one whose head was noted outside" in wrong.text


@pytest.mark.parametrize("text", ["", "12", "12:abc", "x:" + "a" * 64, "-1:" + "a" * 64, "1:" + "g" * 64])
def test_what_is_no_head_is_refused(text: str) -> None:
    """One clear sentence."""
    with pytest.raises(InputError, match="chain head"):
        Head.parse(text)


def test_two_different_heads_for_one_number_are_a_fault(spoken: Logbook) -> None:
    """One of the two papers is not of this log, whichever is right."""
    head = spoken.views.head()
    faults = verify(spoken.folder, [Head(head.count, "a" * 64), head]).faults
    assert "two different heads were noted for 3 entries" in [fault.text for fault in faults]


def test_a_clip_path_out_of_the_folder_is_a_fault(log: Logbook) -> None:
    """Nothing outside is even read."""
    log.append(Draft(kind="note", subject="note", clip=Clip(path="../../etc/passwd", sha256="0" * 64)))
    first = verify(log.folder).first
    assert first is not None
    assert "leaves the clips folder" in first.text


def test_text_that_is_no_entry_is_a_fault() -> None:
    """Rightly hashed, but not what this program writes."""
    body = b'{"id":1,"nonsense":true}'
    found = Chain().follow(1, FIRST_HASH, digest(body), body)
    assert isinstance(found, Fault)
    assert "no entry of this log" in found.text


def test_progress_is_told(spoken: Logbook) -> None:
    """For a long log on a slow machine."""
    told: list[int] = []
    verify(spoken.folder, progress=told.append)
    assert told == [3]


def test_many_faults_are_cut_short(log: Logbook) -> None:
    """Twenty are enough to see."""
    log.append(
        Draft(kind="note", subject="note", clip=Clip(path=f"day-{number}/gone.flac", sha256="0" * 64))
        for number in range(30)
    )
    assert len(verify(log.folder).faults) == 20


def test_where_there_is_no_log_it_says_so(tmp_path: object) -> None:
    """Not a report of a clean empty log."""
    with pytest.raises(InputError, match="there is no log"):
        verify(f"{tmp_path}/nowhere")
