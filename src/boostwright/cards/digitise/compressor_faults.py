"""What is wrong, or doubtful, in the reading of a compressor map."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.digitise.axes import AxesFit
from boostwright.cards.digitise.lines import crossings, smooth_curve, without_repeats
from boostwright.cards.digitise.session import Session
from boostwright.errors import Fault
from boostwright.units import QuantityError, convert, parse_quantity

if TYPE_CHECKING:
    from boostwright.cards.digitise.compressor import IslandRead, LineRead

__all__ = ["line_doubts", "stroke_faults", "surge_doubts"]

Array = NDArray[np.float64]

_ROUGH = 3.0
_SURGE_GAP = 0.02
_COARSE = 0.004
"""Efficiency of one pixel above which the picture counts as too coarse there."""


def stroke_faults(session: Session) -> list[Fault]:
    """What keeps a map from becoming a card: too few lines, no islands, no reference."""
    faults = []
    place = session.name
    lines, islands = session.of_role("line"), session.of_role("island")
    if len(lines) < 2:
        message = f"{len(lines)} speed line{'' if len(lines) == 1 else 's'}; at least two are needed."
        remedy = "A card needs the lines of two speeds. Is it another kind of picture? Then say so in step 1."
        faults.append(Fault(place, "strokes", "", message, "", remedy))
    if not islands:
        message = (
            "there are no islands of efficiency, and no efficiency follows from flow and pressure ratio."
        )
        remedy = (
            "Mark the islands, or at least some places with their efficiency; or read it as a plain curve."
        )
        faults.append(Fault(place, "strokes", "", message, "", remedy))
    elif sum(len(stroke.points) for _, stroke in islands) < 4:
        message = "fewer than four places carry an efficiency."
        faults.append(Fault(place, "strokes", "", message, "", "Mark more of the islands."))
    for i, stroke in lines:
        if len(without_repeats(stroke.points)) < 3:
            named = f"speed line {stroke.value or i}"
            message = f"{named} has {len(stroke.points)} points; it needs three at least."
            faults.append(Fault(place, f"line {i}", "", message, "", "Add points, or delete it."))
    for i, stroke in islands:
        if len(stroke.points) == 0:
            message = f"island {stroke.value or i} has no points."
            faults.append(Fault(place, f"island {i}", "", message, "", "Mark it, or delete it."))
    for key, kind, example in (
        ("reference_pressure", "pressure", "101.325 kPa absolute"),
        ("reference_temperature", "temperature", "288.15 K"),
    ):
        text = session.fact(key)
        if not text:
            message = "is not given; the usual ones differ by 4 to 5 % of flow, so none is assumed."
            allowed = f"as printed on the map, for example {example}"
            remedy = "If it is not printed, ask whoever made the map."
            faults.append(Fault(place, key, "", message, allowed, remedy))
            continue
        try:
            parse_quantity(text, kind, place=place, key=key)
        except QuantityError as error:
            faults.append(error.fault)
    return faults


def line_doubts(session: Session, lines: Sequence[LineRead], islands: Sequence[IslandRead]) -> list[Fault]:
    """Slips of the hand, lines in the wrong order, islands that do not fit, what is extrapolated."""
    doubts: list[Fault] = []
    for line in lines:
        rpm = f"line {line.stroke} ({convert(line.speed, 'rotational_speed', 'rpm'):.0f} rpm)"
        slips = np.flatnonzero(np.abs(np.nan_to_num(line.rough)) > _ROUGH)
        if slips.size and not session.strokes[line.stroke - 1].traced:
            worst = int(slips[np.argmax(np.abs(line.rough[slips]))])
            message = (
                f"point {worst + 1} of {rpm} lies {abs(line.rough[worst]):.1f} pixels off its neighbours."
            )
            doubts.append(_asked(session, message, "Was it a slip? Drag it, or add points beside it."))
        if line.ratio.min() < 1.0005:
            message = f"{rpm} goes below a pressure ratio of 1."
            doubts.append(_asked(session, message, "Leave points out where the machine only throttles."))
    doubts += _far_and_coarse(session, lines)
    for lower, higher in pairwise(lines):
        low, high = max(lower.flow[0], higher.flow[0]), min(lower.flow[-1], higher.flow[-1])
        inside = higher.flow[(higher.flow >= low) & (higher.flow <= high)]
        if inside.size and np.any(_ratio(higher, inside) < _ratio(lower, inside)):
            message = f"line {higher.stroke} has the higher speed, and lies below line {lower.stroke}."
            doubts.append(_asked(session, message, "Are their speeds mixed up?"))
    for island in islands:
        known = island.residuals[np.isfinite(island.residuals)]
        if not known.size:
            message = (
                f"island {island.stroke} ({100 * island.value:g} %) lies off the speed lines and is not used."
            )
            doubts.append(_asked(session, message, "Are all speed lines there?"))
        elif np.sqrt(np.mean(known**2)) > 0.010:
            message = (
                f"island {island.stroke} ({100 * island.value:g} %) fits the others to "
                f"{100 * np.sqrt(np.mean(known**2)):.1f} points only."
            )
            doubts.append(_asked(session, message, "Is its value right? Are points of two islands mixed?"))
    return doubts


def _far_and_coarse(session: Session, lines: Sequence[LineRead]) -> list[Fault]:
    """What is carried on beyond the islands, and where the picture is too coarse: one question each."""
    doubts = []
    beyond = {line.stroke: line.known.count("extrapolated") for line in lines if "extrapolated" in line.known}
    if beyond:
        total = sum(len(line.known) for line in lines)
        message = (
            f"{sum(beyond.values())} of {total} points lie beyond the last island of their line "
            f"(lines {', '.join(map(str, beyond))})."
        )
        remedy = "Their efficiency is carried on from the surface. Mark further islands if there are any."
        doubts.append(_asked(session, message, remedy))
    worth, where = 0.0, []
    for line in lines:
        sure = np.array([word != "extrapolated" for word in line.known])
        coarse = sure & (line.per_pixel > _COARSE)
        if np.any(coarse):
            worth = max(worth, 100.0 * float(line.per_pixel[coarse].max()))
            where.append(f"{int(coarse.sum())} of line {line.stroke}")
    if where:
        message = (
            f"a pixel is worth up to {worth:.1f} points of efficiency at some points ({', '.join(where)})."
        )
        doubts.append(_asked(session, message, "A larger picture would tell it better."))
    return doubts


def _ratio(line: LineRead, flow: Array) -> Array:
    order = np.argsort(line.flow)
    return np.asarray(np.interp(flow, line.flow[order], line.ratio[order]))


def surge_doubts(
    session: Session,
    axes: AxesFit,
    lines: Sequence[LineRead],
    dense: Mapping[int, tuple[Array, Array]],
    swapped: bool,
) -> list[Fault]:
    """Lines that begin off the surge line: their left end is what counts as surge."""
    surges = [without_repeats(stroke.points) for _, stroke in session.of_role("surge")]
    surges = [points for points in surges if len(points) > 1]
    if not surges:
        return []
    axis = 1 if swapped else 0
    doubts = []
    full = max(float(line.flow.max()) for line in lines)
    for line in lines:
        curve = dense[line.stroke][0]
        ahead = curve[0] - (curve[min(12, len(curve) - 1)] - curve[0])
        longer = np.vstack([ahead[None], curve])
        first = longer[1]
        for points in surges:
            places = crossings(longer, smooth_curve(points)[0])
            if not places.size:
                continue
            i = min(int(places[0]), len(longer) - 2)
            met = longer[i] + (places[0] - i) * (longer[i + 1] - longer[i])
            at, end = axes.values(met[None])[0, axis], axes.values(first[None])[0, axis]
            gap = (end - at) * line.flow[0] / end / full
            if abs(gap) > _SURGE_GAP:
                side = "right" if gap > 0 else "left"
                message = (
                    f"line {line.stroke} begins {100 * abs(gap):.1f} % of full flow {side} of the surge line."
                )
                remedy = "Its left end is taken for surge. Begin it on the surge line if it is drawn so far."
                doubts.append(_asked(session, message, remedy))
    return doubts


def _asked(session: Session, message: str, remedy: str) -> Fault:
    return Fault(session.name, "", "", message, "", remedy, severity="warning")
