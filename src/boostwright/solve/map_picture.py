"""The compressor card as arrays for a plot: speed lines, efficiency, surge line, measured points."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from boostwright.components.compressor import CompressorSurface
from boostwright.solve.native import compressor_states, line_flows
from boostwright.solve.operating_point import CompressorMapPicture

__all__ = ["map_picture"]

Array = NDArray[np.float64]

_PRESSURE, _TEMPERATURE = 101325.0, 288.15
_HEAT = 1004.675 * _TEMPERATURE
_ALONG = 41
_BELOW = 6


def map_picture(surface: CompressorSurface, name: str) -> CompressorMapPicture:
    """Speed lines of the card, and a few extrapolated ones below, at 101 325 Pa and 288.15 K."""
    low, high = surface.speed_lowest_measured, surface.speed_highest_measured
    below = np.linspace(0.35 * low, low, _BELOW, endpoint=False)
    measured = np.array([line.speed for line in surface.lines])
    speeds = np.concatenate([below, measured])
    surge, _, choke = line_flows(surface.table, speeds)
    flow = surge[:, None] + (choke - surge)[:, None] * np.linspace(0.0, 1.0, _ALONG)
    grid = np.repeat(speeds[:, None], _ALONG, axis=1)
    ratio, work = compressor_states(surface.table, grid.ravel(), flow.ravel())
    ratio, work = ratio.reshape(flow.shape), work.reshape(flow.shape)
    with np.errstate(divide="ignore", invalid="ignore"):
        efficiency = np.where(ratio > 1.0, _HEAT * (ratio ** (1.0 / 3.5) - 1.0) / work, np.nan)
    fine = np.linspace(0.35 * low, high, 40)
    fine_flow, _, _ = line_flows(surface.table, fine)
    fine_ratio, _ = compressor_states(surface.table, fine, fine_flow)
    points = (
        () if surface.known.estimate else surface.lines
    )  # an estimate has no points that anybody measured

    def of_points(values: Iterable[Array]) -> Array:
        found = list(values)
        return np.concatenate(found) if found else np.empty(0)

    return CompressorMapPicture(
        speeds_corrected=speeds,
        flow=flow,
        pressure_ratio=ratio,
        efficiency=efficiency,
        surge_flow=fine_flow,
        surge_pressure_ratio=fine_ratio,
        measured_flow=of_points(line.flow for line in points),
        measured_pressure_ratio=of_points(line.pressure_ratio for line in points),
        measured_efficiency=of_points(line.efficiency for line in points),
        measured_speed=of_points(np.full(line.flow.size, line.speed) for line in points),
        reference="101.325 kPa, 288.15 K",
        reference_pressure=_PRESSURE,
        reference_temperature=_TEMPERATURE,
        name=name,
    )
