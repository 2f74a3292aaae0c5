"""Who is let in, and how much is taken: every refusal, and that nothing behind the guard is reached then."""

from __future__ import annotations

import asyncio
from typing import Any

import pytest

from boostwright.web import guard as guard_module
from boostwright.web.guard import LARGEST_BODY, LARGEST_PICTURE, Guard

TOKEN = "a-secret"
HOST = (b"host", b"127.0.0.1:8000")
OWN = (b"authorization", b"Bearer a-secret")
JSON = (b"content-type", b"application/json")


class Reached:
    """What stands behind the guard; notes what it got."""

    def __init__(self) -> None:
        self.bodies: list[bytes] = []

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        body, more = b"", True
        if scope["method"] == "POST":
            while more:
                message = await receive()
                body += message.get("body", b"")
                more = message.get("more_body", False)
        self.bodies.append(body)
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b"in"})


def asked(
    path: str,
    *headers: tuple[bytes, bytes],
    method: str = "GET",
    parts: list[bytes] | None = None,
    slow: float = 0.0,
) -> tuple[int, dict[bytes, bytes], Reached, Reached]:
    inner, page = Reached(), Reached()
    sent: list[Any] = []
    waiting = list(parts or [b""])

    async def receive() -> Any:
        await asyncio.sleep(slow)
        if not waiting:
            await asyncio.sleep(3600.0)
        part = waiting.pop(0)
        return {"type": "http.request", "body": part, "more_body": bool(waiting)}

    async def send(message: Any) -> None:
        sent.append(message)

    scope = {"type": "http", "path": path, "method": method, "headers": list(headers)}
    asyncio.run(Guard(inner, page, TOKEN, 8000)(scope, receive, send))
    return sent[0]["status"], dict(sent[0]["headers"]), inner, page


def test_the_page_needs_no_token_and_the_interface_does() -> None:
    assert asked("/", HOST)[0] == 200
    assert asked("/api/session", HOST, OWN)[0] == 200
    for path in ("/api/session", "/api", "/api/", "/api/openapi.json"):
        status, _, inner, page = asked(path, HOST)
        assert status == 401
        assert not inner.bodies + page.bodies


@pytest.mark.parametrize(
    "given",
    [
        b"",
        b"Bearer",
        b"Bearer ",
        b"Bearer a-secret2",
        b"bearer a-secret",
        b"Basic a-secret",
        b"a-secret",
        b"Bearer \xff\xfe",
    ],
)
def test_another_token_is_none(given: bytes) -> None:
    assert asked("/api/session", HOST, (b"authorization", given))[0] == 401
    assert asked("/api/session", HOST, OWN, (b"authorization", given))[0] == 401


@pytest.mark.parametrize(
    "host",
    [
        b"",
        b"example.org",
        b"127.0.0.1",
        b"127.0.0.1:8001",
        b"localhost:80",
        b"127.0.0.1:8000.example.org",
        b"[::1]:8000",
        b"0.0.0.0:8000",
        b"127.0.0.1:8000@example.org",
        b"127.1:8000",
        b"2130706433:8000",
    ],
)
def test_a_forged_host_gets_nothing_not_even_the_page(host: bytes) -> None:
    for path in ("/", "/app.js", "/api/session"):
        status, _, inner, page = asked(path, (b"host", host), OWN)
        assert status == 403
        assert not inner.bodies + page.bodies
        assert asked(path, HOST, (b"host", host), OWN)[0] == 403
    assert asked("/", (b"host", b"LOCALHOST:8000"))[0] == 200
    assert asked("/")[0] == 403


@pytest.mark.parametrize(
    "origin",
    [
        b"http://example.org",
        b"null",
        b"https://127.0.0.1:8000",
        b"http://127.0.0.1:8001",
        b"http://127.0.0.1",
        b"file://",
        b"http://localhost:8000.example.org",
    ],
)
def test_another_origin_gets_nothing(origin: bytes) -> None:
    for path in ("/", "/api/session"):
        status, _, inner, page = asked(path, HOST, OWN, (b"origin", origin))
        assert status == 403
        assert not inner.bodies + page.bodies
    assert asked("/api/session", HOST, OWN, (b"origin", b"http://localhost:8000"))[0] == 200


