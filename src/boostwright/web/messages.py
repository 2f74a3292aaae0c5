"""Messages between the server and its worker over a pipe: a head as JSON, and blocks of bytes behind it."""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, BinaryIO

__all__ = ["Message", "receive", "send"]

_LENGTH = struct.Struct(">Q")
_MOST = 1 << 32  # bytes of a block; more is a broken pipe, not a message


@dataclass(frozen=True)
class Message:
    """What was said: a head of plain values, and blocks of bytes by name."""

    head: dict[str, Any]
    blocks: dict[str, bytes] = field(default_factory=dict)


def send(stream: BinaryIO, head: Mapping[str, Any], blocks: Mapping[str, bytes] | None = None) -> None:
    """Write one message and push it out. Raises OSError or ValueError where the other side is gone."""
    blocks = blocks or {}
    text = json.dumps({"head": dict(head), "blocks": {name: len(data) for name, data in blocks.items()}})
    body = text.encode()
    stream.write(_LENGTH.pack(len(body)) + body)
    for data in blocks.values():
        stream.write(data)
    stream.flush()


def receive(stream: BinaryIO) -> Message | None:
    """The next message; None when the other side is gone or what comes is none."""
    length = _whole(stream, _LENGTH.size)
    if length is None:
        return None
    body = _whole(stream, _LENGTH.unpack(length)[0])
    if body is None:
        return None
    told = json.loads(body)
    blocks = {}
    for name, size in told["blocks"].items():
        data = _whole(stream, size)
        if data is None:
            return None
        blocks[name] = data
    return Message(told["head"], blocks)


def _whole(stream: BinaryIO, size: int) -> bytes | None:
    if size > _MOST:
        return None
    try:
        data = stream.read(size)
    except (OSError, ValueError):
        return None
    return data if len(data) == size else None
