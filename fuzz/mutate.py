"""Broken inputs from whole ones: bits turned, stretches cut, doubled, overwritten; the same for the same seed."""

from __future__ import annotations

import random
from collections.abc import Sequence

__all__ = ["mutated"]

_TELLING = (
    b"\x00",
    b"\xff" * 8,
    b",",
    b";",
    b"\n",
    b"\r",
    b'"',
    b"nan",
    b"1e999",
    b"-",
    b"99999999999999999999",
    b"\x00\x00\x00\x80",
)


def mutated(seeds: Sequence[bytes], seed: int) -> bytes:
    """One of the seeds with one to six changes."""
    rng = random.Random(seed)
    data = bytearray(rng.choice(seeds))
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(data) + 1)
        size = min(rng.choice((1, 1, 2, 4, 8, 40, 300)), len(data) - at)
        kind = rng.randrange(7)
        if kind == 0 and size:
            data[at] ^= 1 << rng.randrange(8)
        elif kind == 1:
            del data[at : at + size]
        elif kind == 2:
            data[at:at] = data[at : at + size] * rng.randint(1, 3)
        elif kind == 3:
            data[at : at + size] = rng.randbytes(size)
        elif kind == 4:
            data[at:at] = rng.choice(_TELLING)
        elif kind == 5:
            del data[at:]
        else:
            other = rng.choice(seeds)
            start = rng.randrange(len(other) + 1)
            data[at:at] = other[start : start + size]
    return bytes(data)
