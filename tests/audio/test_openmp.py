"""A library's OpenMP settings hold while it is loaded, and for nobody else."""

from __future__ import annotations

import os

import pytest

from assistant.audio.openmp import openmp

NAME = "OMP_WAIT_POLICY"


def test_set_while_loading_and_gone_after(monkeypatch: pytest.MonkeyPatch) -> None:
    """Another library that is loaded later chooses for itself."""
    monkeypatch.delenv(NAME, raising=False)
    with openmp(NAME, "PASSIVE"):
        assert os.environ[NAME] == "PASSIVE"
    assert NAME not in os.environ


def test_the_users_own_setting_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever sets it knows why."""
    monkeypatch.setenv(NAME, "ACTIVE")
    with openmp(NAME, "PASSIVE"):
        assert os.environ[NAME] == "ACTIVE"
    assert os.environ[NAME] == "ACTIVE"
