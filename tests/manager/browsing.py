"""A headless Chromium and a served page for the browser tests."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from selenium.common.exceptions import WebDriverException
from selenium.webdriver import Chrome, ChromeOptions
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.support.ui import WebDriverWait

AT = "2026-03-01T14:30-06:00"
MISSING = "Chromium and its driver are not installed (on Debian: apt-get install chromium chromium-driver)"
_OPTIONS = (
    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--disable-dev-shm-usage", "--mute-audio", "--autoplay-policy=no-user-gesture-required",
)  # fmt: skip


def programs() -> tuple[str, str] | None:
    """Return the paths of Chromium and its driver, or ``None``."""
    browser, driver = shutil.which("chromium"), shutil.which("chromedriver")
    return (browser, driver) if browser and driver else None


@contextmanager
def chromium(profile: Path) -> Iterator[Chrome]:
    """Run a browser with a fresh profile in ``profile``."""
    found = programs()
    assert found is not None, MISSING
    options = ChromeOptions()
    options.binary_location = found[0]
    for option in (*_OPTIONS, f"--user-data-dir={profile}", "--window-size=1200,900"):
        options.add_argument(option)
    browser = Chrome(options=options, service=Service(found[1]))
    try:
        yield browser
    finally:
        browser.quit()


@contextmanager
def served(state: Path, *more: str, site: Path | None = None) -> Iterator[str]:
    """Run ``kitchen manager`` over a log as a person would; yield the page's address."""
    command = [sys.executable, "-m", "assistant.cli", "--state", str(state), "--at", AT]
    command += [*(["--site", str(site)] if site else []), "manager", *more]
    port = free_port()
    process = subprocess.Popen(
        [*command, "--port", str(port)],
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    try:
        assert process.stderr is not None
        line = process.stderr.readline()
        while line.startswith(("There is no ", "A new log ")):  # no site file or no log yet: said first
            line = process.stderr.readline()
        assert "The manager's page" in line, line
        yield f"http://127.0.0.1:{port}"
    finally:
        process.terminate()
        process.wait(timeout=20)
        assert process.stderr is not None
        process.stderr.close()


def free_port() -> int:
    """Return a port that nobody listens on just now."""
    import socket

    with socket.create_server(("127.0.0.1", 0)) as listening:
        return int(listening.getsockname()[1])


def follow(browser: Chrome, act: Callable[[], object]) -> None:
    """Do what leads to another page and wait until that page is whole.

    The old page may still answer for a moment after a click; the mark tells the two apart.
    """
    browser.execute_script("window.oldPage = true")
    act()
    WebDriverWait(browser, 30, ignored_exceptions=(WebDriverException,)).until(
        lambda page: page.execute_script("return !window.oldPage && document.readyState === 'complete'")
    )


def narrow(browser: Chrome, width: int) -> None:
    """Show pages as a phone does that is ``width`` points wide."""
    metrics = {"width": width, "height": 700, "deviceScaleFactor": 2, "mobile": True}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)


def wide(browser: Chrome) -> None:
    """Show pages as a desk's screen does, on paper no more."""
    browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})


def axe_source(folder: Path) -> str:
    """Return the accessibility checker's script, fetched from npm's registry once; '' if it cannot be."""
    script = folder / "node_modules" / "axe-core" / "axe.min.js"
    npm = shutil.which("npm")
    if not script.exists() and npm:
        command = [
            npm,
            "install",
            "--prefix",
            str(folder),
            "--no-audit",
            "--no-fund",
            "--ignore-scripts",
            "axe-core@4",
        ]
        subprocess.run(command, capture_output=True, timeout=180, check=False)
    return script.read_text(encoding="utf-8") if script.exists() else ""


def axe_faults(browser: Chrome, axe: str) -> list[str]:
    """Return serious and critical faults with the first element of each."""
    browser.execute_script(axe)
    found = browser.execute_async_script(
        "const done = arguments[0];"
        "axe.run(document).then(r => done(r.violations)).catch(e => done(String(e)))"
    )
    assert isinstance(found, list), found
    return [
        f"{each['impact']} {each['id']}: {each['nodes'][0]['html'][:120]}"
        for each in found
        if each["impact"] in ("serious", "critical")
    ]
