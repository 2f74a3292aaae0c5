"""Threshold: the engine speed at which the shut-gate balance reaches a stated boost, always with its band."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.components.compressor import CompressorSurface
from boostwright.components.compressor_from_build import compressor_at_edge
from boostwright.components.turbine_pulses import LARGEST_AMPLITUDE
from boostwright.solve.kernel.layout import SOLVED
from boostwright.solve.operating_point import Remark
from boostwright.solve.problem import Problem
from boostwright.solve.run import solve

__all__ = ["stated_boost", "threshold", "threshold_speeds"]

Array = NDArray[np.float64]
Assemble = Callable[[Array, str], Problem]
Edge = Callable[[Problem], Problem]

_RPM = 30.0 / np.pi
_FINE = 61
_NEAR = (0.55, 1.7)  # of the threshold: where the edges of the band are looked for first
_PULSES = 0.5  # by how much of itself the amplitude of the rule may be off; own estimate


@dataclass(frozen=True)
class _Doubt:
    """One thing that is not known: its words, and what puts a problem at its two edges."""

    words: str
    edges: tuple[Edge, Edge]


def stated_boost(build: Build) -> float:
    """Boost [Pa gauge] the threshold is stated for: the gate's spring rating, 50 kPa where there is no gate."""
    gate = build["wastegate"]
    return gate.si("spring_rating") if gate.text("kind") != "none" else 50e3


def threshold_speeds(top: float) -> Array:
    """Engine speeds (n,) [rad/s] between which the threshold is looked for, up to the engine's limit."""
    return np.linspace(0.12 * top, top, _FINE)


def _crossing(problem: Problem, boost: float) -> float:
    """Engine speed [rad/s] at which the shut-gate balance reaches a boost; NaN when it does not, minus infinity when
    the lowest speed already does."""
    states = solve(problem)
    reached = (states["outcome"] != SOLVED) | (states["pressure_im"] - problem.ambient.pressure >= boost)
    if not reached.any():
        return float("nan")
    if reached[0]:
        return float("-inf")
    i = int(np.argmax(reached))
    low, high = problem.speeds[i - 1], problem.speeds[i]
    # where it runs away before the next speed: straight on from the last steady pair, which is late rather than early
    j = i if states["outcome"][i] == SOLVED else i - 1
    if j == 0:
        return float(high)
    a, b = (float(states["pressure_im"][k]) - problem.ambient.pressure for k in (j - 1, j))
    step = problem.speeds[j] - problem.speeds[j - 1]
    found = problem.speeds[j - 1] + (boost - a) / (b - a) * step if b > a else high
    return float(min(max(found, low), high))


def _turbine_scaled(field: str, factor: float) -> Edge:
    def scaled(problem: Problem) -> Problem:
        points = problem.points.copy()
        points[field] *= factor
        return replace(problem, points=points)

    return scaled


def _pulses_scaled(factor: float) -> Edge:
    def scaled(problem: Problem) -> Problem:
        return problem.with_pulses(np.minimum(factor * problem.pulse_amplitude, LARGEST_AMPLITUDE))

    return scaled


def _compressor_moved(surface: CompressorSurface) -> Edge:
    def moved(problem: Problem) -> Problem:
        return problem.with_compressor(surface)

    return moved


def _doubts(problem: Problem, pulses_stated: bool) -> Iterator[_Doubt]:
    """What is not known of turbine, pulses and compressor."""
    turbine, surface = problem.turbine.known, problem.compressor
    for words, field, share in (
        ("the turbine's flow", "turbine_flow_scale", turbine.flow),
        ("the turbine's efficiency", "turbine_efficiency_scale", turbine.efficiency),
    ):
        if share > 0.0:
            yield _Doubt(words, (_turbine_scaled(field, 1.0 - share), _turbine_scaled(field, 1.0 + share)))
    if not pulses_stated and problem.pulse_amplitude.any():
        edges = _pulses_scaled(1.0 - _PULSES), _pulses_scaled(1.0 + _PULSES)
        yield _Doubt("the pulses at the turbine", edges)
    known = surface.known
    for words, low, high in (
        ("the compressor's flow", {"flow": -known.flow}, {"flow": known.flow}),
        ("the compressor's pressure rise", {"pressure": -known.pressure}, {"pressure": known.pressure}),
        ("the compressor's efficiency", {"efficiency": -known.efficiency}, {"efficiency": known.efficiency}),
    ):
        if low != high:
            at = [_compressor_moved(compressor_at_edge(surface, **shift)) for shift in (low, high)]
            yield _Doubt(words, (at[0], at[1]))


