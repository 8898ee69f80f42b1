"""One file a command, each thin: read options, call the program, print."""

from __future__ import annotations

import click

from assistant.commands.ask import ask
from assistant.commands.demo import demo
from assistant.commands.doctor import doctor
from assistant.commands.hear import hear
from assistant.commands.listen import listen
from assistant.commands.log import log
from assistant.commands.log_care import CARE
from assistant.commands.manager import manager
from assistant.commands.models import models
from assistant.commands.profiles import profiles
from assistant.commands.report import card, report
from assistant.commands.site import site

ALL: tuple[click.Command, ...] = (
    ask,
    hear,
    listen,
    log,
    manager,
    report,
    card,
    models,
    profiles,
    site,
    doctor,
    demo,
)

for _verb in CARE:
    log.add_command(_verb)
