"""One value of a library, and how it is written down as a case of the proof."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

FIGURES = 7


@dataclass(frozen=True)
class Value:
    """One value of a library, and the relation it is set beside."""

    id: str
    quantity: str
    words: str
    relation: str
    inputs: dict[str, Any]
    unit: str
    tolerance: float
    kind: str
    why: str
    source: str
    where: str
    formula: str
    library: str
    compute: Callable[[], float]


def _text(value: Any) -> str:
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list):
        return f"[{', '.join(_text(one) for one in value)}]"
    return repr(float(f"{value:.12g}"))


def entry(value: Value) -> str:
    """The value as a case of the proof."""
    inputs = ", ".join(f"{name} = {_text(one)}" for name, one in value.inputs.items())
    return (
        f"\n[[case]]\n"
        f'id = "{value.id}"\n'
        f'quantity = "{value.quantity}"\n'
        f'words = "{value.words}"\n'
        f'relation = "{value.relation}"\n'
        f"inputs = {{ {inputs} }}\n"
        f"expected = {float(f'{value.compute():.{FIGURES}g}')!r}\n"
        f'unit = "{value.unit}"\n'
        f"tolerance = {value.tolerance!r}\n"
        f'kind = "{value.kind}"\n'
        f'why = "{value.why}"\n'
        f'source = "{value.source}"\n'
        f'where = "{value.where}"\n'
        f'status = "computed"\n'
        f'library = "{value.library}"\n'
        f'formula = "{value.formula}"\n'
    )
