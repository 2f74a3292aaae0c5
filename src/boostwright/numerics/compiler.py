"""The one door to the compiler.

``compiled`` turns a function of floats and arrays into machine code and keeps the result in the user's cache folder.
``scratch`` is a small work array that costs nothing. ``claimed`` hands out work to threads. ``c_function`` makes the
intermediate code of a function that C could call, which ``object_code`` turns into an object file that later runs
load without the compiler.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from typing import Any, TypeVar

import numba
import numpy as np
from numba import types
from numba.core import cgutils
from numba.extending import intrinsic
from numba.np.arrayobj import populate_array

from boostwright.numerics.code_cache import cache_directory

__all__ = ["as_array", "c_function", "claimed", "compiled", "scratch"]

_Function = TypeVar("_Function", bound=Callable[..., Any])

# A product and a sum may be rounded once, a division may become a product with the reciprocal, the sign of zero does
# not count: a digit at the 16th place for a tenth of the time. Infinities and NaN keep their meaning.
_FREEDOMS = {"contract", "arcp", "nsz"}


def _cache_is_usable() -> bool:
    """Make the cache folder. Where that fails nothing is kept: the compiler would turn to a place it cannot keep apart
    from one version of our source to the next.
    """
    folder = cache_directory()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return False
    return os.access(folder, os.W_OK)


numba.config.CACHE_DIR = str(cache_directory())
_KEPT = _cache_is_usable()

as_array = numba.carray
"""Inside a function for ``c_function``: the array (shape) at an address."""


def compiled(function: _Function) -> _Function:
    """Compile ``function`` for floats and arrays, cached between runs, releasing the interpreter lock.

    Division by zero and overflow follow IEEE arithmetic (no exceptions inside kernels); a kernel that can meet them
    must test for them itself. A kernel allocates nothing: its small work arrays come from ``scratch``.
    """
    dispatcher: _Function = numba.njit(cache=_KEPT, nogil=True, error_model="numpy", fastmath=_FREEDOMS)(
        function
    )
    return dispatcher


@intrinsic(prefer_literal=True)
def _on_the_stack(_context: Any, size: Any) -> Any:
    """Array of zeros on the stack; ``size`` is a number written in the source."""
    if not isinstance(size, types.IntegerLiteral):
        return None
    count = int(size.literal_value)
    kind = types.Array(types.float64, 1, "C")

    def code(context: Any, builder: Any, _signature: Any, _arguments: Any) -> Any:
        number = context.get_value_type(types.float64)
        place = cgutils.alloca_once(builder, number, size=count)
        cgutils.memset(builder, place, context.get_constant(types.intp, 8 * count), 0)
        item = context.get_constant(types.intp, 8)
        length = context.get_constant(types.intp, count)
        array = context.make_array(kind)(context, builder)
        populate_array(array, data=place, shape=[length], strides=[item], itemsize=item, meminfo=None)
        return array._getvalue()

    return kind(size), code


@intrinsic
def _add_at_once(_context: Any, counter: Any, step: Any) -> Any:
    """The first number of an array as it was before ``step`` was added to it, in one step for all threads."""
    if not (
        isinstance(counter, types.Array) and counter.dtype == types.int64 and step in types.integer_domain
    ):
        return None

    def code(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        array = context.make_array(signature.args[0])(context, builder, arguments[0])
        return builder.atomic_rmw("add", array.data, arguments[1], "monotonic")

    return types.int64(counter, types.int64), code


if numba.config.DISABLE_JIT:

    def scratch(size: int) -> Any:
        """Work array of zeros (size,), for use inside compiled functions; it must not outlive the call."""
        return np.zeros(size)

    def claimed(counter: Any, step: int) -> int:
        """First of the next ``step`` numbers of a counter (1,) that threads share; each is handed out once."""
        first = int(counter[0])
        counter[0] = first + step
        return first

else:
    scratch = _on_the_stack
    claimed = _add_at_once


def c_function(function: Callable[..., None], arguments: Sequence[Any]) -> tuple[str, str]:
    """Intermediate code of a function with C's calling convention, and the name it has in there.

    function   takes addresses and sizes; it makes arrays of them with ``as_array``
    arguments  for each: ``int`` a size (machine word), else the dtype that the address points to
    """
    kinds = [types.intp if a is int else types.CPointer(numba.from_dtype(np.dtype(a))) for a in arguments]
    made = numba.cfunc(types.void(*kinds))(function)
    return made.inspect_llvm(), made.native_name
