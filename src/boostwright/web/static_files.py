"""The page's own files: a flat folder of fixed names, each with a tag so that an unchanged one is not sent again.

Plain ASGI, so that the page is there while the interface behind it is still being loaded.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Awaitable, Callable, MutableMapping
from pathlib import Path
from typing import Any

__all__ = ["STATIC", "page_file"]

STATIC = Path(__file__).resolve().parent / "static"
_NAME = re.compile(r"[a-z0-9][a-z0-9_-]*\.(?P<end>[a-z0-9]+)")
_KINDS = {
    "html": "text/html; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "svg": "image/svg+xml",
    "png": "image/png",
    "ico": "image/x-icon",
    "woff2": "font/woff2",
    "json": "application/json",
    "txt": "text/plain; charset=utf-8",
}
_PLAIN = "text/plain; charset=utf-8"
_known: dict[str, tuple[int, int, bytes, str]] = {}


async def page_file(
    scope: MutableMapping[str, Any],
    receive: Any,
    send: Callable[[MutableMapping[str, Any]], Awaitable[None]],
) -> None:
    """One file of the page; the front page where none is named."""
    status, headers, body = _answer(scope)
    if scope["method"] == "HEAD":
        body = b""
    packed = [(name.encode(), value.encode()) for name, value in headers.items()]
    await send({"type": "http.response.start", "status": status, "headers": packed})
    await send({"type": "http.response.body", "body": body})


def _answer(scope: MutableMapping[str, Any]) -> tuple[int, dict[str, str], bytes]:
    """Status, headers and body."""
    if scope["method"] not in ("GET", "HEAD"):
        return 405, {"allow": "GET, HEAD", "content-type": _PLAIN}, b"Only GET and HEAD.\n"
    name = scope["path"].removeprefix("/") or "index.html"
    match = _NAME.fullmatch(name)
    found = _read(name) if match is not None and match["end"] in _KINDS else None
    if found is None or match is None:
        text = "There is no such page.\n" if name != "index.html" else "The page has not been built.\n"
        return 404, {"content-type": _PLAIN, "content-length": str(len(text))}, text.encode()
    data, tag = found
    headers = {"etag": tag, "cache-control": "no-cache"}
    asked = [value.decode("latin-1") for key, value in scope["headers"] if key == b"if-none-match"]
    if any(tag in (one.strip() for one in line.split(",")) for line in asked):
        return 304, headers, b""
    return 200, {**headers, "content-type": _KINDS[match["end"]], "content-length": str(len(data))}, data


def _read(name: str) -> tuple[bytes, str] | None:
    """The file's bytes and its tag, read again only when it has changed; None for one that is not there."""
    path = STATIC / name
    try:
        if path.is_symlink() or not path.is_file():
            return None
        state = path.stat()
        known = _known.get(name)
        if known is None or known[:2] != (state.st_mtime_ns, state.st_size):
            data = path.read_bytes()
            tag = f'"{hashlib.sha256(data).hexdigest()[:24]}"'
            known = _known[name] = state.st_mtime_ns, state.st_size, data, tag
    except OSError:
        return None
    return known[2], known[3]
