"""The page's own files: a flat folder of fixed names, each with a tag so that an unchanged one is not sent again."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

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
_known: dict[str, tuple[int, int, bytes, str]] = {}


async def page_file(request: Request) -> Response:
    """One file of the page; the front page where none is named."""
    name = request.path_params.get("name") or "index.html"
    match = _NAME.fullmatch(name)
    found = _read(name) if match is not None and match["end"] in _KINDS else None
    if found is None or match is None:
        return PlainTextResponse(f"There is no {name[:80]} here.\n", 404)
    data, tag = found
    headers = {"etag": tag, "cache-control": "no-cache"}
    if tag in [one.strip() for one in request.headers.get("if-none-match", "").split(",")]:
        return Response(status_code=304, headers=headers)
    return Response(data, headers=headers, media_type=_KINDS[match["end"]])


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
