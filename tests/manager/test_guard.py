"""What stands before the pages: PIN, sessions, form tokens, host names, sizes and headers."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from assistant.errors import InputError
from assistant.manager.app import build, check_address, listen
from assistant.manager.desk import LocalDesk
from assistant.manager.pin import FILE_NAME, FREE_TRIES, TRIES_IN_ALL, TryLimit, pin_matches, set_pin
from assistant.manager.sessions import IDLE_SECONDS, LONGEST_SECONDS, Sessions

PIN = "4711-basil"
Token = Callable[[TestClient, str], str]


def enter(page: TestClient, token: Token, pin: str = PIN, **more: str) -> object:
    """Send the PIN's form; return the answer."""
    return page.post("/pin", data={"token": token(page, "/pin"), "pin": pin, **more})


def test_headers_keep_everything_on_this_page(page: TestClient) -> None:
    """No script, no other site, no framing, no guessing of types, nothing kept by the browser."""
    headers = page.get("/").headers
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"
    assert headers["cache-control"] == "no-store"
    assert "server" not in headers


@pytest.mark.parametrize("path", ["/", "/log", "/places", "/cooling", "/actions", "/review", "/kitchen"])
def test_pages_have_no_inline_script_or_style(page: TestClient, path: str) -> None:
    """The strict policy costs nothing: there is nothing inline, and no address of another machine."""
    text = page.get(path).text
    assert text.count("<script") == text.count('<script src="/static/live.js" defer></script>')
    assert not re.search(r'\sstyle="|\son\w+="|(?:src|href)="https?:', text)


@pytest.mark.parametrize("host", ["evil.test", "127.0.0.1.evil.test", ""])
def test_only_this_machines_name_reaches_a_page_bound_to_it(page: TestClient, host: str) -> None:
    """A name elsewhere that points here does not open the log."""
    answer = page.get("/", headers={"Host": host})
    assert answer.status_code == 421
    assert "Chicken" not in answer.text


@pytest.mark.parametrize("host", ["localhost", "127.0.0.1:8517", "[::1]:8517"])
def test_this_machines_names_are_answered(page: TestClient, host: str) -> None:
    """With or without a port."""
    assert page.get("/", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize("path", ["/review", "/actions/1", "/record", "/leave"])
def test_a_form_from_elsewhere_does_nothing(page: TestClient, path: str) -> None:
    """Without this page's own token for this browser, a form is refused."""
    page.get("/")
    answer = page.post(path, data={"token": "0" * 64, "person": "x", "note": "y" * 9, "day": "2026-02-28"})
    assert answer.status_code == 403
    assert "not from this page" in answer.text


def test_another_browsers_token_does_not_fit(desk: LocalDesk, token: Token) -> None:
    """The token belongs to the cookie that it was made for."""
    app = build(desk, desk.folder)
    one, other = (TestClient(app, base_url="http://127.0.0.1") for _ in range(2))
    other.get("/")
    assert other.post("/record", data={"token": token(one, "/record")}).status_code == 403


def test_a_form_that_is_too_long_or_of_unknown_length_is_refused(page: TestClient) -> None:
    """Nobody fills the memory through a form."""
    assert page.post("/review", data={"note": "x" * 70_000}).status_code == 413
    assert page.post("/review", content=(part for part in (b"note=", b"x"))).status_code == 413


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "TRACE"])
def test_other_methods_are_refused(page: TestClient, method: str) -> None:
    """The pages are read, or sent a form."""
    assert page.request(method, "/").status_code == 405


@pytest.mark.parametrize("path", ["/", "/log", "/clip/3", "/record", "/worth"])
def test_with_a_pin_set_nothing_is_shown_before_it(locked_page: TestClient, path: str) -> None:
    """Every page leads to the PIN; no name, no entry, no chain head shows."""
    answer = locked_page.get(path)
    assert answer.url.path == "/pin"
    assert "Rosa" not in answer.text
    assert "Chain head" not in answer.text


def test_the_right_pin_opens_and_locking_closes(locked_page: TestClient, token: Token) -> None:
    """After the PIN the page asked for opens; after "Lock this page" it does not."""
    answer = enter(locked_page, token, next="/log?failed=1")
    assert "/log?failed=1" in str(answer.url)  # type: ignore[attr-defined]
    assert locked_page.get("/worth").status_code == 200
    locked_page.post("/leave", data={"token": token(locked_page, "/")})
    assert locked_page.get("/log").url.path == "/pin"


def test_a_signed_in_review_does_not_say_unchecked(locked_page: TestClient, token: Token) -> None:
    """With the PIN given, the signature carries no remark about it."""
    enter(locked_page, token)
    form = {"token": token(locked_page, "/review?day=2026-02-28"), "day": "2026-02-28", "person": "Marlene"}
    assert "not checked" not in locked_page.post("/review", data=form).text.partition("Signed by")[2]


