"""One kitchen at work: site, log and conversation put together for the commands and the tests."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from assistant.dialogue.conversation import Conversation
from assistant.logbook.clock import Clock
from assistant.logbook.database import FILE_NAME
from assistant.logbook.store import Logbook, open_views
from assistant.options import Options
from assistant.renewing import telling
from assistant.site import Site


@dataclass(frozen=True)
class Kitchen:
    """Everything that one command needs, open until the block ends.

    ``new``: its log was begun just now; ``example``: no site file is in force, the kitchen is invented;
    ``trial``: things are only tried; ``named``: in a folder that was named.
    """

    site: Site
    clock: Clock
    log: Logbook
    conversation: Conversation
    new: bool = False
    example: bool = False
    trial: bool = False
    named: bool = False


@contextmanager
def open_kitchen(options: Options, *, begin: bool = True) -> Iterator[Kitchen]:
    """Open site, log and conversation; raises ``KitchenError`` in one sentence.

    A log that is not there is begun, or with ``begin`` false it is refused and nothing is made.
    """
    site = options.load_site()
    clock = options.clock(site)
    new = not (options.folder / FILE_NAME).is_file()
    if not begin:
        open_views(options.folder, progress=telling()).close()
    with Logbook.open(options.folder, site=site.kitchen.name, clock=clock, progress=telling()) as log:
        with _nothing_collected():
            conversation = Conversation(site, log, clock)
        example, named = options.site_file is None, options.state is not None
        yield Kitchen(site, clock, log, conversation, new, example, options.trial, named)


@contextmanager
def _nothing_collected() -> Iterator[None]:
    """Let nothing be looked through for rubbish while tables that stay are built."""
    collects = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collects:
            gc.enable()
