"""The reference page of quantities derived from a log, made from their catalogue."""

from __future__ import annotations

from boostwright.tasks.derive import CATALOGUE, SENSOR_ERRORS, SENSOR_LAGS

__all__ = ["formulas_page"]

_HEAD = """\
# Quantities derived from a log

<!-- Made by `make reference` from the catalogue; do not edit. -->

What `boostwright derive` works out, in the order of the gas. How each is made, what its band holds and what the symbols
mean: [Derived channels](../explain/derived-channels.md).

| quantity | unit | what it is | formula |
|---|---|---|---|
"""
_ERRORS = """
## Errors of sensors at rest

The largest error a sensor of each kind is taken to have, where `[sensor_errors]` of the build says nothing. A pressure
sensor's is half in its zero and half in its scale.

| kind | largest error | known |
|---|---|---|
"""
_LAGS = """
## Longest lag of probes

| kind | longest time constant | known |
|---|---|---|
"""
_UNITS = {
    "barometer": "Pa",
    "pressure": "Pa",
    "exhaust_pressure": "Pa",
    "temperature": "K",
    "exhaust_temperature": "K",
    "injector_time": "s",
}


def formulas_page() -> str:
    """The text of the page."""
    rows = []
    for one in CATALOGUE.values():
        words = f"{one.words}; {one.basis}" if one.basis else one.words
        rows.append(f"| `{one.name}` | {one.unit} | {words} | {one.formula.replace('|', '/')} |")
    errors = []
    for kind, error in SENSOR_ERRORS.items():
        if error.words:
            errors.append(f"| `{kind}` | {_largest(kind, error.absolute, error.share)} | {error.words} |")
    lags = [f"| `{kind}` | {late:g} s | common practice |" for kind, late in SENSOR_LAGS.items()]
    return (
        _HEAD + "\n".join(rows) + "\n" + _ERRORS + "\n".join(errors) + "\n" + _LAGS + "\n".join(lags) + "\n"
    )


def _largest(kind: str, absolute: float, share: float) -> str:
    parts = []
    if absolute:
        parts.append(f"{absolute:g} {_UNITS.get(kind, '')}".strip())
    if share:
        parts.append(f"{100.0 * share:g} % of the reading")
    return ", or ".join(parts)
