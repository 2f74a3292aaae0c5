"""Force in the rods at solved points, and the force that a believed torque implies.

A torque alone says little of a rod: what bends it is gas less inertia, over the crank, of a strong cycle. The belief is
turned into that force once, by the table of closed cycles that the points use, and held at every speed and phasing.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.cards.card import Card
from boostwright.cards.look_up import find_card
from boostwright.components.breathing import valve_loss_share
from boostwright.components.closed_cycle import cycle_fuel
from boostwright.components.cycle_table import CycleTable
from boostwright.components.friction import friction_pressure
from boostwright.components.rods import SIGMAS, Belief, Rods, rods_of
from boostwright.physics.cylinder import definitions, scatter, slider_crank, trapped_charge
from boostwright.solve.cycle_store import cycle_table
from boostwright.solve.kernel.cycle_layout import CYCLE_OUTPUTS
from boostwright.solve.native import cycle_outputs, rod_forces
from boostwright.solve.problem import Problem

__all__ = [
    "ImpliedForce",
    "beyond_table",
    "implied_force",
    "rod_parameters",
    "rod_quantities",
    "rod_quantities_of_samples",
    "rods_of_build",
    "work_balance",
]

Array = NDArray[np.float64]

LATEST_BELIEVED = np.radians(30.0)
"""Latest CA50 at which anybody is taken to have held full load; own estimate."""

_SLOWEST_SHARE = 0.25  # of the speed limit, below which nobody means full load; own estimate
_CHARGE = (350.0, 0.04)  # K and residual fraction of the charge a belief is reckoned with; own estimate
_TRAPPED_RATIO = 1.1  # pressure at intake closing over that in the manifold, as most points have it
_ROUNDS, _CLOSE = 16, 1e-7  # of the charge that gives a torque
_FUELS = ("petrol-ron95", "petrol-ron98", "e85")  # of the library, where nobody says which it was
_KEYS = ("engine", "fuel", "cylinder", "breathing", "rods", "driveline", "spark")


@dataclass(frozen=True)
class ImpliedForce:
    """What a believed torque means for the rod.

    force     [N] largest compression over the crank, of a strong cycle
    gas, inertia  [N] along the cylinder, at ``angle`` [rad] of the crank
    torque    [N m] at the crank; speed [rad/s], phasing [rad] and fuel that imply the smallest force; "" is the
              build's own fuel
    unknown   what nobody said, so that the smallest force was taken
    beyond    True where the charge it takes lies outside the table of closed cycles, and the force is a guess
    """

    force: float
    gas: float
    inertia: float
    angle: float
    torque: float
    speed: float
    phasing: float
    fuel: str
    unknown: tuple[str, ...]
    beyond: bool = False


@functools.lru_cache(maxsize=32)
def _material(name: str, folder: Path) -> Card:
    return find_card("material", name, folder)


def rods_of_build(build: Build) -> Rods | None:
    """Rods of a build with the card of their material; None where it does not watch them."""
    keys = build["rods"]
    if keys.text("given_as") == "none":
        return None
    return rods_of(build, _material(keys.text("material"), build.folder) if keys.has("material") else None)


def rod_parameters(build: Build, rods: Rods, table: CycleTable, below: float) -> Array:
    """Parameters (5,) of ``rod_forces``; ``below`` [Pa] is the pressure under the piston."""
    geometry = table.model.geometry
    strong = scatter.peak_pressure_of_strong_cycle(1.0, build["cylinder"].si("peak_pressure_scatter"), SIGMAS)
    half = 0.5 * geometry.stroke
    area = 0.25 * np.pi * geometry.bore**2
    return np.array(
        [float(strong), area, below, half / geometry.rod_length, rods.reciprocating_mass * half], dtype=float
    )


def rod_quantities(build: Build, problem: Problem, q: dict[str, Array]) -> None:
    """Add the peak pressure of a strong cycle and, where the build watches its rods, what they carry: (n,) in SI."""
    _strong_peak(q, build["cylinder"].si("peak_pressure_scatter"))
    rods = rods_of_build(build)
    if rods is None:
        return
    n = problem.speeds.size
    _carried(problem, q, np.tile(rod_parameters(build, rods, problem.cycle, 0.0), (n, 1)))
    _overlap(problem, q, rods.reciprocating_mass, rods.overlap_pressure)
    if rods.bolts is not None:
        _bolts(problem, q, rods.pulling_mass)
    if rods.belief is not None:
        q["rod_force_believed"] = np.full(n, implied_force(build, problem.cycle, rods).force)


def rod_quantities_of_samples(builds: Sequence[Build], problem: Problem, q: dict[str, Array]) -> None:
    """The same for k builds that differ in [rods], in the scatter of peak pressure and in their driveline alone.

    builds   (k,), all of one engine
    problem  its points are those of the first build, then those of the second ..., as many of each
    """
    each = problem.speeds.size // len(builds)
    scatters = np.array([build["cylinder"].si("peak_pressure_scatter") for build in builds])
    _strong_peak(q, np.repeat(scatters, each))
    rods = [found for build in builds if (found := rods_of_build(build)) is not None]
    if not rods:
        return
    parameters = np.array(
        [rod_parameters(b, own, problem.cycle, 101325.0) for b, own in zip(builds, rods, strict=True)]
    )
    _carried(problem, q, np.repeat(parameters, each, axis=0))
    mass, overlap = (
        np.repeat([getattr(own, name) for own in rods], each)
        for name in ("reciprocating_mass", "overlap_pressure")
    )
    _overlap(problem, q, mass, overlap)
    if rods[0].bolts is not None:
        _bolts(problem, q, np.repeat([own.pulling_mass for own in rods], each))
    beliefs = [own.belief for own in rods if own.belief is not None]
    if beliefs:
        q["rod_force_believed"] = np.repeat(_implied_of(builds[0], problem.cycle, beliefs, parameters), each)


def _strong_peak(q: dict[str, Array], share: float | Array) -> None:
    strong = scatter.peak_pressure_of_strong_cycle.formula(q["peak_pressure"], share, SIGMAS)
    q["peak_pressure_strong"] = np.asarray(strong, dtype=float)


def _carried(problem: Problem, q: dict[str, Array], parameters: Array) -> None:
    """Largest compression over the crank by parameters (n, 5), the air outside below the pistons."""
    parameters[:, 2] = q["pressure_amb"]
    found = rod_forces(
        problem.rows,
        q["trapped_mass"],
        q["trapped_temperature"],
        q["residual_fraction"],
        q["angle_half_burned"],
        problem.speeds,
        parameters,
    )
    found[~np.isfinite(q["trapped_mass"])] = np.nan
    for k, name in enumerate(("compression", "gas", "inertia", "angle")):
        q[f"rod_force_{name}"] = found[:, k].copy()


def _overlap(problem: Problem, q: dict[str, Array], mass: float | Array, pressure: float | Array) -> None:
    """Pull on the rod at overlap top dead centre with the throttle shut."""
    geometry = problem.cycle.model.geometry
    inertia = slider_crank.inertia_force.formula(
        0.0, mass, geometry.stroke, geometry.rod_length, problem.speeds
    )
    gas = slider_crank.gas_force.formula(pressure, q["pressure_amb"], geometry.bore)
    q["rod_force_tension"] = np.asarray(slider_crank.rod_force_overlap.formula(gas, inertia), dtype=float)


def _bolts(problem: Problem, q: dict[str, Array], mass: float | Array) -> None:
    """The same on the cap bolts, with what of the big end hangs on them [kg]."""
    own = slider_crank.rotating_force.formula(mass, problem.cycle.model.geometry.stroke, problem.speeds)
    q["rod_bolt_pull"] = q["rod_force_tension"] + np.asarray(own, dtype=float)


def _fingerprint(build: Build) -> tuple[Any, ...]:
    """Every value the implied force hangs on."""
    return tuple(
        (name, key, value.si, value.text, value.curve, value.points)
        for name in _KEYS
        for key, value in build[name].values.items()
    )


def implied_force(build: Build, table: CycleTable, rods: Rods) -> ImpliedForce:
    """Smallest force that the belief of a build can mean.

    table  of the build's closed cycle
    """
    return _implied(_fingerprint(build), _Held(build, table, rods))


class _Held:
    """A build and what was made of it, alike to the memory, which tells them apart by their fingerprint."""

    def __init__(self, build: Build, table: CycleTable, rods: Rods) -> None:
        self.build, self.table, self.rods = build, table, rods

    def __hash__(self) -> int:
        return 0

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held)


@functools.lru_cache(maxsize=64)
def _implied(fingerprint: tuple[Any, ...], held: _Held) -> ImpliedForce:
    build, rods = held.build, held.rods
    belief = rods.belief
    if belief is None:
        message = "implied_force: the build believes nothing of its rods"
        raise ValueError(message)
    speeds, phasings = _range(build, belief)
    tables = _tables(build, belief, held.table)
    best: ImpliedForce | None = None
    unknown = tuple(
        words
        for words, value in (("speed", belief.speed), ("phasing", belief.phasing), ("fuel", belief.fuel))
        if value is None
    )
    speed, angle = (array.ravel() for array in np.meshgrid(speeds, phasings, indexing="ij"))
    for fuel, table in tables.items():
        parameters = np.tile(rod_parameters(build, rods, table, 101325.0), (speed.size, 1))
        found, mass = _forces(build, table, parameters, belief.torque, speed, angle)
        at = int(np.argmin(found[:, 0]))
        force, gas, inertia, crank = (float(value) for value in found[at])
        where = float(speed[at]), float(angle[at])
        one = ImpliedForce(
            force,
            gas,
            inertia,
            crank,
            belief.torque,
            *where,
            fuel,
            unknown,
            bool(beyond_table(table, mass)[at]),
        )
        if best is None or one.force < best.force:
            best = one
    if best is None:
        message = "implied_force: no fuel to reckon with"
        raise ValueError(message)
    return best


def _range(build: Build, belief: Belief) -> tuple[Array, Array]:
    """Speeds [rad/s] and phasings [rad] among which the smallest force is sought; one where it is known."""
    limit = build["engine"].si("speed_limit")
    speeds = (
        np.linspace(_SLOWEST_SHARE * limit, limit, 7) if belief.speed is None else np.array([belief.speed])
    )
    if belief.phasing is not None:
        return speeds, np.array([belief.phasing])
    first = build["spark"].si("best_phasing")
    return speeds, np.linspace(first, max(LATEST_BELIEVED, first), 12)


def _tables(build: Build, belief: Belief, own: CycleTable) -> Mapping[str, CycleTable]:
    """Tables of closed cycles by fuel: the one believed, else the build's own and those of the library."""
    name = build["fuel"].text("card")
    mixed = build["fuel"].has("blend_card")
    if belief.fuel == name and not mixed:
        return {name: own}
    names = (
        (belief.fuel,) if belief.fuel is not None else tuple(fuel for fuel in _FUELS if mixed or fuel != name)
    )
    found = {} if belief.fuel is not None else {"": own}
    for fuel in names:
        card = find_card("fuel", fuel, build.folder)
        burned = replace(cycle_fuel(card), combustion_efficiency=own.model.fuel.combustion_efficiency)
        found[fuel] = cycle_table(replace(own.model, fuel=burned), own.box)
    return found


