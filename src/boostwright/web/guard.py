"""Who may ask and how much: host, origin, token, size and time of a body; and the headers every answer carries.

A page of another site, open in the same browser, can send requests to the loopback. It cannot read the token, it
cannot name our host (a name of its own that points here is refused), and its origin is told by the browser.
"""

from __future__ import annotations

import asyncio
import json
import secrets
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

__all__ = ["LARGEST_BODY", "LARGEST_PICTURE", "RAW_PATHS", "Guard"]

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]

LARGEST_BODY = 1_000_000
"""Bytes of a body of JSON; the changes of a whole build are a hundredth of it."""
LARGEST_PICTURE = 40_000_000
"""Bytes of a picture sent as it is."""
RAW_PATHS = ("/api/digitise/",)
"""Beginnings of the paths that take a body that is no JSON."""

_PATIENCE = 20.0
"""Seconds a body may take."""
_API = "/api/"
_HEADERS = (
    (
        b"content-security-policy",
        b"default-src 'self'; img-src 'self' blob: data:; object-src 'none'; base-uri 'none'; form-action 'none'; "
        b"frame-ancestors 'none'",
    ),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"x-frame-options", b"DENY"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
)


class Guard:
    """An ASGI application round two others: the interface, and the page's files, which need no token."""

    def __init__(self, inner: Any, page: Any, token: str, port: int) -> None:
        """For the secret and the port that requests must name."""
        self._inner, self._page, self._token = inner, page, f"Bearer {token}".encode()
        names = [f"{name}:{port}".encode() for name in ("127.0.0.1", "localhost")]
        if port == 80:
            names += [b"127.0.0.1", b"localhost"]
        self._hosts = frozenset(names)
        self._origins = frozenset(b"http://" + name for name in names)

    @property
    def inner(self) -> Any:
        """The interface."""
        return self._inner

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, refuse, or pass on."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self._inner(scope, receive, send)
            elif scope["type"] == "websocket":
                await send({"type": "websocket.close", "code": 1008})
            return
        is_api = scope["path"].startswith(_API) or scope["path"] == _API[:-1]
        answer = _with_headers(send, is_api)
        refused = self._refused(scope, is_api)
        if refused is not None:
            await _refuse(answer, *refused)
            return
        if not is_api:
            await self._page(scope, receive, answer)
            return
        if scope["method"] in ("GET", "HEAD", "OPTIONS") and not _announces_body(scope):
            await self._inner(scope, receive, answer)
            return
        await self._with_body(scope, receive, answer)

    def _refused(self, scope: Scope, is_api: bool) -> tuple[int, str, str] | None:
        """Status, message and remedy of a request that is not let in."""
        headers = scope["headers"]
        hosts = [value for name, value in headers if name == b"host"]
        if len(hosts) != 1 or hosts[0].lower() not in self._hosts:
            return 403, "This server answers only under the address it printed.", "Use that link."
        origins = [value for name, value in headers if name == b"origin"]
        if any(origin.lower() not in self._origins for origin in origins):
            return 403, "A page of another site asked; it gets nothing.", "Use the link the server printed."
        if not is_api:
            return None
        sites = [value for name, value in headers if name == b"sec-fetch-site"]
        if any(site not in (b"same-origin", b"none") for site in sites):
            return 403, "A page of another site asked; it gets nothing.", "Use the link the server printed."
        given = [value for name, value in headers if name == b"authorization"]
        if len(given) != 1 or not secrets.compare_digest(given[0], self._token):
            return 401, "The request carries no valid token.", "Open the link the server printed last."
        return None

    async def _with_body(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Take the body in whole, within its bounds, and pass it on."""
        raw = scope["path"].startswith(RAW_PATHS)
        most = LARGEST_PICTURE if raw else LARGEST_BODY
        length = _length(scope)
        if length is not None and length > most:
            await _refuse_large(send, length, most)
            return
        try:
            body = await asyncio.wait_for(_whole_body(receive, most), _PATIENCE)
        except TimeoutError:
            await _refuse(send, 408, f"The body took longer than {_PATIENCE:.0f} s.", "Send it again.")
            return
        if body is None:
            return
        if len(body) > most:
            await _refuse_large(send, len(body), most)
            return
        if body and not raw and not _is_json(scope):
            await _refuse(send, 415, "The body is not declared as JSON.", "Content-Type: application/json")
            return
        sent = False

        async def replay() -> Message:
            """The body once, then whatever comes."""
            nonlocal sent
            if sent:
                return await receive()
            sent = True
            return {"type": "http.request", "body": body, "more_body": False}

        await self._inner(scope, replay, send)


async def _whole_body(receive: Receive, most: int) -> bytes | None:
    """The body, cut off once it is longer than ``most``; None when the other side went away."""
    parts, size = [], 0
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            return None
        part = message.get("body", b"")
        parts.append(part)
        size += len(part)
        if size > most or not message.get("more_body", False):
            return b"".join(parts)


def _announces_body(scope: Scope) -> bool:
    return any(name in (b"content-length", b"transfer-encoding") for name, _ in scope["headers"])


def _length(scope: Scope) -> int | None:
    """The length the headers name; None where they name none that is a number."""
    for name, value in scope["headers"]:
        if name == b"content-length" and value.isdigit() and len(value) < 20:
            return int(value)
    return None


def _is_json(scope: Scope) -> bool:
    kinds = [value for name, value in scope["headers"] if name == b"content-type"]
    return len(kinds) == 1 and kinds[0].split(b";")[0].strip().lower() == b"application/json"


def _with_headers(send: Send, is_api: bool) -> Send:
    """Answers with the headers that every one of them carries."""

    async def answer(message: Message) -> None:
        """Pass a message on."""
        if message["type"] == "http.response.start":
            extra = (*_HEADERS, (b"cache-control", b"no-store")) if is_api else _HEADERS
            message["headers"] = [*message.get("headers", ()), *extra]
        await send(message)

    return answer


async def _refuse_large(send: Send, length: int, most: int) -> None:
    message = f"The body has {length} bytes or more; at most {most} are taken."
    await _refuse(send, 413, message, "Send less.")


async def _refuse(send: Send, status: int, message: str, remedy: str) -> None:
    fault = {
        "file": "",
        "line": 0,
        "key": "",
        "value": "",
        "message": message,
        "allowed": "",
        "remedy": remedy,
    }
    body = json.dumps({"faults": [fault]}).encode()
    headers = [(b"content-type", b"application/json"), (b"content-length", str(len(body)).encode())]
    if status in (408, 413):
        headers.append((b"connection", b"close"))
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
