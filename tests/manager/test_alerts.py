"""Alerts: told once, and again when it got worse, through a real mail server, web server and command."""

from __future__ import annotations

import json
import socket
import sys
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from email import message_from_bytes, policy
from email.message import EmailMessage
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from typing import Any

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session

from assistant.dialogue.judge import judge_reading
from assistant.dialogue.record import drafts_for
from assistant.logbook import Draft, Logbook, SetClock
from assistant.logbook.listening import Listening, note_listening, read_listening
from assistant.manager.alerts import Alert, alerts_of
from assistant.manager.desk import LocalDesk
from assistant.manager.messenger import AGAIN, Messenger
from assistant.manager.night_shift import NightShift
from assistant.manager.proof import Proof
from assistant.site import Site, load_site
from intents.readings import Reading

ROUND = {"id": "line check", "name": "line check", "places": ["walk-in", "reach-in"], "due": ["10:30"]}


class MailBox:
    """What a mail server took in."""

    def __init__(self) -> None:
        self.messages: list[tuple[list[str], EmailMessage]] = []

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:  # noqa: N802
        """Take a message."""
        content = envelope.content
        assert isinstance(content, bytes)
        self.messages.append((envelope.rcpt_tos, message_from_bytes(content, policy=policy.default)))  # type: ignore[arg-type]
        return "250 taken"


@pytest.fixture
def mail() -> Iterator[tuple[str, MailBox]]:
    """A mail server on this machine: its address and its box."""
    box = MailBox()
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    server = Controller(box, hostname="127.0.0.1", port=port)
    server.start()
    yield f"127.0.0.1:{port}", box
    server.stop()


@dataclass
class Web:
    """A web server on this machine: what it got, and what it answers."""

    url: str = ""
    got: list[dict[str, Any]] = field(default_factory=list)
    answer: int = 204


@pytest.fixture
def web() -> Iterator[Web]:
    """Start a web server and stop it."""
    kept = Web()

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            kept.got.append(json.loads(self.rfile.read(int(self.headers["Content-Length"]))))
            self.send_response(kept.answer)
            self.end_headers()

        def log_message(self, *words: object) -> None:
            pass

    server = HTTPServer(("127.0.0.1", 0), Handler)
    kept.url = f"http://127.0.0.1:{server.server_port}/alerts"
    thread = threading.Thread(target=server.serve_forever, args=(0.05,))
    thread.start()
    yield kept
    server.shutdown()
    thread.join()
    server.server_close()


def told_by(site: Site, **alerts: Any) -> Site:
    """Return a kitchen that has alerts and one round with a time."""
    return Site.model_validate({**site.model_dump(), "rounds": [ROUND], "alerts": alerts})


@pytest.fixture
def log(tmp_path: Path, now: SetClock) -> Iterator[Logbook]:
    """A log in which a cooler failed at nine on Sunday; Saturday worked and was not signed."""
    now.time = datetime(2026, 2, 28, 12, 0, tzinfo=now.time.tzinfo)
    with Logbook.open(tmp_path / "log", site="k", clock=now) as log:
        log.append(Draft(kind="note", subject="walk-in", note="door is sticky"))
        now.time += timedelta(hours=21)
        fail(log, "line cooler 1", "49")
        yield log


def fail(log: Logbook, place: str, value: str) -> None:
    """Log a failed reading as the assistant judges it, with its action."""
    from decimal import Decimal

    site = load_site()
    reading = Reading(place, "equipment", Decimal(value), "temperature", "", "")
    drafts = drafts_for([judge_reading(reading, site)], site)
    assert any(draft.kind == "action_opened" for draft in drafts)
    log.append(drafts)


def found(log: Logbook, site: Site, now: datetime, listening: Listening | None = None) -> dict[str, Alert]:
    """Return what waits too long, by key."""
    every = alerts_of(log.views, site, now, faults={"check": "", "night": ""}, listening=listening)
    return {each.key: each for each in every}


def test_an_action_is_told_after_its_time_and_again_when_it_got_worse(log: Logbook, site: Site) -> None:
    """Two hours: nothing before; then its level rises when the age doubles, and when more are open."""
    site, nine = told_by(site, action_open_minutes=120), log.clock.now()
    assert "action line cooler 1" not in found(log, site, nine + timedelta(minutes=119))
    first = found(log, site, nine + timedelta(minutes=125))["action line cooler 1"]
    assert "Line cooler 1: a corrective action is open, since 2 h 5 min" in first.text
    same = found(log, site, nine + timedelta(minutes=180))["action line cooler 1"]
    later = found(log, site, nine + timedelta(minutes=245))["action line cooler 1"]
    assert first.level == same.level < later.level


def test_an_overdue_round_an_unsigned_day_and_no_microphone(log: Logbook, site: Site) -> None:
    """The round half an hour after 10:30, the day at noon, the microphone after ten minutes."""
    site, nine = told_by(site), log.clock.now()
    assert set(found(log, site, nine + timedelta(hours=1.9))) == set()
    at_eleven = found(log, site, nine + timedelta(minutes=121))
    (overdue,) = [each for key, each in at_eleven.items() if key.startswith("round")]
    assert overdue.text == "Line check was due by 10:30 am; not read yet: walk-in, reach-in."
    at_noon = found(log, site, nine + timedelta(hours=3, minutes=1))
    assert at_noon["unsigned days"].text == "A day is not signed off: 2026-02-28."
    gone = Listening("no microphone", nine, nine)
    assert "microphone" not in found(log, site, nine + timedelta(minutes=9), gone)
    assert (
        "no microphone since 9:00 am"
        in found(log, site, nine + timedelta(minutes=11), gone)["microphone"].text
    )
    quiet = Listening("listening", nine, nine)
    assert "no sign of life" in found(log, site, nine + timedelta(minutes=11), quiet)["microphone"].text
    assert "microphone" not in found(log, site, nine + timedelta(days=1), Listening("stopped", nine, nine))


