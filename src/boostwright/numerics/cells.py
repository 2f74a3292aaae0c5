"""Long arrays of stamped samples put into cells: where the stamps leave a gap, and the mean of each cell."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from boostwright.numerics.compiler import compiled

__all__ = ["Steps", "cell_means", "every_nth", "in_a_row", "steps_of"]


def cell_means(
    values: NDArray[np.float64], first: NDArray[np.intp], behind: NDArray[np.intp], spike: float = np.inf
) -> NDArray[np.float64]:
    """Mean of each cell, without single values that stand off both neighbours.

    values  (n,)  contiguous
    first   (m,)  where each cell begins; behind (m,) behind its last value, above ``first``
    spike   by which share of the mean of its neighbours a value that is left out differs from both, on the same side
    Returns (m,); a cell of which nothing is left has the mean of the neighbours. Source: definition.
    """
    out = np.empty(first.size)
    _means(np.ascontiguousarray(values, dtype=np.float64), first, behind, spike, out)  # type: ignore[no-untyped-call]
    return out


@compiled
def _means(values, first, behind, spike, out):  # type: ignore[no-untyped-def]
    size = values.shape[0]
    for k in range(first.shape[0]):
        total, count, spare = 0.0, 0, 0.0
        for i in range(first[k], behind[k]):
            here = values[i]
            if spike < np.inf and 0 < i < size - 1:
                before, after = values[i - 1], values[i + 1]
                least = 0.5 * spike * abs(before + after)
                up, down = here - before, here - after
                # noise stands off both neighbours at every other sample: "and" would be a branch that nobody foretells
                if (up * down > 0.0) & (abs(up) > least) & (abs(down) > least):
                    spare += 0.5 * (before + after)
                    continue
            total += here
            count += 1
        out[k] = total / count if count > 0 else spare / (behind[k] - first[k])


def every_nth(values: NDArray[np.float64], stride: int) -> tuple[NDArray[np.float64], bool]:
    """Every so manieth value from the first on, and True where each of these is a number, in one pass.

    values  (n,)  contiguous
    Returns a copy of its own, ((n + stride - 1) // stride,). Source: definition.
    """
    out = np.empty(-(-values.size // stride))
    return out, bool(_every_nth(np.ascontiguousarray(values), stride, out))  # type: ignore[no-untyped-call]


@compiled
def _every_nth(values, stride, out):  # type: ignore[no-untyped-def]
    numbers = 0
    for i in range(out.shape[0]):
        value = values[i * stride]
        out[i] = value
        numbers += value - value == 0.0
    return numbers == out.shape[0]


def in_a_row(values: NDArray[np.float64], spans: NDArray[np.intp]) -> tuple[NDArray[np.float64], bool]:
    """The values of some stretches, one behind the other, and True where each of these is a number, in one pass.

    values  (n,)    contiguous
    spans   (m, 2)  the first of each stretch and the one behind its last
    Returns a copy of its own. Source: definition.
    """
    out = np.empty(int((spans[:, 1] - spans[:, 0]).sum()))
    return out, bool(_in_a_row(np.ascontiguousarray(values), spans, out))  # type: ignore[no-untyped-call]


@compiled
def _in_a_row(values, spans, out):  # type: ignore[no-untyped-def]
    numbers, begin = 0, 0
    for k in range(spans.shape[0]):
        here = values[spans[k, 0] : spans[k, 1]]
        there = out[begin : begin + here.shape[0]]
        for i in range(here.shape[0]):
            there[i] = here[i]
            numbers += here[i] - here[i] == 0.0
        begin += here.shape[0]
    return numbers == out.shape[0]


class Steps(NamedTuple):
    """What the stamps and values of a record are.

    in_order  each stamp is a number and none is earlier than the one before
    shared    some stamp is that of the one before
    numbers   each value is a number
    above     (m,) the indices behind each step above the limit
    """

    in_order: bool
    shared: bool
    numbers: bool
    above: NDArray[np.intp]


def steps_of(stamps: NDArray[np.float64], values: NDArray[np.float64], limit: float) -> Steps:
    """What steps a record's stamps take, and whether its values are numbers, in one pass.

    stamps, values  (n,)  contiguous
    Source: definition.
    """
    steps = max(0, stamps.size - 1)
    forward, none, over, numbers = _count(stamps, values, limit)  # type: ignore[no-untyped-call]
    # steps forward from a number to a number: none between can be infinite
    ends = stamps.size == 0 or bool(np.isfinite(stamps[0]) and np.isfinite(stamps[-1]))
    above = np.empty(int(over), dtype=np.intp)
    if over:
        _list(stamps, limit, above)  # type: ignore[no-untyped-call]
    return Steps(bool(ends and forward == steps), bool(none), bool(numbers == values.size), above)


@compiled
def _count(stamps, values, limit):  # type: ignore[no-untyped-def]
    # counted, and not left at the first that is wrong: without a branch the processor compares several at once
    before, after = stamps[:-1], stamps[1:]
    forward, none, over, numbers = 0, 0, 0, 0
    for i in range(after.shape[0]):
        step = after[i] - before[i]
        forward += step >= 0.0
        none += step == 0.0
        over += step > limit
    for i in range(values.shape[0]):
        numbers += values[i] - values[i] == 0.0
    return forward, none, over, numbers


@compiled
def _list(stamps, limit, above):  # type: ignore[no-untyped-def]
    k = 0
    for i in range(1, stamps.shape[0]):
        if stamps[i] - stamps[i - 1] > limit:
            above[k] = i
            k += 1
