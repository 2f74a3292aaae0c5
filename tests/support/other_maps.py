"""Compressor maps that are no card: a hill of efficiency written down as such, whose work follows no rule."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from boostwright.cards.card import Card
from boostwright.cards.look_up import find_card

__all__ = ["HILLS", "hill"]

HILLS = {
    "narrow": ((70, 90, 110, 125, 140, 150), 0.79, (0.55, 1.10), (0.10, 0.16), (0.60, 0.12), 0.6, 2.0, 0.0),
    "wide": ((50, 70, 90, 110, 130, 145, 160), 0.76, (0.30, 0.75), (0.05, 0.20), (0.58, 0.20), 1.0, 2.0, 0.0),
    "flat on top": ((60, 85, 110, 135), 0.82, (0.35, 0.90), (0.07, 0.17), (0.60, 0.10), 0.8, 3.0, 0.5),
    "of an old machine": (
        (50, 75, 100, 120, 140),
        0.70,
        (0.25, 0.60),
        (0.08, 0.22),
        (0.50, 0.25),
        1.2,
        2.0,
        0.8,
    ),
}
"""Speeds [1000/min]; best efficiency; its fall to surge and to choke; flow at surge and at choke, share of a kg/s;
head and its fall; how flow at choke falls with speed; how round the hill is; how it falls away from the best speed."""


def hill(name: str) -> Card:
    """The map as a card; its head falls towards choke by a formula of its own."""
    speeds, peak, falls, flows, heads, tilt, shape, beside = HILLS[name]
    rows = []
    for rpm in speeds:
        m, speed = rpm / speeds[-1], rpm * 1e3 * 2.0 * np.pi / 60.0
        right = flows[1] * (1.0 - 0.22 * (m - 0.6) * tilt)
        left = min(flows[0] * (1.0 + 0.54 * (m - 1.0)), 0.8 * right)
        u = np.sin(np.linspace(0.0, 0.5 * np.pi, 19))
        top = 0.52 + 0.15 * (m - 0.6)
        head = heads[0] * (
            1 - heads[1] * u**2 - 1.8 * np.maximum(u - 0.6, 0) ** 2.2 * (m + 0.2) + 0.05 * np.sin(2.2 * u)
        )
        efficiency = (
            peak
            - beside * (m - 0.72) ** 2
            - falls[0] * np.maximum(top - u, 0) ** shape * (0.7 + 0.6 * m)
            - falls[1]
            * np.maximum(u - top, 0) ** (shape + 0.4)
            * (1.3 - 0.4 * m)
            * (1 + 1.5 * np.maximum(u - 0.85, 0))
        )
        ratio = (1.0 + head * (0.03 * speed) ** 2 / (1005.0 * 298.0)) ** 3.5
        flow = (left + (right - left) * u) * m * (1.0 + 0.25 * (m - 0.6))
        rows += [(speed, *point) for point in zip(flow, ratio, efficiency, strict=True)]
    base = find_card("compressor", "cc3-vaneless")
    keys = ("corrected_speed", "corrected_flow", "pressure_ratio", "efficiency")
    columns = dict(zip(keys, np.array(rows).T, strict=True))
    return replace(base, header=replace(base.header, name="hill"), columns=columns)
