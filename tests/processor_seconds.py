"""What each file of tests takes of the processor, with what it starts: ``-n0 -p tests.processor_seconds``.

On a machine that others keep busy seconds by the clock tell little. Begin with ``python -m pytest``.
"""

from __future__ import annotations

import os
from collections import Counter

import pytest

_taken: Counter[str] = Counter()
_before = [0.0]


def _used() -> float:
    return sum(os.times()[:4])


def pytest_collection_finish() -> None:
    """Count what collecting took by itself."""
    _taken["(collecting)"] = round(_used() * 1000)
    _before[0] = _used()


@pytest.hookimpl(trylast=True)
def pytest_runtest_logfinish(nodeid: str) -> None:
    """Count what was used since the test before."""
    now = _used()
    _taken[nodeid.partition("::")[0]] += round((now - _before[0]) * 1000)
    _before[0] = now


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Tell it, what takes most first."""
    terminalreporter.section(f"processor seconds: {_taken.total() / 1000:.0f}")
    for name, thousandths in _taken.most_common(40):
        terminalreporter.write_line(f"{thousandths / 1000:7.1f} {name}")
