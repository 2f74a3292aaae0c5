"""What the exhaust probe shows along the points, in the collector or in a runner, and the parts of it."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.components.probe import ProbeReading, gas_at_probe, probe_reading, pulsed_reading
from boostwright.solve.problem import Problem

__all__ = ["probe_quantities", "runner_reading"]

Array = NDArray[np.float64]


def _flowing_share(problem: Problem) -> float:
    """Share of the cycle in which gas leaves a cylinder: from exhaust opening to top dead centre."""
    return (2.0 * math.pi - problem.engine.cycle.geometry.exhaust_opening) / (4.0 * math.pi)


def runner_reading(
    build: Build,
    problem: Problem,
    temperature_port: Array,
    temperature_end: Array,
    pressure_em: Array,
    flow: Array,
    gas_constant: Array,
) -> ProbeReading:
    """Reading of a probe in one cylinder's runner; arrays (...,), flow [kg/s] that cylinder's alone.

    temperature_port, temperature_end [K]: of the gas at the port and where the runner ends
    """
    manifold = build["exhaust_manifold"]
    gas = gas_at_probe(build["probe"], manifold, temperature_port, temperature_end)
    return pulsed_reading(
        build["probe"],
        gas,
        pressure_em,
        flow,
        gas_constant,
        manifold.si("runner_bore"),
        _flowing_share(problem),
    )


def probe_quantities(build: Build, problem: Problem, q: dict[str, Array]) -> None:
    """Add what the build's probe shows, (n,) in K, and what it stands below the gas by."""
    constant = problem.mixture.gas_constant
    if build["probe"].text("place") == "runner":
        each = q["mass_flow_exhaust"] / problem.points["cylinders"]
        found = runner_reading(
            build, problem, q["temperature_port"], q["temperature_em"], q["pressure_em"], each, constant
        )
    else:
        bore = build["exhaust_manifold"].si("collector_bore")
        found = probe_reading(
            build["probe"], q["temperature_em"], q["pressure_em"], q["mass_flow_exhaust"], constant, bore
        )
    q["egt_reading"] = found.reading
    q["probe_recovery_error"] = found.recovery
    q["probe_radiation_error"] = found.radiation
    q["probe_conduction_error"] = found.conduction
    q["probe_cycle_offset"] = found.cycle
