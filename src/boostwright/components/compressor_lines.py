"""Measured speed lines of a compressor card, brought to one reference condition and one speed a line."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.card import Card
from boostwright.cards.compressor import groups_of_lines
from boostwright.physics.turbo.compressor_similarity import isentropic_head, pressure_ratio_of_head
from boostwright.physics.turbo.corrected import (
    REFERENCE_PRESSURE,
    REFERENCE_TEMPERATURE,
    referred_flow,
    referred_speed,
)

__all__ = ["SpeedLine", "speed_lines"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class SpeedLine:
    """One measured speed line, corrected to 288.15 K and 101 325 Pa, in order of rising flow.

    speed           [rad/s]  of the whole line
    flow            (n,) [kg/s]
    pressure_ratio  (n,) [-] total to total
    efficiency      (n,) [-] isentropic, total to total
    """

    speed: float
    flow: Array
    pressure_ratio: Array
    efficiency: Array


def speed_lines(card: Card) -> tuple[SpeedLine, ...]:
    """The card's points as lines at the inner reference condition, in order of speed, each in order of flow.

    card  a card of kind 'compressor'
    Each point is moved to the mean speed of its line by similarity (flow with speed, head with speed
    squared). Points of equal flow and head are averaged.
    """
    t_ref = card.si("reference_temperature")
    p_ref = card.si("reference_pressure")
    speed = referred_speed(card.columns["corrected_speed"], t_ref, REFERENCE_TEMPERATURE)
    flow = referred_flow(
        card.columns["corrected_flow"], t_ref, p_ref, REFERENCE_TEMPERATURE, REFERENCE_PRESSURE
    )
    groups = groups_of_lines(speed, card.columns.get("line"))
    ratio, efficiency = card.columns["pressure_ratio"], card.columns["efficiency"]
    if card.has("loss_factor"):
        head = isentropic_head(ratio, REFERENCE_TEMPERATURE)
        work = head / efficiency
        head = work - card.si("loss_factor") * (work - head)
        ratio, efficiency = pressure_ratio_of_head(head, REFERENCE_TEMPERATURE), head / work
    return tuple(_line(speed[g], flow[g], ratio[g], efficiency[g]) for g in groups)


def _line(speed: Array, flow: Array, ratio: Array, efficiency: Array) -> SpeedLine:
    mean = float(np.mean(speed))
    head = isentropic_head(ratio, REFERENCE_TEMPERATURE) * (mean / speed) ** 2
    flow = flow * (mean / speed)
    order = np.lexsort((-head, flow))
    flow, head, efficiency = flow[order], head[order], efficiency[order]
    # Equal flows: the same reading twice is averaged. On a vertical choke line the head differs, and the
    # points are set apart by a hair so that the line stays a function of flow.
    hair = 2e-4 * float(flow[-1])
    starts = [0]
    for i in range(1, len(flow)):
        if flow[i] - flow[starts[-1]] > 1e-9 * flow[-1] or abs(head[i] / head[starts[-1]] - 1.0) > 0.02:
            starts.append(i)
    blocks = np.split(np.arange(len(flow)), starts[1:])
    flow = np.array([flow[b].mean() for b in blocks])
    head = np.array([head[b].mean() for b in blocks])
    efficiency = np.array([efficiency[b].mean() for b in blocks])
    for i in range(1, len(flow)):
        flow[i] = max(flow[i], flow[i - 1] + hair * (flow[i] <= flow[i - 1]))
    return SpeedLine(mean, flow, pressure_ratio_of_head(head, REFERENCE_TEMPERATURE), efficiency)