def test_nothing_is_due_on_a_closed_day(log: Logbook, site: Site) -> None:
    """1 March 2026 is a Sunday (any calendar)."""
    site = told_by(site)
    closed = site.model_copy(
        update={"kitchen": site.kitchen.model_copy(update={"closed_weekdays": ("sunday",)})}
    )
    noon = log.clock.now() + timedelta(hours=3)
    assert any(key.startswith("round") for key in found(log, site, noon))
    assert not any(key.startswith("round") for key in found(log, closed, noon))


def test_mail_and_web_address_get_each_alert_once(
    log: Logbook, site: Site, tmp_path: Path, mail: tuple[str, MailBox], web: Web, now: SetClock
) -> None:
    """Through the page's own minute: once, not again after a restart, again when worse; anew once mended."""
    relay, box = mail
    site = told_by(
        site, mail_to=["manager@kitchen.test", "owner@kitchen.test"], mail_from="pass@kitchen.test",
        mail_relay=relay, webhook=web.url, action_open_minutes=60, round_late_minutes=1440, sign_by="23:59",
    )  # fmt: skip
    desk = LocalDesk(tmp_path / "log", site, now)

    def minute(minutes: float) -> None:
        now.time += timedelta(minutes=minutes)
        NightShift(desk, Proof(desk)).look(now.now())  # a new one each time: as after a restart

    minute(30)
    assert (box.messages, web.got) == ([], [])
    minute(35)
    minute(1)
    ((to, message),) = box.messages
    assert to == ["manager@kitchen.test", "owner@kitchen.test"]
    assert message["From"] == "pass@kitchen.test"
    assert message["Subject"].endswith("one thing waits")
    assert "Line cooler 1: a corrective action is open, since 1 h 5 min" in message.get_content()
    assert [each["key"] for each in web.got[0]["alerts"]] == ["action line cooler 1"]
    minute(70)
    assert (len(box.messages), len(web.got)) == (2, 2)
    log.append(Draft(kind="action_closed", subject="line cooler 1", refers_to=3, note="mended"))
    minute(1)
    fail(log, "line cooler 1", "50")
    minute(61)
    assert (len(box.messages), len(web.got)) == (3, 3)


def test_a_way_that_fails_is_told_on_the_page_and_tried_again(
    site: Site, tmp_path: Path, mail: tuple[str, MailBox], web: Web, now: SetClock
) -> None:
    """The web server is ill: mail goes once, the web address is tried after ten minutes and then gets it."""
    relay, box = mail
    site = told_by(site, mail_to=["a@kitchen.test"], mail_relay=relay, webhook=web.url)
    alerts, at = [Alert("check", 1, "The log does not check out.")], now.now()
    messenger = Messenger(tmp_path)
    web.answer = 500
    messenger.look(alerts, site, at)
    assert messenger.fault == "An alert could not be sent (web address: it answered 500)."
    web.answer = 204
    messenger.look(alerts, site, at + timedelta(minutes=1))
    assert len(web.got) == 1
    assert messenger.fault
    messenger.look(alerts, site, at + AGAIN)
    messenger.look(alerts, site, at + 2 * AGAIN)
    assert (len(box.messages), len(web.got), messenger.fault) == (1, 2, "")


def test_a_command_gets_the_text_on_its_standard_input(site: Site, tmp_path: Path, now: SetClock) -> None:
    """No shell in between: what somebody said cannot become a command."""
    out = tmp_path / "out.txt"
    script = "import sys; open(sys.argv[1], 'a').write(sys.stdin.read())"
    site = told_by(site, command=[sys.executable, "-c", script, str(out)])
    messenger = Messenger(tmp_path)
    messenger.look([Alert("a", 1, "the $(touch x); `soup`")], site, now.now())
    assert out.read_text(encoding="utf-8").endswith("the $(touch x); `soup`\n")
    broken = told_by(site, command=[sys.executable, "-c", "raise SystemExit(3)"])
    assert messenger.try_out(broken, now.now()) == "It could not be sent (command: it ended with 3)."


def test_no_server_is_a_sentence(site: Site, tmp_path: Path, now: SetClock) -> None:
    """Nobody answers at that port."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
    site = told_by(site, mail_to=["a@kitchen.test"], mail_relay=f"127.0.0.1:{port}")
    assert "could not be sent (mail: " in Messenger(tmp_path).try_out(site, now.now())


def test_the_sign_of_life_is_read_back(tmp_path: Path, now: SetClock) -> None:
    """What the assistant writes, the page reads; a spoiled file is as none."""
    assert read_listening(tmp_path) is None
    note_listening(tmp_path, "no microphone", now.now(), now.now() + timedelta(minutes=1))
    assert read_listening(tmp_path) == Listening("no microphone", now.now(), now.now() + timedelta(minutes=1))
    (tmp_path / "listening.json").write_text("{}")
    assert read_listening(tmp_path) is None
