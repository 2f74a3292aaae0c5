"""What the rods allow beside a prediction: torque at their allowed force, and the sums in words."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.components.rods import Column, Rods
from boostwright.solve.operating_point import Choice, Remark
from boostwright.solve.problem import Problem
from boostwright.solve.rod_torque import allowed_compression, torque_at_force
from boostwright.solve.rods import ImpliedForce, implied_force, rods_of_build
from boostwright.tasks.beside import Beside

__all__ = ["rod_figures"]

Array = NDArray[np.float64]
_RPM = 30.0 / np.pi
_DEGREE = np.pi / 180.0


def rod_figures(build: Build, problem: Problem, q: Mapping[str, Array]) -> Beside:
    """Torque at the allowed force along the points, and what stands behind it; nothing where rods are not watched.

    q  quantities along the points (n,), SI, with those of ``rod_quantities``
    """
    rods = rods_of_build(build)
    if rods is None:
        return Beside()
    allowed = allowed_compression(build, rods, q)
    torque = torque_at_force(build, problem, rods, q, allowed)
    remarks = []
    if rods.belief is not None:
        remarks.append(_belief(implied_force(build, problem.cycle, rods)))
    sums = _sum(q, allowed, torque)
    if sums is not None:
        remarks.append(sums)
    return Beside(
        quantities={"torque_rods": torque}, remarks=tuple(remarks), choices=tuple(_choices(build, rods))
    )


def _belief(found: ImpliedForce) -> Remark:
    """The force that a belief means, as a sum."""
    fuel = found.fuel or "the build's own fuel"
    message = (
        f"rods: {found.torque:.0f} Nm at the crank, at {found.speed * _RPM:.0f} rpm, CA50 "
        f"{found.phasing / _DEGREE:.0f} deg and on {fuel}, is {found.gas / 1e3:.1f} kN gas - "
        f"{found.inertia / 1e3:.1f} kN inertia on the piston at {found.angle / _DEGREE:.0f} deg, and "
        f"{found.force / 1e3:.1f} kN along the rod in a strong cycle; that force is held at every speed"
    )
    if found.unknown:
        words = " and ".join(found.unknown)
        message += (
            f". Nobody said {words}: what implies the smallest force was taken; knowing it would allow more"
        )
    if found.beyond:
        message += (
            ". That takes a charge outside the table of closed cycles: the force is no better than a guess"
        )
    return Remark("rod-belief", message, found.force, "N", "model")


def _sum(q: Mapping[str, Array], allowed: Array, torque: Array) -> Remark | None:
    """Gas less inertia where the rods are used most."""
    used = q["rod_force_compression"] / allowed
    if not np.isfinite(used).any():
        return None
    i = int(np.nanargmax(used))
    message = (
        f"rods are pressed most for what they may bear at {q['engine_speed'][i] * _RPM:.0f} rpm: "
        f"{q['rod_force_gas'][i] / 1e3:.1f} kN gas - {q['rod_force_inertia'][i] / 1e3:.1f} kN inertia at "
        f"{q['rod_force_angle'][i] / _DEGREE:.0f} deg, {q['rod_force_compression'][i] / 1e3:.1f} kN along the rod; "
        f"allowed {allowed[i] / 1e3:.1f} kN. Torque there {q['torque'][i]:.0f} Nm; at this phasing the force allows "
    )
    message += (
        f"{torque[i]:.0f} Nm" if np.isfinite(torque[i]) else "more than the table of closed cycles reaches"
    )
    return Remark("rod-sum", message, float(q["rod_force_compression"][i]), "N", "model")


def _choices(build: Build, rods: Rods) -> list[Choice]:
    """Masses, columns and bolts in words."""
    keys = build["rods"]
    weighed = keys.written("reciprocating_mass") or keys.written("piston_mass")
    words = f"{rods.reciprocating_mass:.3f} kg goes to and fro with each piston"
    found = [Choice("rods", words, "build", "" if weighed else "own estimate")]
    if rods.shank is not None:
        planes = "; ".join(_plane(one) for one in rods.shank.columns)
        words = (
            f"{rods.shank.area * 1e6:.0f} mm2 of {rods.shank.material}, {planes}; the lowest over "
            f"{rods.shank.safety_factor:g} is {rods.shank.compression_allowed / 1e3:.1f} kN"
        )
        found.append(Choice("rod shank", words, "build", "from memory"))
    if rods.bolts is not None:
        bolts = rods.bolts
        words = (
            f"{bolts.count} bolts, proof load {bolts.proof_load / 1e3:.1f} kN, preload {bolts.preload / 1e3:.1f} kN, "
            f"{100.0 * bolts.load_share:.0f} % of the pull on them: {bolts.first} at "
            f"{bolts.pull_allowed / 1e3:.1f} kN on all"
        )
        found.append(Choice("cap bolts", words, "build", "from memory"))
    return found


def _plane(one: Column) -> str:
    ends = "hinged" if one.end_condition == 1.0 else "clamped"
    where = "in the plane it swings in" if one.plane == "swing" else "across it"
    return (
        f"{where} ({ends}, slenderness {one.slenderness:.0f}) Euler {one.euler / 1e3:.0f}, Johnson "
        f"{one.johnson / 1e3:.1f}, Rankine {one.rankine / 1e3:.1f} kN"
    )
