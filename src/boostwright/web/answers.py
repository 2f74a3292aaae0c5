"""Answers as JSON: numbers that are none become null, and nothing is escaped or copied more than once."""

from __future__ import annotations

from typing import Any

from pydantic_core import to_json
from starlette.responses import Response

__all__ = ["answer", "answer_text"]

_KIND = "application/json"


def answer(content: Any, status: int = 200) -> Response:
    """Plain values as JSON; numbers that are not finite as null."""
    return Response(to_json(content, inf_nan_mode="null"), status, media_type=_KIND)


def answer_text(text: str) -> Response:
    """What is JSON already."""
    return Response(text, media_type=_KIND)
