"""Machine code as an object file: made once from what the compiler emits, loaded in milliseconds without it.

Importing the compiler and letting it find its own cached code costs several times as long as the predictions made with
it. So the program's compiled part is taken from the compiler as a whole, optimised once more as a whole, and kept as
one object file; later runs hand that file to the machine-code loader and import nothing else.

Only code that needs nothing but the mathematics library can live so: kernels may neither allocate nor raise. This is
checked when the file is made, not trusted.
"""

from __future__ import annotations

import ctypes
import hashlib
import os
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

import llvmlite.binding as llvm

from boostwright.errors import BoostwrightError
from boostwright.numerics.code_cache import cache_directory

__all__ = [
    "Library",
    "NotSelfContained",
    "make_object",
    "object_path",
    "read_object",
    "save_object",
    "supported",
]

_TRIGONOMETRY = {"acos", "asin", "atan", "atan2", "cos", "cosh", "sin", "sincos", "sinh", "tan", "tanh"}
_POWERS = {"cbrt", "exp", "exp2", "expm1", "hypot", "ldexp", "log", "log10", "log1p", "log2", "pow", "sqrt"}
_PARTS = {"ceil", "fabs", "floor", "fmax", "fmin", "fmod", "round", "trunc"}
_MEMORY = {"memcpy", "memmove", "memset"}
_OUTSIDE = frozenset(_TRIGONOMETRY | _POWERS | _PARTS | _MEMORY)
_DIGEST = 32


class NotSelfContained(BoostwrightError):
    """Code that wants more than the mathematics library: it allocates or raises somewhere."""


def supported() -> bool:
    """True where this way of loading machine code has been tried; elsewhere the compiler's own cache serves."""
    return sys.platform == "linux" and sys.maxsize > 2**32


def _target() -> llvm.TargetMachine:
    """The machine we run on, asked for code in the way the compiler asks."""
    llvm.initialize_native_target()
    llvm.initialize_native_asmprinter()
    target = llvm.Target.from_triple(llvm.get_process_triple())
    return target.create_target_machine(
        cpu=llvm.get_host_cpu_name(),
        features=llvm.get_host_cpu_features().flatten(),
        opt=3,
        reloc="static" if target.name.startswith("x86") else "default",
        codemodel="jitdefault",
        jit=True,
    )


def make_object(functions: Mapping[str, tuple[str, str]]) -> bytes:
    """One object file of several functions.

    functions  name to call it by -> (intermediate code, the function's name in there)
    Everything else becomes private to the file, so that what no function reaches falls away and the rest is optimised
    across all calls. Raises NotSelfContained when anything but the mathematics library is wanted.
    """
    machine = _target()
    whole = None
    for name, (text, inner) in functions.items():
        module = llvm.parse_assembly(text)
        module.get_function(inner).name = name
        if whole is None:
            whole = module
        else:
            whole.link_in(module)
    if whole is None:
        return b""
    for value in [*whole.functions, *whole.global_variables]:
        if not value.is_declaration and value.name not in functions:
            value.linkage = "internal"
    options = llvm.create_pipeline_tuning_options(speed_level=3)
    builder = llvm.create_pass_builder(machine, options)
    builder.getModulePassManager().run(whole, builder)
    wanted = {f.name for f in whole.functions if f.is_declaration and not f.name.startswith("llvm.")}
    wanted |= {v.name for v in whole.global_variables if v.is_declaration}
    if foreign := sorted(wanted - _OUTSIDE):
        raise NotSelfContained(f"compiled code must not allocate or raise, but wants: {', '.join(foreign)}")
    code: bytes = machine.emit_object(whole)
    return code


def object_path(name: str) -> Path:
    """Where the object file of this source for this processor is kept; it need not exist."""
    machine = (
        f"{llvm.get_process_triple()} {llvm.get_host_cpu_name()} {llvm.get_host_cpu_features().flatten()}"
    )
    return cache_directory() / f"{name}-{hashlib.sha256(machine.encode()).hexdigest()[:16]}.code"


def save_object(path: Path, code: bytes) -> None:
    """Keep an object file with its digest, in one step. Raises OSError where that cannot be done."""
    import tempfile  # slow to import, and most runs only read

    path.parent.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(hashlib.sha256(code).digest() + code)
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


def read_object(path: Path) -> bytes | None:
    """The object file kept at ``path``; None when there is none or it is not whole."""
    try:
        data = path.read_bytes()
    except OSError:
        return None
    code = data[_DIGEST:]
    return code if hashlib.sha256(code).digest() == data[:_DIGEST] else None


class Library:
    """An object file in memory, and its functions to call; they release the interpreter lock."""

    def __init__(self, code: bytes, functions: Mapping[str, Sequence[type]]) -> None:
        """Load ``code``; functions: name -> the kinds of its arguments in ``ctypes`` words."""
        self._engine = llvm.create_mcjit_compiler(llvm.parse_assembly(""), _target())
        self._engine.add_object_file(llvm.ObjectFileRef.from_data(code))
        self._engine.finalize_object()
        self._functions = {
            name: ctypes.CFUNCTYPE(None, *kinds)(self._engine.get_function_address(name))
            for name, kinds in functions.items()
        }

    def call(self, name: str, *arguments: int) -> None:
        """Call a function with addresses and sizes."""
        self._functions[name](*arguments)
