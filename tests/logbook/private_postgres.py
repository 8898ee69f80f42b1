"""A PostgreSQL server of our own for tests and benchmarks: private folder and socket, gone afterwards."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

MISSING = "PostgreSQL's server programs are not installed (on Debian: apt-get install postgresql)"


def server_programs() -> Path | None:
    """The folder of ``initdb`` and ``pg_ctl``, the newest version's, or ``None``."""
    found = shutil.which("initdb")
    if found:
        return Path(found).parent
    folders = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: float(path.parts[4]))
    return folders[-1].parent if folders else None


def may_run() -> bool:
    """Whether a server can be started: not as the administrator without another user to run it as."""
    return os.geteuid() != 0 or any(user.pw_name == "postgres" for user in pwd.getpwall())


@contextmanager
def private_postgres(*, durable: bool = False) -> Iterator[str]:
    """Start a server and give its URL; ``durable`` flushes as in earnest (for figures), else not."""
    programs = server_programs()
    assert programs is not None, MISSING
    folder = Path(tempfile.mkdtemp(prefix="pg-"))
    owner = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    if owner:
        shutil.chown(folder, "postgres")
    settings = f"-c listen_addresses='' -c unix_socket_directories={folder} -c max_wal_size=4GB"
    settings += "" if durable else " -c fsync=off"
    data = str(folder / "data")
    control = [*owner, str(programs / "pg_ctl"), "-D", data, "-w"]
    try:
        _run(
            [*owner, str(programs / "initdb"), "-D", data, "-U", "postgres", "-A", "trust", "-E", "UTF8"],
            folder,
        )
        _run([*control, "-l", str(folder / "log"), "-o", settings, "start"], folder)
        try:
            yield f"postgresql:///postgres?host={folder}&user=postgres"
        finally:
            _run([*control, "-m", "immediate", "stop"], folder)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _run(command: list[str], folder: Path) -> None:
    done = subprocess.run(command, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    assert done.returncode == 0, done.stderr
