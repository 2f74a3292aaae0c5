"""A digitised picture for the terminal and as CSV: what was read, and how well it fits."""

from __future__ import annotations

import numpy as np

from boostwright.report.text_table import TextColumn, render_table
from boostwright.tasks.digitise import Digitised
from boostwright.units import convert

__all__ = ["digitised_csv", "digitised_text"]

_WIDTH = 110


def digitised_text(result: Digitised) -> str:
    """Axes, lines or curves, and islands, with what they miss by."""
    if result.compressor is not None:
        return _compressor(result)
    parts = []
    found = result.turbine or result.curves
    if found is not None:
        parts.append(_axes(found.axes.model, found.axes.rms, len(found.axes.residuals)))
        parts += [
            f"Curve {c.stroke}{f' ({c.label})' if c.label else ''}: {len(c.x)} points" for c in found.curves
        ]
    if result.turbine is not None:
        low, high = result.turbine.band
        unit = result.session.y.unit
        parts.append(f"Choked flow: {result.turbine.choked_flow:.4g} {unit} (from {low:.4g} to {high:.4g})")
    parts += [
        f"{key} = {text if text is not None else '(taken out)'}" for key, text in result.changes.items()
    ]
    return "\n".join(parts) + "\n"


def _axes(model: str, rms: float, marks: int) -> str:
    return f"Axes: {model}, {marks} marks met to {rms:.2f} pixels (root mean square)"


def _compressor(result: Digitised) -> str:
    reading = result.compressor
    if reading is None:
        return ""
    lines = reading.lines
    columns = [
        TextColumn(("line",), "", tuple(str(line.stroke) for line in lines)),
        TextColumn(
            ("speed",), "rpm", tuple(f"{convert(x.speed, 'rotational_speed', 'rpm'):.0f}" for x in lines)
        ),
        TextColumn(("points",), "", tuple(str(len(line.flow)) for line in lines)),
        TextColumn(("flow", "from"), "kg/s", tuple(f"{line.flow.min():.4f}" for line in lines)),
        TextColumn(("", "to"), "kg/s", tuple(f"{line.flow.max():.4f}" for line in lines)),
        TextColumn(("pressure", "ratio to"), "", tuple(f"{line.ratio.max():.3f}" for line in lines)),
        TextColumn(
            ("best", "efficiency"), "%", tuple(f"{100 * line.efficiency.max():.1f}" for line in lines)
        ),
        TextColumn(
            ("beyond", "islands"), "points", tuple(str(line.known.count("extrapolated")) for line in lines)
        ),
        TextColumn(("roughest",), "pixels", tuple(_worst(line.rough, 1.0, 1) for line in lines)),
    ]
    islands = reading.islands
    misses = [
        TextColumn(("island",), "", tuple(str(island.stroke) for island in islands)),
        TextColumn(("efficiency",), "%", tuple(f"{100 * island.value:g}" for island in islands)),
        TextColumn(("points",), "", tuple(str(len(island.residuals)) for island in islands)),
        TextColumn(("misses", "mostly"), "points", tuple(_rms(island.residuals) for island in islands)),
        TextColumn(("at", "most"), "points", tuple(_worst(island.residuals, 100.0, 2) for island in islands)),
    ]
    head = _axes(reading.axes.model, reading.axes.rms, len(reading.axes.residuals))
    foot = f"Islands met to {100 * reading.island_rms:.2f} points of efficiency (root mean square)"
    return "\n\n".join([head, render_table(columns, _WIDTH), render_table(misses, _WIDTH), foot]) + "\n"


def _worst(values: np.ndarray, factor: float, digits: int) -> str:
    known = np.abs(values[np.isfinite(values)])
    return f"{factor * known.max():.{digits}f}" if known.size else "-"


def _rms(values: np.ndarray) -> str:
    known = values[np.isfinite(values)]
    return f"{100 * float(np.sqrt(np.mean(known**2))):.2f}" if known.size else "-"


def digitised_csv(result: Digitised) -> str:
    """The values: a map as its card's table has them, curves with their number; units in the second row."""
    rows = []
    if result.compressor is not None:
        unit = result.compressor.flow_unit
        rows = [
            "line,corrected_speed,corrected_flow,pressure_ratio,efficiency,efficiency_known",
            f",rpm,{unit},-,-,",
        ]
        for line in result.compressor.lines:
            speed = convert(line.speed, "rotational_speed", "rpm")
            for flow, ratio, efficiency, known in zip(
                line.flow, line.ratio, line.efficiency, line.known, strict=True
            ):
                shown = convert(float(flow), "mass_flow", unit)
                rows.append(f"{line.stroke},{speed:.7g},{shown:.6g},{ratio:.5g},{efficiency:.4f},{known}")
    elif found := (result.turbine or result.curves):
        session = result.session
        rows = [
            f"curve,{session.x.of or 'expansion_ratio'},{session.y.of or 'corrected_flow'}",
            f",{session.x.unit or '-'},{session.y.unit or '-'}",
        ]
        rows += [f"{c.stroke},{x:.6g},{y:.6g}" for c in found.curves for x, y in zip(c.x, c.y, strict=True)]
    return "\n".join(rows) + "\n"
