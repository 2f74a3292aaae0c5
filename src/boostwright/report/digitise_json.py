"""A digitised picture as plain values: for the screen, and for ``--json``. Numbers in SI, places in pixels."""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.tasks.digitise import Digitised, axes_document, fault_document
from boostwright.tasks.digitise_overlay import Overlay

__all__ = ["digitised_document"]


def _list(values: Any, digits: int = 6) -> list[Any]:
    """An array as lists of rounded numbers; what is no number becomes None."""
    array = np.asarray(values, dtype=float)
    if array.ndim > 1:
        return [_list(row, digits) for row in array]
    return [float(f"{v:.{digits}g}") if np.isfinite(v) else None for v in array]


def _pixels(values: Any) -> list[Any]:
    return np.round(np.asarray(values, dtype=float), 2).tolist()  # type: ignore[no-any-return]


def digitised_document(result: Digitised, overlay: Overlay | None = None) -> dict[str, Any]:
    """What a reading came to.

    overlay  what is drawn over the picture; None leaves it out
    """
    document: dict[str, Any] = {
        "name": result.session.name,
        "what": result.session.what,
        "faults": [fault_document(fault) for fault in result.faults],
        "warnings": [fault_document(fault) for fault in result.warnings],
        "changes": dict(result.changes),
        "card": None,
    }
    if result.card is not None:
        document["card"] = {"kind": result.card.header.kind, "name": result.card.header.name}
    if result.compressor is not None:
        document |= _compressor(result)
    if result.turbine is not None:
        turbine = result.turbine
        document["axes"] = axes_document(turbine.axes)
        document["curves"] = [_curve(curve) for curve in turbine.curves]
        unit = result.session.y.unit
        document["choked_flow"] = {"value": turbine.choked_flow, "band": list(turbine.band), "unit": unit}
    if result.curves is not None:
        document["axes"] = axes_document(result.curves.axes)
        document["curves"] = [_curve(curve) for curve in result.curves.curves]
        document["units"] = {"x": result.curves.x.unit, "y": result.curves.y.unit}
    if overlay is not None:
        document["overlay"] = {
            "curves": {str(number): _pixels(curve) for number, curve in overlay.curves.items()},
            "grid": [_pixels(line) for line in overlay.grid],
            "surface": None
            if overlay.surface is None
            else {
                "pixels": _pixels(overlay.surface.pixels),
                "efficiency": _list(overlay.surface.efficiency, 5),
                "levels": _list(overlay.surface.levels),
            },
        }
    return document


def _compressor(result: Digitised) -> dict[str, Any]:
    reading = result.compressor
    if reading is None:
        return {}
    return {
        "axes": axes_document(reading.axes),
        "lines": [
            {
                "stroke": line.stroke,
                "speed": line.speed,
                "pixels": _pixels(line.pixels),
                "corrected_flow": _list(line.flow),
                "pressure_ratio": _list(line.ratio),
                "efficiency": _list(line.efficiency),
                "known": list(line.known),
                "per_pixel": _list(line.per_pixel, 3),
                "rough": _list(line.rough, 3),
            }
            for line in reading.lines
        ],
        "islands": [
            {
                "stroke": island.stroke,
                "efficiency": island.value,
                "pixels": _pixels(island.pixels),
                "residuals": _list(island.residuals, 3),
            }
            for island in reading.islands
        ],
        "island_rms": reading.island_rms if np.isfinite(reading.island_rms) else None,
        "extrapolated": reading.extrapolated,
        "units": {"speed": "rad/s", "corrected_flow": "kg/s", "efficiency": ""},
    }


def _curve(curve: Any) -> dict[str, Any]:
    return {
        "stroke": curve.stroke,
        "label": curve.label,
        "pixels": _pixels(curve.pixels),
        "x": _list(curve.x),
        "y": _list(curve.y),
        "rough": _list(curve.rough, 3),
    }
