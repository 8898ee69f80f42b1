"""Many kitchens in PostgreSQL: the same views, sending that can be repeated, arrival that checks."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
import psycopg
import pytest

from assistant.errors import InputError, LogWriteError
from assistant.logbook import Draft, Filter, Head, Logbook, SetClock, Views
from assistant.logbook import sending as sending_module
from assistant.logbook.postgres import Office
from assistant.logbook.sending import send
from assistant.logbook.verify import verify_source

pytestmark = pytest.mark.postgres
MONDAY = date(2026, 3, 2)


@pytest.fixture
def kitchen(log: Logbook, clock: SetClock, failed: Draft, opened: Draft, passed: Draft) -> Logbook:
    """Two days with every way of changing how an entry stands."""
    log.append([failed, opened])
    log.append(Draft(kind="not_taken", subject="hot well", note="no thermometer"))
    log.append(passed)
    log.append(Draft(kind="withdrawal", subject="walk-in", refers_to=4))
    clock.move(days=1)
    log.append([failed.model_copy(update={"subject": "reach-in", "person": "Sam"}), opened])
    log.append(Draft(kind="correction", subject="reach-in", refers_to=6, value="39", verdict="pass"))
    log.append(Draft(kind="action_closed", subject="walk-in", refers_to=2, person="Lee"))
    log.append(Draft(kind="review", subject="day", person="Lee"))
    return log


@pytest.fixture
def office(kitchen: Logbook, office_url: str) -> Iterator[Office]:
    """The office with that kitchen's entries."""
    send(kitchen.folder, office_url)
    with Office.open(office_url) as opened:
        yield opened


FILTERS = (
    Filter(), Filter.on(MONDAY), Filter.week_of(MONDAY), Filter(failed=True), Filter(open=True),
    Filter(person="Sam"), Filter(subject="walk-in"), Filter(kinds=("reading", "review")),
    Filter(amendments=True), Filter(standing_only=True), Filter(site="Pine Street"), Filter(site="none"),
    Filter(since=datetime(2026, 3, 3, tzinfo=UTC)), Filter(until=datetime(2026, 3, 3, tzinfo=UTC)),
)  # fmt: skip


def test_the_office_sees_what_the_kitchen_sees(kitchen: Logbook, office: Office) -> None:
    """The same lines and counts from either database, whatever is asked for."""
    for wanted in FILTERS:
        assert list(office.views().each(wanted)) == list(kitchen.views.each(wanted)), wanted
        assert office.views().count(wanted) == kitchen.views.count(wanted), wanted


@pytest.mark.parametrize("newest_first", [False, True])
def test_pages_are_the_same(kitchen: Logbook, office: Office, newest_first: bool) -> None:
    """Two lines, and what comes after them."""
    here, there = kitchen.views, office.views()
    first = here.lines(limit=2, newest_first=newest_first)
    assert there.lines(limit=2, newest_first=newest_first) == first
    rest = here.lines(after=first.next, newest_first=newest_first)
    assert there.lines(after=first.next, newest_first=newest_first) == rest


def test_days_choices_and_heads_agree(kitchen: Logbook, office: Office) -> None:
    """The rest of the views."""
    here, there = kitchen.views, office.views("Pine Street")
    for day in (MONDAY, MONDAY + timedelta(days=1)):
        assert there.day(day) == here.day(day)
    for column in ("subject", "person", "kind", "day"):
        assert there.values_of(column) == here.values_of(column)
    assert there.head() == here.head() == office.sites()[0].head
    assert list(there.entries()) == list(here.entries())
    assert there.line(6) == here.line(6)


def test_sending_again_sends_only_what_is_new(kitchen: Logbook, office_url: str) -> None:
    """Nothing twice, and the derived table goes on where it was."""
    assert send(kitchen.folder, office_url).entries == 10
    assert send(kitchen.folder, office_url).entries == 0
    kitchen.append(Draft(kind="withdrawal", subject="walk-in", refers_to=9))
    sent = send(kitchen.folder, office_url)
    assert (sent.entries, sent.head) == (1, kitchen.views.head())
    with Office.open(office_url) as office:
        assert office.views().open_actions() == kitchen.views.open_actions() != ()