def test_cookies_are_out_of_reach(locked_page: TestClient, token: Token) -> None:
    """No script reads them, no other site sends them."""
    form = {"token": token(locked_page, "/pin"), "pin": PIN}
    answer = locked_page.post("/pin", data=form, follow_redirects=False)
    cookie = answer.headers["set-cookie"]
    assert "kitchen_session=" in cookie
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie


def test_over_tls_cookies_are_secure(desk: LocalDesk) -> None:
    """A cookie made over TLS never travels without it."""
    page = TestClient(build(desk, desk.folder), base_url="https://localhost")
    assert "; Secure" in page.get("/").headers["set-cookie"]


@pytest.mark.parametrize("target", ["//evil.test", "https://evil.test", "/\\evil.test", "javascript:1"])
def test_the_pin_never_leads_elsewhere(locked_page: TestClient, token: Token, target: str) -> None:
    """The page to go on to is one of this machine."""
    answer = locked_page.post(
        "/pin", data={"token": token(locked_page, "/pin"), "pin": PIN, "next": target}, follow_redirects=False
    )
    assert answer.headers["location"] == "/"


def test_wrong_pins_have_to_wait(locked_page: TestClient, token: Token) -> None:
    """After a few wrong ones even the right one is not looked at for a while."""
    for _ in range(FREE_TRIES):
        assert enter(locked_page, token, "000000x").status_code == 403  # type: ignore[attr-defined]
    answer = enter(locked_page, token)
    assert answer.status_code == 429  # type: ignore[attr-defined]
    assert "wait" in answer.text  # type: ignore[attr-defined]


def test_waiting_doubles_and_ends() -> None:
    """One minute after the fifth wrong PIN, two after the sixth, none for another address."""
    now = [0.0]
    limit = TryLimit(lambda: now[0])
    assert [limit.attempt("a") for _ in range(FREE_TRIES)] == [0.0] * FREE_TRIES
    assert (limit.attempt("a"), limit.attempt("b")) == (60.0, 0.0)
    now[0] = 61
    assert limit.attempt("a") == 0
    assert limit.attempt("a") == 120
    limit.right("a")
    assert limit.attempt("a") == 0


def test_waiting_never_passes_an_hour() -> None:
    """However often somebody was wrong, the next try is an hour away at most."""
    now = [0.0]
    limit = TryLimit(lambda: now[0])
    for _ in range(3000):
        assert limit.attempt("a") <= 3600
        now[0] += 3600


def test_many_addresses_or_many_at_once_are_slowed_too() -> None:
    """Spreading the tries over many addresses, or sending them all together, does not help."""
    limit = TryLimit(lambda: 0.0)
    for number in range(TRIES_IN_ALL):
        assert limit.attempt(f"10.0.0.{number}") == 0
    assert limit.attempt("10.9.9.9") > 0
    crowd = TryLimit(lambda: 0.0)
    with ThreadPoolExecutor(20) as pool:
        waits = list(pool.map(crowd.attempt, ["a"] * 20))
    assert waits.count(0.0) == FREE_TRIES


def test_sessions_end_by_idleness_and_age() -> None:
    """Half an hour without a page, or eight hours in all."""
    now = [0.0]
    sessions = Sessions(lambda: now[0])
    token = sessions.begin()
    now[0] = IDLE_SECONDS - 1
    assert sessions.lives(token)
    now[0] += IDLE_SECONDS + 1
    assert not sessions.lives(token)
    token, began = sessions.begin(), now[0]
    while now[0] - began < LONGEST_SECONDS:
        assert sessions.lives(token)
        now[0] += IDLE_SECONDS / 2
    assert not sessions.lives(token)
    assert not sessions.lives("")


@pytest.mark.usefixtures("dear_pins")
def test_the_pin_is_kept_as_a_salted_hash_for_its_owner_only(tmp_path: Path) -> None:
    """The file has no PIN in it, two files of one PIN differ, and others may not read it.

    Its cost is at least what scrypt's own authors give for signing in (n 2^14, r 8, p 1; from memory).
    """
    kept = []
    for name in ("one", "two"):
        path = set_pin(tmp_path / name, PIN)
        assert PIN not in path.read_text()
        assert path.stat().st_mode & 0o077 == 0
        written = json.loads(path.read_text())
        assert written["n"] * written["r"] * written["p"] >= 2**14 * 8
        kept.append(written["hash"])
        assert pin_matches(tmp_path / name, PIN)
        assert not pin_matches(tmp_path / name, PIN + "x")
    assert kept[0] != kept[1]


