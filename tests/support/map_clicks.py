"""A reading of a drawn map by a hand that misses by a pixel, or by the tracer, and how far it is from the card."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from boostwright.cards.card import Card
from boostwright.cards.digitise.axes import Mark
from boostwright.cards.digitise.compressor import CompressorReading
from boostwright.cards.digitise.session import Axis, Session, Stroke
from boostwright.units import convert
from tests.support.map_pictures import MapPicture, Style, lines_of

__all__ = ["clicked", "departure", "spaced"]

Hand = Callable[[np.ndarray], np.ndarray]


def spaced(line: np.ndarray, step: float, least: int, most: int, closed: bool = False) -> np.ndarray:
    """Places on a polyline, closer where it bends: about every ``step`` pixels."""
    if closed:
        line = line[:-1] if np.allclose(line[0], line[-1]) else line
        line = np.vstack([line, line[:1]])
    pieces = np.diff(line, axis=0)
    length = np.hypot(*pieces.T)
    at = np.concatenate([[0.0], np.cumsum(length)])
    fine = np.linspace(0.0, at[-1], 400)
    place = np.column_stack([np.interp(fine, at, line[:, i]) for i in (0, 1)])
    # people click where it bends: length, plus how far the direction turns over a tenth of the line
    way = np.gradient(place, axis=0)
    angle = np.unwrap(np.arctan2(way[:, 1], way[:, 0]))
    smooth = np.convolve(np.pad(angle, 20, mode="edge"), np.ones(41) / 41, mode="valid")
    wish = np.concatenate(
        [[0.0], np.cumsum(np.full(399, at[-1] / 399 / step) + np.abs(np.diff(smooth)) / 0.35)]
    )
    count = int(np.clip(round(wish[-1]) + 1, least, most))
    wanted = np.linspace(0.0, wish[-1], count + closed)[: count if closed else None]
    return np.column_stack([np.interp(wanted, wish, place[:, i]) for i in (0, 1)])


def clicked(card: Card, picture: MapPicture, style: Style, hand: Hand, marks: str = "corners") -> Session:
    """The reading of a picture: marks at the corners or at two ticks of each axis, then lines, islands and surge."""
    where = picture.corners if marks == "corners" else picture.ticks
    strokes = [
        Stroke("line", f"{convert(s, 'rotational_speed', 'rpm'):.6g} rpm", hand(spaced(p, 55.0, 8, 22)))
        for s, p in picture.lines
    ]
    strokes += [
        Stroke("island", f"{100 * v:g} %", hand(spaced(p, 45.0, 6, 30, closed)), closed)
        for v, p, closed in picture.islands
    ]
    strokes.append(Stroke("surge", "", hand(picture.surge)))
    facts = {k: card.quantity(k).text for k in ("reference_pressure", "reference_temperature")}
    if card.has("wheel_diameter"):
        facts["wheel_diameter"] = card.quantity("wheel_diameter").text
    placed = hand(np.array([p for p, _, _ in where]))
    return Session(
        card.name,
        "compressor",
        x=Axis("corrected_flow", style.flow_unit, style.log_x),
        y=Axis("pressure_ratio"),
        marks=tuple(Mark(tuple(p), x, y) for p, (_, x, y) in zip(placed, where, strict=True)),
        strokes=tuple(strokes),
        facts=facts,
    )


def departure(card: Card, reading: CompressorReading) -> dict[str, np.ndarray]:
    """How far the reading is from the card, as shares of full scale, point by point.

    flow_ratio    distance of each point read from the card's line, over the largest flow and the largest ratio
    efficiency    efficiency less that of the card's line there, over the card's best; where it was read or at the top
    extrapolated  the same where it was carried on beyond the last island
    missing       distance of each of the card's points from the line read, as above
    """
    truth = lines_of(card)
    full_flow = max(line[1].max() for line in truth)
    full_ratio = max(line[2].max() for line in truth)
    best = max(line[3].max() for line in truth)
    out: dict[str, list[float]] = {"flow_ratio": [], "efficiency": [], "extrapolated": [], "missing": []}
    for line, (_, flow, ratio, efficiency) in zip(reading.lines, truth, strict=True):
        own = np.column_stack([flow / full_flow, ratio / full_ratio])
        read = np.column_stack([line.flow / full_flow, line.ratio / full_ratio])
        for p, e, known in zip(read, line.efficiency, line.known, strict=True):
            distance, there = _nearest(p, own, efficiency)
            out["flow_ratio"].append(distance)
            out["extrapolated" if known == "extrapolated" else "efficiency"].append((e - there) / best)
        out["missing"] += [_nearest(p, read, line.efficiency)[0] for p in own]
    return {k: np.array(v) for k, v in out.items()}


def _nearest(p: np.ndarray, line: np.ndarray, values: np.ndarray) -> tuple[float, float]:
    """Distance from a polyline, and the value at the nearest place on it."""
    d = np.diff(line, axis=0)
    t = np.clip(np.sum((p - line[:-1]) * d, axis=1) / np.maximum(np.sum(d * d, axis=1), 1e-18), 0.0, 1.0)
    away = np.hypot(*(line[:-1] + t[:, None] * d - p).T)
    i = int(np.argmin(away))
    return float(away[i]), float(values[i] + t[i] * (values[i + 1] - values[i]))