def test_a_broken_line_is_taken_up_again(
    kitchen: Logbook, office_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Batches of three; the line breaks after the second."""
    monkeypatch.setattr(sending_module, "BATCH", 3)

    def breaks(sent: int) -> None:
        if sent == 6:
            raise LogWriteError("the line broke")

    with pytest.raises(LogWriteError):
        send(kitchen.folder, office_url, progress=breaks, tries=1)
    assert send(kitchen.folder, office_url).entries == 4
    with Office.open(office_url) as office:
        assert verify_source(office, "Pine Street", [kitchen.views.head()]).faults == ()
        assert list(office.views().each()) == list(kitchen.views.each())


def test_an_altered_entry_is_not_taken(kitchen: Logbook, office_url: str) -> None:
    """Refused on arrival, with its number; nothing of the batch is kept."""
    stored = [
        (entry.id, entry.previous_hash, entry.hash, body)
        for entry, (body, _) in zip(kitchen.views.entries(), kitchen.views.stored(), strict=True)
    ]
    number, previous, entry_hash, body = stored[4]
    stored[4] = (number, previous, entry_hash, body.replace(b"walk-in", b"walk-on"))
    with Office.open(office_url) as office:
        with pytest.raises(InputError, match="not taken further: entry 5 was changed"):
            office.receive("Pine Street", stored)
        assert office.head("Pine Street") == Head(0, "0" * 64)
        assert office.views().count() == 0


def test_a_kitchen_with_anothers_name_is_refused(
    kitchen: Logbook, office_url: str, tmp_path: Path, clock: SetClock
) -> None:
    """Two histories under one name do not mix."""
    send(kitchen.folder, office_url)
    with Logbook.open(tmp_path / "other", site="Pine Street", clock=clock) as other:
        other.append([Draft(kind="note", subject="note")] * 20)
        with pytest.raises(InputError, match="another history of 'Pine Street'"):
            send(other.folder, office_url)


def test_kitchens_stay_apart(kitchen: Logbook, office_url: str, tmp_path: Path, passed: Draft) -> None:
    """Same numbers, other sites; the office sees both, or one."""
    send(kitchen.folder, office_url)
    with Logbook.open(tmp_path / "other", site="Harbour", clock=kitchen.clock) as other:
        other.append([passed, passed])
        send(other.folder, office_url)
    with Office.open(office_url) as office:
        assert [(each.site, each.head.count) for each in office.sites()] == [
            ("Harbour", 2),
            ("Pine Street", 10),
        ]
        assert office.views().count() == kitchen.views.count() + 2
        assert [line.site for line in office.views("Harbour").each()] == ["Harbour"] * 2
        assert office.views().count(Filter(site="Harbour")) == 2


def test_clips_are_sent_when_asked_also_later(log: Logbook, office_url: str, passed: Draft) -> None:
    """Entries first, clips with a later run; then nothing twice."""
    clip = log.keep_clip(np.zeros(400, np.int16), 16000)
    log.append(passed.model_copy(update={"clip": clip}))
    assert send(log.folder, office_url).clips == 0
    assert send(log.folder, office_url, clips=True).clips == 1
    assert send(log.folder, office_url, clips=True).clips == 0
    with Office.open(office_url) as office:
        assert office.clip("Pine Street", clip.path) == log.clip_path(clip).read_bytes()
        assert office.clip("Pine Street", "none") is None


def test_an_empty_log_sends_nothing(log: Logbook, office_url: str) -> None:
    """And says so."""
    assert send(log.folder, office_url).entries == 0


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entries SET hash = hash", "DELETE FROM entries WHERE id = 10", "TRUNCATE entries",
        "INSERT INTO entries SELECT site, 99, previous_hash, hash, body FROM entries WHERE id = 10",
    ],
)  # fmt: skip
def test_the_database_refuses_change(office: Office, statement: str) -> None:
    """By triggers, TRUNCATE included."""
    with pytest.raises(InputError, match="append-only"):
        office.rows(statement)


def test_the_database_checks_each_hash(office: Office) -> None:
    """A row whose bytes do not give its hash does not get in."""
    with pytest.raises(InputError, match="does not give its hash"):
        office.rows(
            "INSERT INTO entries SELECT site, 11, hash, ?, body FROM entries WHERE id = 10", ["a" * 64]
        )


def test_tampering_by_the_owner_of_the_database_is_found(office: Office, kitchen: Logbook) -> None:
    """Triggers switched off, an entry altered with its hash, triggers on again."""
    assert verify_source(office, "Pine Street", [kitchen.views.head()]).ok
    office.rows("ALTER TABLE entries DISABLE TRIGGER USER")
    assert len(office.shape_faults()) == 3
    office.rows(
        "UPDATE entries SET body = replace(convert_from(body, 'UTF8'), '45', '35')::bytea,"
        " hash = encode(sha256(replace(convert_from(body, 'UTF8'), '45', '35')::bytea), 'hex') WHERE id = 1"
    )
    office.rows("ALTER TABLE entries ENABLE TRIGGER USER")
    first = verify_source(office, "Pine Street", [kitchen.views.head()]).first
    assert first is not None
    assert first.entry in (1, 2)


OFFICE_HELPERS = (
    "CREATE FUNCTION kinder() RETURNS trigger LANGUAGE plpgsql AS"
    " $$ BEGIN NEW.verdict = 'pass'; RETURN NEW; END $$;"
    "CREATE TRIGGER kinder BEFORE INSERT ON standing FOR EACH ROW EXECUTE FUNCTION kinder()",
    "CREATE RULE blind AS ON INSERT TO clips DO INSTEAD NOTHING",
    "ALTER TABLE standing ENABLE ROW LEVEL SECURITY",
    "DROP INDEX standing_failed; CREATE INDEX standing_failed ON standing (day, site, id)"
    " WHERE verdict = 'fail' AND withdrawn = 0 AND subject <> 'walk-in'",
    "CREATE OR REPLACE FUNCTION log_refuse_change() RETURNS trigger LANGUAGE plpgsql AS"
    " $$ BEGIN RETURN NEW; END $$",
    "ALTER TABLE entries DISABLE TRIGGER entries_no_truncate",
)


@pytest.mark.parametrize("statements", OFFICE_HELPERS, ids=lambda text: " ".join(text.split()[:3]))
def test_a_helper_in_the_offices_database_is_found(office: Office, statements: str) -> None:
    """What hides or turns an answer without touching one entry."""
    assert verify_source(office, "Pine Street").ok
    for statement in statements.split(";") if "$$" not in statements else [statements]:
        office._connection.execute(statement.encode())
    first = verify_source(office, "Pine Street").first
    assert first is not None
    assert "not built as this program builds it" in first.text


def test_a_derived_value_altered_on_arrival_is_refused(
    office: Office, kitchen: Logbook, office_url: str, failed: Draft
) -> None:
    """A trigger of somebody's that turns fails into passes: nothing is taken."""
    office._connection.execute(OFFICE_HELPERS[0].encode())
    kitchen.append(failed)
    with pytest.raises(InputError, match="altered what arrived from Pine Street at entry 11"):
        send(kitchen.folder, office_url)
    assert office.head("Pine Street").count == 10


def test_an_entry_that_can_be_read_in_two_ways_is_refused(office: Office, kitchen: Logbook) -> None:
    """The same name twice in one body: two programs would read two verdicts."""
    ((body, stored),) = kitchen.views.stored(10, first=10)
    number, twice = (
        11,
        body.replace(b'"id":10', b'"id":10,"id":11').replace(
            json.loads(body)["previous_hash"].encode(), stored.encode()
        ),
    )
    with pytest.raises(InputError, match="in two ways"):
        office.receive("Pine Street", [(number, stored, hashlib.sha256(twice).hexdigest(), twice)])


def test_what_the_office_lost_is_noticed_and_sent_again(
    kitchen: Logbook, office: Office, office_url: str
) -> None:
    """Somebody emptied the office: the kitchen knows how far it had come."""
    office.rows("ALTER TABLE entries DISABLE TRIGGER USER")
    for table in ("standing", "entries", "heads"):
        office.rows(f"DELETE FROM {table}")
    office.rows("ALTER TABLE entries ENABLE TRIGGER USER")
    sent = send(kitchen.folder, office_url)
    assert (sent.entries, sent.head.count) == (10, 10)
    assert "the office had this log up to entry 10" in sent.odd


def test_a_line_that_breaks_is_tried_again(
    kitchen: Logbook, office_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Twice broken in the middle: the third time all of it is there, and was counted once."""
    real, broken, waited = Office.receive, [1, 1], []
    monkeypatch.setattr(sending_module, "BATCH", 4)

    def receive(office: Office, site: str, batch: list[tuple[int, str, str, bytes]]) -> Head:
        head = real(office, site, batch)
        if broken:
            broken.pop()
            raise LogWriteError("the line broke")
        return head

    monkeypatch.setattr(Office, "receive", receive)
    sent = send(kitchen.folder, office_url, pause=waited.append)
    assert (sent.head.count, waited) == (10, [2.0, 4.0])


def test_a_damaged_clip_is_not_sent_and_the_right_one_replaces_a_wrong_one(
    kitchen: Logbook, office_url: str
) -> None:
    """Checked before it goes; one that the office holds damaged is sent again when asked."""
    clip = kitchen.keep_clip(np.arange(200, dtype=np.int16), 16000)
    kitchen.append(Draft(kind="note", subject="note", clip=clip))
    path = kitchen.clip_path(clip)
    whole = path.read_bytes()
    path.write_bytes(b"something else")
    sent = send(kitchen.folder, office_url, clips=True)
    assert (sent.clips, sent.clips_left_out) == (0, (clip.path,))
    path.write_bytes(whole)
    assert send(kitchen.folder, office_url, clips=True).clips == 1
    with Office.open(office_url) as office:
        office.rows("UPDATE clips SET sound = ?", [b"damaged on the disk of the office"])
        assert send(kitchen.folder, office_url, clips=True, recheck=True).clips == 1
        assert office.clip("Pine Street", clip.path) == whole


def test_two_senders_at_once_wait_for_each_other(kitchen: Logbook, office: Office, office_url: str) -> None:
    """The head row of the site is locked while entries arrive."""
    with office.atomic():
        office.rows("SELECT * FROM heads WHERE site = ? FOR UPDATE", ["Pine Street"])
        with psycopg.connect(office_url) as other, pytest.raises(psycopg.errors.LockNotAvailable):
            other.execute("SELECT * FROM heads WHERE site = 'Pine Street' FOR UPDATE NOWAIT")


def lose_line_within(office: Office, other: psycopg.Connection, end: str) -> None:
    """Begin something as a whole and lose the line in the middle."""
    with office.atomic():
        other.execute(end.encode())
        office.rows("SELECT 1")


def test_a_restarted_server_is_met_with_a_new_connection(office: Office, office_url: str) -> None:
    """The page goes on; a transaction that was under way does not."""
    end = "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE pid <> pg_backend_pid()"
    with psycopg.connect(office_url, autocommit=True) as other:
        other.execute(end)
        assert office.head("Pine Street").count == 10
        with pytest.raises(LogWriteError, match="try again later"):
            lose_line_within(office, other, end)
    assert office.views().count() > 0


def test_opening_twice_makes_the_tables_once(office_url: str) -> None:
    """Two kitchens that both come first."""
    with Office.open(office_url), Office.open(office_url) as office:
        assert office.sites() == ()
        assert office.shape_faults() == ()


@pytest.mark.parametrize(
    ("url", "error", "says"),
    [
        ("mysql://x", InputError, "begins with postgresql://"),
        ("postgresql:///x?host=/nowhere", LogWriteError, "cannot be reached"),
    ],
)
def test_a_wrong_address_says_so(url: str, error: type[Exception], says: str) -> None:
    """No traceback, nothing lost."""
    with pytest.raises(error, match=says):
        Office.open(url)


def test_views_are_the_same_class(office: Office) -> None:
    """The page needs no second set of queries."""
    assert isinstance(office.views(), Views)


def test_rows_of_an_older_version_are_named_then_made_anew(
    kitchen: Logbook, office: Office, office_url: str
) -> None:
    """A database of the first version, in which closings were told apart by other rules: no tampering."""
    assert verify_source(office, "Pine Street").by_older_rules == ()
    office.rows("ALTER TABLE heads DROP COLUMN rules")
    office.rows("UPDATE standing SET open = 1, closed_by = NULL WHERE id = 2")
    with Office.open(office_url) as updated:
        report = verify_source(updated, "Pine Street")
        assert (report.faults, report.by_older_rules) == ((), (2,))
        kitchen.append(Draft(kind="note", subject="note"))
        send(kitchen.folder, office_url)
        report = verify_source(updated, "Pine Street")
        assert (report.faults, report.by_older_rules) == ((), ())
        updated.rows("UPDATE standing SET open = 1, closed_by = NULL WHERE id = 2")
        assert not verify_source(updated, "Pine Street").ok