def _forces(
    build: Build,
    table: CycleTable,
    parameters: Array,
    torque: float | Array,
    speed: Array,
    phasing: Array,
) -> tuple[Array, Array]:
    """Force, gas, inertia, angle (n, 4) at torques [N m], speeds (n,) [rad/s] and CA50 (n,) [rad]; trapped mass [kg].

    parameters  (n, 5) of ``rod_forces``
    """
    curve = build["fuel"].curve("lambda_target")
    each, where = np.unique(speed, return_inverse=True)
    rows = table.rows(each, np.array([curve.at(one) for one in each]))[where]
    volume = table.model.geometry.displacement
    hot, left = (np.full(speed.shape, value) for value in _CHARGE)
    mass = np.full(speed.shape, 1.5 * 1.2 * volume)
    wanted = 4.0 * np.pi * torque / build["engine"].si("cylinders")
    for _ in range(_ROUNDS):
        gross, losses = work_balance(build, table, rows, (mass, hot, left, phasing), speed)
        step = np.clip((wanted + losses) / gross, 0.5, 2.0)
        mass = mass * step
        if np.abs(step - 1.0).max() < _CLOSE:
            break
    return rod_forces(rows, mass, hot, left, phasing, speed, parameters), mass


def beyond_table(table: CycleTable, mass: Array) -> NDArray[np.bool_]:
    """(n,) True where a trapped mass [kg] is a charge whose density the table of closed cycles does not know."""
    geometry = table.model.geometry
    density = mass / float(geometry.volume(geometry.intake_closing))
    return np.asarray(table.outside(density=density)["density"])


