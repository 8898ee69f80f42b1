"""The words of a PDF as another program reads them."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest


def pdf_text(path: Path, *options: str) -> str:
    """Return what Poppler's pdftotext reads; skips where it is missing."""
    if not shutil.which("pdftotext"):
        pytest.skip("pdftotext is not installed (on Debian: apt-get install poppler-utils)")
    return subprocess.run(
        ["pdftotext", *options, str(path), "-"], capture_output=True, check=True
    ).stdout.decode()
