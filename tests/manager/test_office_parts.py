"""The office's containers, started by their parts: what the compose file says, without docker.

The database is PostgreSQL with the user, password and name that the file gives it, over TCP; the page is the
image's entry point with the file's command. Only the addresses are this machine's.
"""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import tempfile
import time
import tomllib
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import psycopg
import pytest
from ruamel.yaml import YAML

from assistant.site import Site
from tests.logbook.private_postgres import MISSING, may_run, server_programs

ROOT = Path(__file__).resolve().parents[2]
OFFICE = ROOT / "assistant" / "office"
COMPOSE: dict[str, Any] = YAML(typ="safe", pure=True).load(OFFICE / "compose.yaml")
SERVICES = COMPOSE["services"]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
PASSWORD = "not a real one"
PATIENCE_S = 60.0


def instruction(name: str) -> str:
    """Return what the container file says after an instruction; the last one counts."""
    lines = (OFFICE / "Containerfile").read_text("utf-8").replace("\\\n", " ").splitlines()
    return [line.partition(" ")[2] for line in lines if line.startswith(f"{name} ")][-1]


def free_port() -> int:
    """Return a port of this machine that nobody uses."""
    with closing(socket.socket()) as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@contextmanager
def database_part() -> Iterator[int]:
    """Start the database as its image would, and give its port."""
    programs, facts = server_programs(), SERVICES["database"]["environment"]
    assert programs is not None
    beside = (programs / "initdb").resolve().parent
    owner = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    with tempfile.TemporaryDirectory(prefix="office-", ignore_cleanup_errors=True) as name:
        folder, port = Path(name), free_port()
        (folder / "password").write_text(PASSWORD, "utf-8")
        if owner:
            subprocess.run(["chown", "-R", "postgres", name], check=True)
        user = facts["POSTGRES_USER"]
        begin = ["initdb", "-D", f"{name}/data", "-U", user, "-A", "scram-sha-256"]
        control = ["pg_ctl", "-D", f"{name}/data", "-w", "-l", f"{name}/log"]
        settings = f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories={name} -c fsync=off"

        def part(command: list[str], **more: str) -> None:
            environment = {**os.environ, "PGPASSWORD": PASSWORD, **more}
            done = [*owner, str(beside / command[0]), *command[1:]]
            subprocess.run(done, check=True, capture_output=True, cwd=name, env=environment)

        part([*begin, "--pwfile", f"{name}/password"])
        part([*control, "-o", settings, "start"])
        try:
            whole = f"host=127.0.0.1 port={port} user={user} dbname=postgres"
            with psycopg.connect(whole, password=PASSWORD, autocommit=True) as own:
                own.execute(f"CREATE DATABASE {facts['POSTGRES_DB']}".encode())
            ready = SERVICES["database"]["healthcheck"]["test"][1:]
            part([*ready, "-h", "127.0.0.1", "-p", str(port)])
            yield port
        finally:
            part([*control, "-m", "immediate", "stop"])


def run(folder: Path, *arguments: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    """Run the image's entry point with its state elsewhere."""
    return subprocess.run(
        command(folder, *arguments), input=typed, capture_output=True, text=True, check=False,
        env={**os.environ, "PGPASSWORD": PASSWORD},
    )  # fmt: skip


def command(folder: Path, *arguments: str) -> list[str]:
    """Return the image's entry point, as this environment has it, with ``arguments``."""
    program, *before = json.loads(instruction("ENTRYPOINT"))
    assert program in PROJECT["scripts"]
    before = [str(folder) if each == "/data" else each for each in before]
    return [sys.executable, "-m", "assistant.cli", *before, *arguments]


def test_the_image_is_made_of_what_there_is() -> None:
    """It installs an extra that exists, under a promised Python, and runs as nobody's administrator."""
    assert "[office]" in instruction("RUN")
    assert "office" in PROJECT["optional-dependencies"]
    version = instruction("FROM").rpartition(":")[2].partition("-")[0]
    assert f"Programming Language :: Python :: {version}" in PROJECT["classifiers"]
    assert instruction("USER") not in ("", "root", "0")
    build = SERVICES["page"]["build"]
    assert (OFFICE / build["context"] / build["dockerfile"]).resolve() == OFFICE / "Containerfile"
    assert (OFFICE / build["context"]).resolve() == ROOT


def test_nothing_opens_to_a_network_unasked() -> None:
    """Both ports are this machine's own until an address is named."""
    ports = [port for service in SERVICES.values() for port in service["ports"]]
    assert all(port.startswith("${OFFICE_ADDRESS:-127.0.0.1}:") for port in ports)


@pytest.mark.postgres
def test_a_kitchen_sends_and_the_page_shows_it(tmp_path: Path, site: Site) -> None:
    """From the file's own command: refused without a PIN, then open, with the kitchen that has sent."""
    if server_programs() is None or not may_run():
        pytest.skip(MISSING)
    kitchen, page, port = tmp_path / "kitchen", tmp_path / "page", free_port()
    assert run(kitchen, "ask", "walk-in thirty eight").returncode == 0
    arguments = [str(each) for each in SERVICES["page"]["command"]]
    at = arguments.index("--port") + 1
    assert arguments[at] == SERVICES["page"]["ports"][0].rpartition(":")[2]
    arguments[at] = str(port)
    with database_part() as database:
        name, facts = "database", SERVICES["database"]["environment"]
        url = next(each for each in arguments if each.startswith("postgresql://"))
        assert url == f"postgresql://{facts['POSTGRES_USER']}@{name}/{facts['POSTGRES_DB']}"
        here = url.replace(f"@{name}/", f"@127.0.0.1:{database}/")
        arguments = [here if each == url else each for each in arguments]
        sent = run(kitchen, "log", "send", here)
        assert sent.returncode == 0, sent.stderr
        refused = run(page, *arguments)
        assert refused.returncode != 0
        assert "PIN" in refused.stderr
        assert run(page, "manager", "set-pin", typed="4711 0815\n").returncode == 0
        serving = subprocess.Popen(
            command(page, *arguments), env={**os.environ, "PGPASSWORD": PASSWORD}, stderr=subprocess.DEVNULL
        )
        try:
            assert "PIN" in _page(f"http://127.0.0.1:{port}/")
        finally:
            serving.terminate()
            serving.wait(30)
        whole = run(page, "log", "verify", "--database", here)
        assert whole.returncode == 0, whole.stderr
        assert site.kitchen.name in whole.stdout


def _page(address: str) -> str:
    """Return a page as soon as it is served."""
    until = time.monotonic() + PATIENCE_S
    while True:
        try:
            with urllib.request.urlopen(address, timeout=5) as answer:
                return str(answer.read().decode())
        except urllib.error.HTTPError as fault:
            return str(fault.read().decode())
        except OSError:
            assert time.monotonic() < until, "the page did not come up"
            time.sleep(0.2)
