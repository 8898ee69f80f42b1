"""Carries alerts away from the page: a command, mail through a relay, a web address; each once."""

from __future__ import annotations

import json
import smtplib
import subprocess
import urllib.error
import urllib.request
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from email.message import EmailMessage
from email.utils import format_datetime
from pathlib import Path

from assistant.errors import KitchenError
from assistant.logbook.clips import write_whole
from assistant.logbook.troubles import explained
from assistant.manager.alerts import Alert
from assistant.site import Alerts, Site

FILE_NAME = "alerts.json"
SECONDS = 20.0
"""So long a command, a mail server or a web server may take."""
AGAIN = timedelta(minutes=10)
"""After a failure it is tried again so much later."""
Way = Callable[[str, str, Sequence[Alert], datetime], None]


class Messenger:
    """Remembers in the log's folder what was told where, so that a restart tells nothing twice."""

    def __init__(self, folder: Path) -> None:
        """``folder`` is that of the log."""
        self._path = folder / FILE_NAME
        self._failed: dict[str, datetime] = {}
        self.fault = ""

    def look(self, alerts: Sequence[Alert], site: Site, now: datetime) -> None:
        """Tell what is new or worse, by every way that is set up; what is over may be told anew later."""
        told = self._told()
        kept: dict[str, dict[str, int]] = {}
        faults = []
        for name, way in ways(site.alerts).items():
            before = {each.key: told.get(name, {}).get(each.key, 0) for each in alerts}
            fresh = [each for each in alerts if each.level > before[each.key]]
            kept[name] = {key: level for key, level in before.items() if level}
            if not fresh or now - self._failed.get(name, now - AGAIN) < AGAIN:
                faults += [self.fault] if fresh and self.fault else []
                continue
            try:
                way(site.kitchen.name, subject_of(site, fresh), fresh, now)
            except (OSError, ValueError, smtplib.SMTPException, subprocess.SubprocessError) as error:
                self._failed[name] = now
                faults.append(f"An alert could not be sent ({name}: {_reason(error)}).")
                continue
            self._failed.pop(name, None)
            kept[name] |= {each.key: each.level for each in fresh}
        self.fault = faults[0] if faults else ""
        if kept != told:
            self._keep(kept)

    def try_out(self, site: Site, now: datetime) -> str:
        """Send a message by every way at once; return what went wrong in a sentence ('' if nothing)."""
        alert = Alert("test", 1, "This is a test: alerts from this kitchen arrive here.")
        for name, way in ways(site.alerts).items():
            try:
                way(site.kitchen.name, subject_of(site, [alert]), [alert], now)
            except (OSError, ValueError, smtplib.SMTPException, subprocess.SubprocessError) as error:
                return f"It could not be sent ({name}: {_reason(error)})."
        return ""

    def _told(self) -> dict[str, dict[str, int]]:
        try:
            found = json.loads(self._path.read_text(encoding="utf-8"))
            return {name: {key: int(level) for key, level in each.items()} for name, each in found.items()}
        except (OSError, ValueError, AttributeError, TypeError):
            return {}

    def _keep(self, told: Mapping[str, Mapping[str, int]]) -> None:
        try:
            with explained(self._path):
                write_whole(self._path, json.dumps(told, ensure_ascii=False, indent=1).encode("utf-8"))
        except KitchenError as error:
            self.fault = f"What was told cannot be noted, so it may be told twice: {error}"


def ways(alerts: Alerts) -> dict[str, Way]:
    """Return the ways that are set up, by name."""
    found: dict[str, Way] = {}
    if alerts.command:
        found["command"] = lambda kitchen, subject, told, now: _run(alerts, subject, told)
    if alerts.mail_to:
        found["mail"] = lambda kitchen, subject, told, now: _mail(alerts, subject, told, now)
    if alerts.webhook:
        found["web address"] = lambda kitchen, subject, told, now: _post(alerts, kitchen, told, now)
    return found


def subject_of(site: Site, alerts: Sequence[Alert]) -> str:
    """Return one line over a message."""
    things = "one thing waits" if len(alerts) == 1 else f"{len(alerts)} things wait"
    return f"{' '.join(site.kitchen.name.split())}: {things}"


def _text(alerts: Sequence[Alert]) -> str:
    return "\n".join(each.text for each in alerts) + "\n"


def _run(alerts: Alerts, subject: str, told: Sequence[Alert]) -> None:
    done = subprocess.run(
        alerts.command,
        input=f"{subject}\n\n{_text(told)}".encode(),
        capture_output=True,
        timeout=SECONDS,
        check=False,
    )
    if done.returncode:
        raise OSError(f"it ended with {done.returncode}")


def _mail(alerts: Alerts, subject: str, told: Sequence[Alert], now: datetime) -> None:
    host, _, port = alerts.mail_relay.partition(":")
    message = EmailMessage()
    message["Subject"] = subject
    message["From"] = alerts.mail_from or f"kitchen@{host}"
    message["To"] = ", ".join(alerts.mail_to)
    message["Date"] = format_datetime(now)
    message.set_content(_text(told))
    with smtplib.SMTP(host, int(port or 25), timeout=SECONDS) as relay:
        refused = relay.send_message(message)
    if refused:
        raise OSError(f"refused for {', '.join(refused)}")


def _post(alerts: Alerts, kitchen: str, told: Sequence[Alert], now: datetime) -> None:
    body = {
        "kitchen": kitchen, "at": now.isoformat(timespec="seconds"),
        "alerts": [{"key": each.key, "level": each.level, "text": each.text} for each in told],
    }  # fmt: skip
    request = urllib.request.Request(
        alerts.webhook, json.dumps(body, ensure_ascii=False).encode("utf-8"),
        {"Content-Type": "application/json; charset=utf-8"}, method="POST",
    )  # fmt: skip
    try:
        with urllib.request.urlopen(request, timeout=SECONDS) as answer:
            code = answer.status
    except urllib.error.HTTPError as refused:
        refused.close()
        code = refused.code
    if code >= 300:
        raise OSError(f"it answered {code}")


def _reason(error: Exception) -> str:
    if isinstance(error, subprocess.TimeoutExpired):
        return "it took too long"
    return str(getattr(error, "strerror", None) or getattr(error, "reason", None) or error)[:200]
