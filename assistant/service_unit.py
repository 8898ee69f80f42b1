"""The file by which systemd starts the program with the machine, starts it again, and sees that it lives."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

NAME = "kitchen-assistant.service"
WATCHDOG_S = 60
"""After so long without a sign of life it is started anew."""
SIGN_S = 10.0
"""How often it gives one."""


def unit_folder() -> Path:
    """Return where the user's own units are looked for."""
    home = os.environ.get("XDG_CONFIG_HOME", "")
    return (Path(home) if home else Path.home() / ".config") / "systemd" / "user"


def unit_text(arguments: Sequence[str]) -> str:
    """Return the unit that runs the program with ``arguments``; its lines go to the journal."""
    command = " ".join(
        _quoted(word) for word in [sys.executable, "-P", "-m", "kitchen_assistant", *arguments]
    )
    return f"""\
[Unit]
Description=Hands-free kitchen assistant
After=pipewire-pulse.service pulseaudio.service
StartLimitIntervalSec=0

[Service]
Type=notify
NotifyAccess=main
ExecStart={command}
Restart=always
RestartSec=3
TimeoutStartSec=180
WatchdogSec={WATCHDOG_S}
Environment=PYTHONUNBUFFERED=1

[Install]
WantedBy=default.target
"""


def tell_manager(text: str) -> None:
    """Tell systemd something ("READY=1", "WATCHDOG=1"); without it, do nothing."""
    address = os.environ.get("NOTIFY_SOCKET", "")
    if not address:
        return
    import socket

    if not hasattr(socket, "AF_UNIX"):
        return
    if address.startswith("@"):
        address = "\0" + address[1:]
    with suppress(OSError), socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as line:
        line.sendto(text.encode(), address)


def _quoted(word: str) -> str:
    """Quote a word as systemd reads it: percent signs and dollars stand for themselves when doubled."""
    plain = word.replace("\\", "\\\\").replace('"', '\\"').replace("%", "%%").replace("$", "$$")
    return f'"{plain}"' if any(c in plain for c in " \t'\"\\;") or not plain else plain
