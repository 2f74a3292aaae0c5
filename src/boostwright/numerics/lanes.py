"""Smallest and largest of many numbers at a time: written out in the processor's lanes, since the compiler by itself
keeps to one number at a time where NaN may be among them.
"""

from __future__ import annotations

from typing import Any

import numba
import numpy as np
from llvmlite import ir
from numba import types
from numba.core import cgutils
from numba.extending import intrinsic

__all__ = ["LANES", "smallest_and_largest"]

LANES = 32
"""Numbers that are compared at a time."""


def _better(builder: Any, order: str, new: Any, kept: Any) -> Any:
    """The new one where it is smaller ("<") or larger (">"); a comparison with NaN is false, so NaN is passed over."""
    return builder.select(builder.fcmp_ordered(order, new, kept), new, kept)


def _across(builder: Any, order: str, lanes: Any) -> Any:
    """The smallest or largest of the lanes: the upper half laid on the lower until one is left."""
    width = LANES
    while width > 1:
        width //= 2
        index = ir.VectorType(ir.IntType(32), width)
        halves = [
            builder.shuffle_vector(lanes, lanes, ir.Constant(index, list(range(at, at + width))))
            for at in (0, width)
        ]
        lanes = _better(builder, order, *halves)
    return builder.extract_element(lanes, ir.Constant(ir.IntType(32), 0))


@intrinsic
def _in_lanes(_context: Any, values: Any, begin: Any, blocks: Any) -> Any:
    """Smallest and largest of blocks of 32 bit floats, from an index on; infinity and its negative for no block."""

    def code(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        lanes = ir.VectorType(ir.FloatType(), LANES)
        first = builder.gep(
            context.make_array(signature.args[0])(context, builder, arguments[0]).data, [arguments[1]]
        )
        kept = {}
        for order, worst in (("<", "inf"), (">", "-inf")):
            kept[order] = cgutils.alloca_once(builder, lanes)
            builder.store(ir.Constant(lanes, [float(worst)] * LANES), kept[order])
        with cgutils.for_range(builder, arguments[2]) as loop:
            at = builder.mul(loop.index, ir.Constant(loop.index.type, LANES))
            new = builder.load(builder.bitcast(builder.gep(first, [at]), lanes.as_pointer()), align=4)
            for order, place in kept.items():
                builder.store(_better(builder, order, new, builder.load(place)), place)
        ends = [_across(builder, order, builder.load(place)) for order, place in kept.items()]
        return context.make_tuple(builder, signature.return_type, ends)

    return types.UniTuple(types.float32, 2)(values, types.intp, types.intp), code


def _plainly(values: Any, begin: int, blocks: int) -> Any:
    """The same without the compiler."""
    part = values[begin : begin + blocks * LANES]
    return (
        np.fmin.reduce(part, initial=np.float32(np.inf)),
        np.fmax.reduce(part, initial=np.float32(-np.inf)),
    )


smallest_and_largest: Any = _plainly if numba.config.DISABLE_JIT else _in_lanes
"""For use inside compiled functions: of ``blocks`` times ``LANES`` values of a contiguous float32 array from an index
on, the smallest and the largest, NaN passed over; infinity and its negative where there is none.
"""