def test_what_a_browser_says_of_the_asking_site_is_heeded() -> None:
    for site in (b"cross-site", b"same-site"):
        assert asked("/api/session", HOST, OWN, (b"sec-fetch-site", site))[0] == 403
    for site in (b"same-origin", b"none"):
        assert asked("/api/session", HOST, OWN, (b"sec-fetch-site", site))[0] == 200
    assert asked("/", HOST, (b"sec-fetch-site", b"cross-site"))[0] == 200  # a link to the page is no harm


def test_every_answer_carries_the_headers() -> None:
    for path, given in (("/", HOST), ("/api/session", HOST), ("/api/session", (b"host", b"evil"))):
        _, headers, _, _ = asked(path, given)
        policy = headers[b"content-security-policy"].decode()
        assert "default-src 'self'" in policy
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert headers[b"x-content-type-options"] == b"nosniff"
        assert headers[b"referrer-policy"] == b"no-referrer"
        assert b"set-cookie" not in headers
        assert not any(name.startswith(b"access-control") for name in headers)
    assert asked("/api/session", HOST, OWN)[1][b"cache-control"] == b"no-store"


def test_a_body_is_taken_whole_up_to_its_bound() -> None:
    parts = [b"x" * 1000] * 10
    status, _, inner, _ = asked("/api/live", HOST, OWN, JSON, method="POST", parts=parts)
    assert (status, inner.bodies) == (200, [b"x" * 10000])
    status, _, inner, _ = asked(
        "/api/digitise/a",
        HOST,
        OWN,
        (b"content-type", b"image/png"),
        method="POST",
        parts=[b"x" * (2 * LARGEST_BODY)],
    )
    assert (status, len(inner.bodies[0])) == (200, 2 * LARGEST_BODY)


@pytest.mark.parametrize(
    ("path", "most"), [("/api/live", LARGEST_BODY), ("/api/digitise/a", LARGEST_PICTURE)]
)
def test_an_oversized_body_is_refused_announced_or_not(path: str, most: int) -> None:
    length = (b"content-length", str(most + 1).encode())
    for headers, parts in (((length,), [b""]), ((), [b"x" * (most // 2 + 1)] * 3)):
        status, answer, inner, _ = asked(path, HOST, OWN, JSON, *headers, method="POST", parts=parts)
        assert status == 413
        assert answer[b"connection"] == b"close"
        assert not inner.bodies
    # a length that is a lie is counted, not believed
    lie = (b"content-length", b"10")
    assert asked(path, HOST, OWN, JSON, lie, method="POST", parts=[b"x" * (most + 1)])[0] == 413


def test_a_get_with_a_body_is_bounded_too() -> None:
    length = (b"content-length", str(LARGEST_BODY + 1).encode())
    assert asked("/api/session", HOST, OWN, length)[0] == 413


def test_a_slow_body_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard_module, "_PATIENCE", 0.1)
    status, _, inner, _ = asked("/api/live", HOST, OWN, JSON, method="POST", parts=[b"{"] * 50, slow=0.01)
    assert (status, inner.bodies) == (408, [])


@pytest.mark.parametrize(
    "kind",
    [b"text/plain", b"application/x-www-form-urlencoded", b"multipart/form-data", b"", b"application/jsonp"],
)
def test_a_body_that_is_not_declared_as_json_is_refused(kind: bytes) -> None:
    """A form of another site can send these without asking its browser first."""
    status, _, inner, _ = asked("/api/live", HOST, OWN, (b"content-type", kind), method="POST", parts=[b"{}"])
    assert (status, inner.bodies) == (415, [])
    assert (
        asked(
            "/api/live",
            HOST,
            OWN,
            (b"content-type", b"application/json; charset=utf-8"),
            method="POST",
            parts=[b"{}"],
        )[0]
        == 200
    )


def test_sockets_of_the_web_are_closed() -> None:
    sent: list[Any] = []

    async def send(message: Any) -> None:
        sent.append(message)

    asyncio.run(Guard(Reached(), Reached(), TOKEN, 8000)({"type": "websocket", "path": "/api/x"}, None, send))  # type: ignore[arg-type]
    assert sent == [{"type": "websocket.close", "code": 1008}]
