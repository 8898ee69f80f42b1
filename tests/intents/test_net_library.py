"""What the net's library takes and never uses is not loaded with it, and is whole for whoever uses it."""

from __future__ import annotations

import subprocess
import sys

import pytest

CODE = """
import sys
from assistant.lazily import lazily
lazily("asyncio")
from intents.meaning import meanings
meanings()
print("asyncio.base_events" in sys.modules)
import ctranslate2.extensions as library
print(library.asyncio.Queue.__module__)
import asyncio
print(asyncio.run(asyncio.sleep(0, "whole")), asyncio.get_event_loop_policy is not None)
"""


@pytest.mark.parametrize("first", ["", "import asyncio"])
def test_asyncio_is_loaded_only_by_whoever_uses_it(first: str) -> None:
    """A typed turn uses it never; the manager's page does, afterwards or before."""
    done = subprocess.run([sys.executable, "-c", first + CODE], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines() == [str(bool(first)), "asyncio.queues", "whole True"]