def _implied_of(build: Build, table: CycleTable, beliefs: Sequence[Belief], parameters: Array) -> Array:
    """Smallest force (k,) [N] that each of k beliefs on one engine can mean, one place of the search at a time."""
    count = len(beliefs)
    torque = np.array([belief.torque for belief in beliefs])
    lowest = np.full(count, np.inf)
    ranges = [_range(build, belief) for belief in beliefs]
    speeds, phasings = (np.array([one[k] for one in ranges]) for k in range(2))  # (k, places) each
    for cycle in _tables(build, beliefs[0], table).values():
        for speed in speeds.T:
            for phasing in phasings.T:
                found, _ = _forces(build, cycle, parameters, torque, speed, phasing)
                lowest = np.minimum(lowest, found[:, 0])
    return lowest


def work_balance(
    build: Build, table: CycleTable, rows: Array, state: tuple[Array, Array, Array, Array], speed: Array
) -> tuple[Array, Array]:
    """Gross work, and work lost to pumping and friction, of one cylinder and cycle [J], (n,).

    state  trapped mass [kg], temperature [K], residual fraction, CA50 [rad], each (n,)
    Exhaust and intake manifold are taken at one pressure: what they differ by is the turbine's, not the rod's.
    """
    geometry = table.model.geometry
    out = dict(zip(CYCLE_OUTPUTS, cycle_outputs(rows, *state).T, strict=True))
    manifold = out["pressure_closing"] / _TRAPPED_RATIO
    swept = [
        float(geometry.volume(np.pi) - geometry.volume(angle))
        for angle in (geometry.intake_closing, geometry.exhaust_opening)
    ]
    outside = trapped_charge.work_outside_closed_part.formula(
        out["pressure_closing"], swept[0], out["pressure_opening"], manifold, swept[1]
    )
    piston = np.asarray(definitions.mean_piston_speed(geometry.stroke, speed), dtype=float)
    solved = np.isfinite(manifold) & np.isfinite(out["peak_pressure"])  # elsewhere there is nothing to rub at
    peak, held = (np.where(solved, pressure, 101325.0) for pressure in (out["peak_pressure"], manifold))
    lost = friction_pressure(build, peak, held, piston, speed)
    lost = np.where(solved, lost, np.nan) + valve_loss_share(build, piston) * manifold
    return out["work"] + outside, lost * geometry.displacement
