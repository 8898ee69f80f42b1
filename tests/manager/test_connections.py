"""The page, really served: silent connections, aborted requests, a proxy in front."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, suppress

import httpx2
import pytest

from assistant.manager import connections
from assistant.manager.app import listen, serve
from assistant.manager.desk import LocalDesk
from assistant.manager.pin import set_pin

Serving = Callable[..., int]


@pytest.fixture
def serving(desk: LocalDesk) -> Iterator[Serving]:
    """Serve the week from a thread that ends with the test program; give the port."""
    with ExitStack() as open_sockets:

        def begin(**options: str) -> int:
            proxy = options.get("proxy", "")
            listening = open_sockets.enter_context(listen("127.0.0.1", 0, desk.folder, proxy))
            port = int(listening.getsockname()[1])
            run = threading.Thread(
                target=serve,
                args=(desk, desk.folder, listening),
                kwargs={"loopback": True, **options},
                daemon=True,
            )
            run.start()
            deadline = time.monotonic() + 20
            while time.monotonic() < deadline:
                try:
                    httpx2.get(f"http://127.0.0.1:{port}/static/icon.svg", timeout=2)
                except httpx2.HTTPError:
                    time.sleep(0.05)
                else:
                    return port
            raise AssertionError("the page did not open")

        yield begin


@pytest.mark.parametrize(
    "first_words", [b"", b"GET / HTTP/1.1\r\nHost: local"], ids=["silent", "half a request"]
)
def test_three_hundred_silent_connections_leave_the_owner_served(
    serving: Serving, first_words: bytes
) -> None:
    """Although they come from the very address of the owner and are held open all the time."""
    port = serving()
    with ExitStack() as held:
        for _ in range(300):
            silent = held.enter_context(socket.create_connection(("127.0.0.1", port), timeout=5))
            silent.sendall(first_words)
        for path in ("/", "/log", "/places"):
            assert httpx2.get(f"http://127.0.0.1:{port}{path}", timeout=10).status_code == 200


def test_a_request_that_trickles_in_is_ended(serving: Serving, monkeypatch: pytest.MonkeyPatch) -> None:
    """A byte now and then does not hold a connection for ever."""
    monkeypatch.setattr(connections, "REQUEST_SECONDS", 0.6)
    port = serving()
    with socket.create_connection(("127.0.0.1", port), timeout=10) as slow:
        began = time.monotonic()
        while time.monotonic() - began < 10:
            try:
                slow.sendall(b"G")
            except OSError:
                break
            time.sleep(0.1)
        assert time.monotonic() - began < 8


def test_an_aborted_form_leaves_no_trace(serving: Serving, capfd: pytest.CaptureFixture[str]) -> None:
    """Whoever leaves in the middle of sending causes no page of errors in the terminal."""
    port = serving()
    for _ in range(3):
        with socket.create_connection(("127.0.0.1", port), timeout=5) as gone:
            gone.sendall(b"POST /review HTTP/1.1\r\nHost: localhost\r\nContent-Length: 500\r\n\r\ntoken=")
    assert httpx2.get(f"http://127.0.0.1:{port}/", timeout=10).status_code == 200
    assert "Traceback" not in "".join(capfd.readouterr())


def test_two_lengths_are_refused(serving: Serving) -> None:
    """A length and pieces in one request, as the wire brings them."""
    port = serving()
    with socket.create_connection(("127.0.0.1", port), timeout=10) as raw:
        raw.sendall(
            b"POST /review HTTP/1.1\r\nHost: localhost\r\nContent-Length: 4\r\nTransfer-Encoding: chunked\r\n"
            b"\r\n0\r\n\r\nGET /log HTTP/1.1\r\nHost: localhost\r\n\r\n"
        )
        assert raw.recv(200).split(b" ")[1] in (b"400", b"413")


def test_behind_a_proxy_names_and_addresses_are_those_of_whoever_asks(
    serving: Serving, desk: LocalDesk
) -> None:
    """Any name is answered, the PIN is asked, cookies are for TLS, and each address waits for itself."""
    set_pin(desk.folder, "basil-4711")
    port = serving(proxy="127.0.0.1")
    headers = {"Host": "log.example", "X-Forwarded-Proto": "https", "X-Forwarded-For": "192.0.2.7"}
    with httpx2.Client(base_url=f"http://127.0.0.1:{port}", follow_redirects=False, timeout=10) as client:
        answer = client.get("/", headers=headers)
        assert (answer.status_code, answer.headers["location"]) == (303, "/pin")
        assert "; Secure" in answer.headers["set-cookie"]


@pytest.mark.parametrize("many", [True, False], ids=["many headers", "one endless header"])
def test_headers_have_an_end(serving: Serving, many: bool) -> None:
    """Whoever goes on sending headers is answered with a refusal or cut off, and the owner is served."""
    port = serving()
    piece = b"X-More: " + b"a" * 1000 + b"\r\n" if many else b"a" * 1000
    with socket.create_connection(("127.0.0.1", port), timeout=10) as raw:
        raw.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\nX-First: ")
        sent = 0
        with suppress(OSError):
            while sent < 2_000_000:
                raw.sendall(piece)
                sent += len(piece)
        assert sent < 2_000_000 or raw.recv(100)[:12] in (b"", b"HTTP/1.1 400", b"HTTP/1.1 431")
    assert httpx2.get(f"http://127.0.0.1:{port}/", timeout=10).status_code == 200