@pytest.mark.parametrize(
    "pin",
    ["", "12345", "111111", "121212", "x" * 65, "123456", "987654", "abcdef", "qwerty", "123123", "147258",
     "Password1", "kitchen2026", "112233"],
)  # fmt: skip
def test_a_weak_pin_is_refused(tmp_path: Path, pin: str) -> None:
    """Too short, too long, of two characters only, a row of keys, a repeat, or what is tried first."""
    with pytest.raises(InputError):
        set_pin(tmp_path, pin)


def test_a_damaged_pin_file_opens_nothing(locked_page: TestClient, desk: LocalDesk, token: Token) -> None:
    """The page says what to do and stays shut."""
    form = {"token": token(locked_page, "/pin"), "pin": PIN}
    (desk.folder / FILE_NAME).write_text("{}")
    assert "set it again" in locked_page.post("/pin", data=form).text
    assert locked_page.get("/log").url.path == "/pin"


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.1.20", "::", "kitchen.local"])
def test_the_network_needs_a_pin(tmp_path: Path, host: str) -> None:
    """Any address but this machine's own refuses to open until a PIN is set."""
    with pytest.raises(InputError, match="set-pin"):
        listen(host, 8999, tmp_path)
    set_pin(tmp_path, PIN)
    check_address(host, tmp_path)


def test_a_port_in_use_is_one_sentence(tmp_path: Path) -> None:
    """Two pages do not fit on one port."""
    with listen("127.0.0.1", 0, tmp_path) as taken, pytest.raises(InputError, match="--port"):
        listen("127.0.0.1", taken.getsockname()[1], tmp_path)


def test_a_pin_file_that_vanishes_leaves_the_page_locked(
    locked_page: TestClient, desk: LocalDesk, token: Token
) -> None:
    """Whoever may delete a file on this machine does not open the page by it."""
    enter(locked_page, token)
    assert locked_page.get("/log").url.path == "/log"
    (desk.folder / FILE_NAME).unlink()
    answer = locked_page.get("/log")
    assert answer.url.path == "/pin"
    assert "set it again with" in answer.text
    assert enter(locked_page, token).status_code == 403  # type: ignore[attr-defined]


def test_a_new_pin_ends_sessions_and_waiting(locked_page: TestClient, desk: LocalDesk, token: Token) -> None:
    """Who was in has to give the new one; who had to wait after wrong ones need not any more."""
    enter(locked_page, token)
    set_pin(desk.folder, "another-4711")
    assert locked_page.get("/log").url.path == "/pin"
    for _ in range(FREE_TRIES + 1):
        enter(locked_page, token, "000000x")
    set_pin(desk.folder, "yet-another-4711")
    assert enter(locked_page, token, "yet-another-4711", next="/log").url.path == "/log"  # type: ignore[attr-defined]


def test_wrong_pins_from_the_network_never_lock_this_machine_out() -> None:
    """Thirty wrong ones from anywhere make all others wait, but not whoever sits at the machine."""
    limit = TryLimit(lambda: 0.0)
    for number in range(TRIES_IN_ALL):
        limit.attempt(f"10.0.0.{number}")
    assert limit.attempt("10.9.9.9") > 0
    assert limit.attempt("127.0.0.1") == 0


def test_a_form_of_another_session_does_not_fit(locked_page: TestClient, token: Token) -> None:
    """A form that was opened before somebody signed in, or by who was in before, is refused."""
    enter(locked_page, token)
    form = {"token": token(locked_page, "/review?day=2026-02-28"), "day": "2026-02-28", "person": "Marlene"}
    locked_page.post("/leave", data={"token": token(locked_page, "/")})
    enter(locked_page, token)
    assert locked_page.post("/review", data=form).status_code == 403


@pytest.mark.parametrize("method", ["GET", "POST"])
def test_a_request_in_pieces_is_refused(page: TestClient, method: str) -> None:
    """A length and pieces together are how one request is smuggled behind another."""
    headers = {"Transfer-Encoding": "chunked", "Content-Length": "4"}
    assert page.request(method, "/review", headers=headers).status_code == 413


@pytest.mark.parametrize(
    "day", ["0001-01-01", "9999-12-31", "2026-02-30", "1999-12-31", "٢٠٢٦-٠٣-٠١", "x" * 900]
)
@pytest.mark.parametrize("path", ["/?day=", "/review?day=", "/log?from=", "/places?to=", "/cooling?from="])
def test_odd_days_are_a_page(page: TestClient, path: str, day: str) -> None:
    """One sentence, never a fault of the program."""
    assert page.get(path + day).status_code == 400


@pytest.mark.parametrize("day", ["2026-03-02", "1999-01-01", "2025-12-31", "2026-02-22"])
def test_only_days_that_the_log_knows_are_signed(page: TestClient, token: Token, day: str) -> None:
    """Neither one to come nor one before the log began."""
    form = {"token": token(page, "/review"), "day": day, "person": "Marlene"}
    assert page.post("/review", data=form).status_code == 400
