"""A model with a learnt change: low-rank additions to its matrices, kept apart from the model itself."""

from __future__ import annotations

from pathlib import Path
from zipfile import BadZipFile

import numpy as np

from assistant.errors import MissingError
from models.converted import Array, read_converted

CHANGE = "change.npz"
"""The file of the change: ``NAME:up`` times ``NAME:down`` is added to the matrix NAME; or ``NAME:add``."""


def adapted(model: Path, change: Path) -> bytes:
    """Return the content of ``model`` (a ``model.bin``) with ``change`` added. Raises ``MissingError``."""
    whole = read_converted(model)
    arrays = dict(whole.arrays)
    try:
        with np.load(change) as learnt:
            for key in learnt.files:
                name, _, part = key.rpartition(":")
                if part == "add":
                    arrays[name] = _sum(arrays[name], learnt[key])
                elif part == "up":
                    up, down = learnt[key].astype(np.float32), learnt[f"{name}:down"].astype(np.float32)
                    arrays[name] = _sum(arrays[name], up @ down)
    except (OSError, EOFError, ValueError, KeyError, BadZipFile):
        raise MissingError(f"the speech model's part '{change}' is damaged; install it again") from None
    return whole.with_arrays(arrays).to_bytes()


def _sum(base: Array, more: Array) -> Array:
    if base.shape != more.shape:
        raise ValueError(f"{more.shape} does not fit {base.shape}")
    return (base.astype(np.float32) + more.astype(np.float32)).astype(base.dtype)