def _near(problem: Problem, speed: float) -> Problem:
    """The points about a speed [rad/s]."""
    near = (problem.speeds >= _NEAR[0] * speed) & (problem.speeds <= _NEAR[1] * speed)
    return replace(
        problem,
        points=problem.points[near],
        speeds=problem.speeds[near],
        pulse_amplitude=problem.pulse_amplitude[near],
    )


@dataclass(frozen=True)
class _Band:
    """Edges of a threshold [rad/s], NaN where one is not found, and what most of the width comes from."""

    low: float
    high: float
    most: str


def _band(problem: Problem, boost: float, middle: float, pulses_stated: bool) -> _Band:
    """Each doubt by itself at its two edges, put together as independent: root of the sum of squares."""
    below, above = [0.0], [0.0]
    widest, most = 0.0, ""
    near = _near(problem, middle)
    for doubt in _doubts(problem, pulses_stated):
        found = []
        for edge in doubt.edges:
            speed = _crossing(edge(near), boost)
            if not np.isfinite(speed):
                speed = _crossing(edge(problem), boost)
            found.append(max(speed, float(problem.speeds[0])) if not np.isnan(speed) else speed)
        shifts = np.array(found) - middle
        below.append(min(float(shifts.min()), 0.0) if np.isfinite(shifts).all() else float("nan"))
        above.append(max(float(shifts.max()), 0.0) if np.isfinite(shifts).all() else float("nan"))
        width = float(np.ptp(shifts)) if np.isfinite(shifts).all() else float("inf")
        if width > widest:
            widest, most = width, doubt.words
    low = middle - float(np.linalg.norm(below))
    return _Band(low, middle + float(np.linalg.norm(above)), most)


def _known_words(problem: Problem, pulses_stated: bool) -> str:
    """What the band rests on."""
    turbine, compressor = problem.turbine.known, problem.compressor.known
    parts = [
        f"turbine by {turbine.words}, flow {100 * turbine.flow:.0f} % and efficiency {100 * turbine.efficiency:.0f} %",
        f"compressor by {compressor.words}, flow {100 * compressor.flow:.0f} %, pressure rise "
        f"{100 * compressor.pressure:.0f} % and efficiency {100 * compressor.efficiency:.0f} points",
    ]
    if not pulses_stated and problem.pulse_amplitude.any():
        parts.append("pulses by a rule, half of themselves")
    return "; ".join(parts)


def threshold(build: Build, assemble: Assemble) -> Remark:
    """Engine speed at which the shut-gate steady balance reaches the stated boost, with its band.

    The band is what turbine, compressor and pulses are worth by what describes them (``components.how_known``); each
    doubt is run at both edges, and they are put together as independent ones.
    """
    boost = stated_boost(build)
    fine = assemble(threshold_speeds(build["engine"].si("speed_limit")), "gate-shut")
    middle = _crossing(fine, boost)
    if middle == -np.inf:
        message = (
            f"threshold: below {fine.speeds[0] * _RPM:.0f} rpm, the lowest speed looked at: the shut-gate balance "
            f"already gives {boost / 1e3:.0f} kPa of boost"
        )
        return Remark("threshold", message, None, "rad/s", "model")
    if np.isnan(middle):
        message = (
            f"threshold: {boost / 1e3:.0f} kPa of boost is not reached in steady state with the gate shut"
        )
        return Remark("threshold", message, None, "rad/s", "model")
    stated = build["turbine"].has("pulse_amplitude")
    band = _band(fine, boost, middle, stated)
    low, high = (f"{edge * _RPM:.0f}" if np.isfinite(edge) else "?" for edge in (band.low, band.high))
    most = f"; most of it from {band.most}" if band.most else ""
    message = (
        f"threshold: {middle * _RPM:.0f} rpm (band {low} to {high} rpm: {_known_words(fine, stated)}{most}) for "
        f"{boost / 1e3:.0f} kPa of boost in steady state with the gate shut; a lower bound: a gear and a ramp move "
        "it up"
    )
    return Remark("threshold", message, middle, "rad/s", "model")
