"""A small made-up model, its archive, and a server on this machine that can be told to misbehave."""

import io
import threading
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from hashlib import sha256
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import numpy as np
import pytest

from models import fetch as fetch_module
from models.manifest import ModelEntry

NEEDS = ["am/final.mdl", "conf/model.conf"]


def zip_bytes(files: dict[str, bytes]) -> bytes:
    """Return a ZIP file that holds ``files``."""
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return target.getvalue()


def model_zip() -> bytes:
    """Return the archive of a made-up model: 300 kB that do not shrink."""
    noise = np.random.default_rng(2).bytes(300_000)
    return zip_bytes({"small-en/am/final.mdl": noise, "small-en/conf/model.conf": b"--beam=10\n"})


@dataclass
class Server:
    """What the server does and what it saw. ``break_after``: bytes sent before it hangs up, one a request."""

    content: bytes
    tag: str = '"one"'
    ranges: bool = True
    status: int = 200
    break_after: list[int] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)
    address: str = ""

    def answer(self, request: BaseHTTPRequestHandler) -> None:
        """Answer one request."""
        wanted = request.headers.get("Range", "")
        self.asked.append(wanted)
        if self.status != 200:
            request.send_error(self.status)
            return
        at = 0
        if wanted and self.ranges and request.headers.get("If-Range") == self.tag:
            at = int(wanted.removeprefix("bytes=").removesuffix("-"))
            if at >= len(self.content):
                request.send_response(416)
                request.send_header("Content-Range", f"bytes */{len(self.content)}")
                request.send_header("Content-Length", "0")
                request.end_headers()
                return
            request.send_response(206)
            request.send_header("Content-Range", f"bytes {at}-{len(self.content) - 1}/{len(self.content)}")
        else:
            request.send_response(200)
        request.send_header("Content-Length", str(len(self.content) - at))
        request.send_header("ETag", self.tag)
        request.end_headers()
        stop = self.break_after.pop(0) if self.break_after else len(self.content)
        request.wfile.write(self.content[at : at + stop])


@pytest.fixture
def server() -> Iterator[Server]:
    """Run the server on this machine only."""
    state = Server(model_zip())

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            state.answer(self)

        def log_message(self, *ignored: object) -> None:
            pass

    running = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=running.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    state.address = f"http://127.0.0.1:{running.server_address[1]}/small-en.zip"
    yield state
    running.shutdown()
    running.server_close()
    thread.join()


@pytest.fixture
def entry(server: Server) -> Callable[..., ModelEntry]:
    """Return a maker of manifest entries for the made-up model."""
    genuine = sha256(server.content).hexdigest()

    def make(**changes: object) -> ModelEntry:
        fields = {
            "name": "small-en",
            "engine": "vosk",
            "language": "en",
            "title": "Made-up model",
            "source": "download",
            "address": server.address,
            "folder": "small-en",
            "needs": NEEDS,
            "license": "MIT",
            "license_flag": "PRACTICE",
            "size_bytes": len(server.content),
            "size_flag": "PRACTICE",
            "sha256": {"archive": genuine},
        }
        return ModelEntry.model_validate(fields | changes)

    return make


@pytest.fixture(autouse=True)
def no_waiting(monkeypatch: pytest.MonkeyPatch) -> None:
    """Try again at once."""
    real = fetch_module.download
    monkeypatch.setattr(fetch_module, "download", lambda *args: real(*args, pause_s=0.0))
