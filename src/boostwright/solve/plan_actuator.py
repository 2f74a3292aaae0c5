"""A gate that stands wherever a target asks for it, so that a plan can ask what the engine bears before it asks which
spring and which plumbing get it there."""

from __future__ import annotations

from dataclasses import replace

from boostwright.solve.problem import Problem

__all__ = ["ACTUATOR_FIELDS", "free_actuator"]

ACTUATOR_FIELDS = ("spring_force", "spring_rate", "friction_force", "signal_share", "signal_share_low")
"""What of a point belongs to spring and signal."""

_NO_LEAST = -1e9


def free_actuator(problem: Problem) -> Problem:
    """The problem with a gate that is neither held shut by its spring nor pushed open against the signal.

    Valve, branch and takeoff stay as they are, and with them the creep floor.
    """
    points = problem.points.copy()
    for name in ("spring_force", "spring_rate", "friction_force"):
        points[name] = 0.0
    points["signal_share"] = 1.0
    points["signal_share_low"] = _NO_LEAST
    return replace(problem, points=points)
