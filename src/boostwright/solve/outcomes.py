"""Why a point has no steady state, in words, and what must be known about a point that has one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.physics.gas import fittings
from boostwright.solve.cycle_flags import cycle_flags
from boostwright.solve.kernel.layout import NO_BALANCE, NO_TURBO, NOT_REACHED, SOLVED
from boostwright.solve.native import line_flows
from boostwright.solve.operating_point import Flag, Limit, NoSteadyState, Outcome, Solved
from boostwright.solve.problem import Problem
from boostwright.solve.quantities import in_surge

__all__ = ["flags_of", "outcomes_of"]

Array = NDArray[np.float64]
_RPM = 30.0 / np.pi
_FULL_OF_CHOKE = 0.98
_TAKEOFF_FORMS = {
    "hager-bassett": fittings.loss_branch_hager_bassett,
    "gardel": fittings.loss_branch_gardel,
    "idelchik": fittings.loss_branch_idelchik,
}


def _line_flows(problem: Problem, speed: float) -> tuple[float, float, float]:
    """Corrected flows [kg/s] of surge, line end and choke at one corrected speed [rad/s]."""
    surge, end, choke = line_flows(problem.maps[0], np.array([speed]))
    return float(surge[0]), float(end[0]), float(choke[0])


def _in_surge(problem: Problem, state: np.void) -> NoSteadyState:
    line, _, _ = _line_flows(problem, state["corrected_speed"])
    flow = float(state["corrected_flow"])
    ratio = float(state["compressor_pressure_ratio"])
    nearest = f"surge line: {line:.4f} kg/s corrected at a pressure ratio near {ratio:.2f}"
    message = (
        f"the engine would take {flow:.4f} kg/s corrected at a pressure ratio of {ratio:.2f}, left of the surge "
        f"line at {line:.4f} kg/s: flow there is not steady"
    )
    return NoSteadyState("compressor-surge", nearest, message)


def _no_balance(problem: Problem, state: np.void, speed_limit: float) -> NoSteadyState:
    speed = float(state["shaft_speed"]) * _RPM
    flow = float(state["corrected_flow"])
    _, _, choke = _line_flows(problem, state["corrected_speed"])
    limit = speed_limit * _RPM
    if flow >= _FULL_OF_CHOKE * choke:
        nearest = f"compressor choke: {choke:.4f} kg/s corrected"
        message = f"compressor choked: {flow:.4f} kg/s corrected, and the wheel still gains speed at {speed:.0f} rpm"
        return NoSteadyState("compressor-choked", nearest, message)
    if int(state["outcome"]) == NO_BALANCE:
        head, gap = float(state["collector_head"]), float(state["pressure_em"] - state["pressure_4"])
        nearest = f"collector: dynamic head {head / 1e3:.0f} kPa against {gap / 1e3:.0f} kPa across the gate"
        message = (
            f"the power left on the shaft jumps across zero at {speed:.0f} rpm shaft speed: the gate branch starts or "
            "stops flowing all at once, so no steady state lies between"
        )
        return NoSteadyState("no-balance", nearest, message)
    nearest = f"shaft speed limit: {limit:.0f} rpm"
    if int(state["outcome"]) == NOT_REACHED:
        message = (
            f"the target is not reached before the compressor map ends at {speed:.0f} rpm shaft speed "
            f"(limit {limit:.0f} rpm)"
        )
        return NoSteadyState("not-reached", nearest, message)
    message = (
        f"runs away: the wheel passes its limit of {limit:.0f} rpm and still gains speed at {speed:.0f} rpm, where "
        "the compressor map ends"
    )
    return NoSteadyState("runs-away", nearest, message)


def outcomes_of(problem: Problem, states: NDArray[np.void], speed_limit: float) -> tuple[Outcome, ...]:
    """``Solved`` or the typed reason for every point."""
    found: list[Outcome] = []
    no_turbo = int(problem.points["mode"][0]) == NO_TURBO
    surge = np.zeros(states.size, dtype=bool) if no_turbo else in_surge(problem, states)
    for i, state in enumerate(states):
        if int(state["outcome"]) != SOLVED:
            found.append(_no_balance(problem, state, speed_limit))
        elif surge[i]:
            found.append(_in_surge(problem, state))
        else:
            found.append(Solved(float(state["residual"])))
    return tuple(found)


def _map_flags(problem: Problem, q: Mapping[str, Array], i: int) -> list[Flag]:
    surface = problem.compressor
    speed, flow = float(q["corrected_speed"][i]), float(q["corrected_flow"][i])
    found = []
    if speed < surface.speed_lowest_measured:
        found.append(
            Flag(
                "map-below-lowest-line",
                f"corrected shaft speed {speed * _RPM:.0f} rpm lies below the map's lowest line "
                f"({surface.speed_lowest_measured * _RPM:.0f} rpm): extrapolated by similarity",
                "note",
            )
        )
    if speed > surface.speed_highest_measured:
        found.append(
            Flag(
                "map-above-highest-line",
                f"corrected shaft speed {speed * _RPM:.0f} rpm lies above the map's highest line "
                f"({surface.speed_highest_measured * _RPM:.0f} rpm): extrapolated",
            )
        )
    _, end, _ = _line_flows(problem, speed)
    if flow > end:
        found.append(
            Flag(
                "map-right-of-line-end",
                f"corrected flow {flow:.4f} kg/s lies right of the measured line's end ({end:.4f} kg/s): extrapolated",
            )
        )
    if q["surge_margin"][i] < 0.0:
        found.append(Flag("map-left-of-surge", "left of the extrapolated surge line, below the lowest line"))
    if q["compressor_pressure_ratio"][i] <= 1.0:
        found.append(
            Flag("compressor-restricts", "the compressor does not compress here, it is a restriction", "note")
        )
    return found


def _range_flags(problem: Problem, q: Mapping[str, Array], i: int) -> list[Flag]:
    found = []
    wheel = problem.turbine
    ratio, blade = float(q["turbine_expansion_ratio"][i]), float(q["blade_speed_ratio"][i])
    if not wheel.ratio_range[0] <= ratio <= wheel.ratio_range[1]:
        low, high = wheel.ratio_range
        found.append(
            Flag(
                "turbine-ratio-range",
                f"expansion ratio {ratio:.2f} outside the turbine's {low:.2f} to {high:.2f}",
            )
        )
    if not wheel.blade_range[0] <= blade <= wheel.blade_range[1]:
        low, high = wheel.blade_range
        found.append(
            Flag(
                "turbine-blade-range",
                f"blade-speed ratio {blade:.2f} outside the turbine's {low:.2f} to {high:.2f}",
            )
        )
    drive = float(q["drive_pressure_ratio"][i])
    if not 0.3 <= drive <= 2.5:
        found.append(
            Flag(
                "breathing-range",
                f"drive-pressure ratio {drive:.2f} outside 0.3 to 2.5 of the breathing form",
            )
        )
    if q["gate_lift"][i] > 0.0 and q["pressure_g"][i] <= q["pressure_4"][i]:
        found.append(
            Flag(
                "gate-branch-still",
                "static pressure in the collector lies below the downpipe's: the gate passes nothing",
            )
        )
    if q["collector_head"][i] > 0.25 * q["pressure_em"][i]:
        found.append(
            Flag(
                "collector-fast",
                "dynamic head above a quarter of p_em: incompressible junction loss is rough",
            )
        )
    return found


def _takeoff_flags(build: Build, q: Mapping[str, Array], i: int) -> list[Flag]:
    """Where the build's takeoff lies outside what the chosen relation was stated for."""
    gate = build["wastegate"]
    if gate.text("kind") == "none" or gate.has("takeoff_loss") or not q["mass_flow_gate"][i] > 0.0:
        return []
    name = gate.text("takeoff_relation")
    form = _TAKEOFF_FORMS[name]
    areas = (build["exhaust_manifold"].si("collector_bore") / gate.si("branch_bore")) ** 2
    outside = form.outside_valid_range(angle=gate.si("takeoff_angle"), area_ratio=areas)
    found = []
    if outside.get("angle", False):
        low, high = np.degrees(form.valid["angle"].low), np.degrees(form.valid["angle"].high)
        found.append(
            Flag(
                "takeoff-angle-range",
                f"takeoff angle {np.degrees(gate.si('takeoff_angle')):.0f} degrees outside {low:.0f} to {high:.0f} of "
                f"the {name} relation: extrapolated",
            )
        )
    if outside.get("area_ratio", False):
        low, high = form.valid["area_ratio"].low, form.valid["area_ratio"].high
        found.append(
            Flag(
                "takeoff-area-range",
                f"collector over branch area {areas:.2f} outside {low:.1f} to {high:.1f} of the {name} relation",
            )
        )
    return found


def flags_of(
    build: Build,
    problem: Problem,
    q: Mapping[str, Array],
    outcomes: Sequence[Outcome],
    limits: Sequence[Limit],
    turbo: bool,
) -> tuple[tuple[Flag, ...], ...]:
    """Flags of every point: validity ranges left, knock, limits exceeded, a rig fan that is weaker than the road."""
    everywhere = []
    if build["charge_cooler"].text("kind") == "air" and build["charge_cooler"].text("air_side") == "dyno-fan":
        share = build["charge_cooler"].si("dyno_fan_derating")
        everywhere.append(
            Flag("cooler-on-dyno-fan", f"charge cooler derated to {share:.2f} for a dyno's fan", "note")
        )
    of_cycles = cycle_flags(problem, q)
    found: list[tuple[Flag, ...]] = []
    for i, outcome in enumerate(outcomes):
        if isinstance(outcome, NoSteadyState):
            found.append(())
            continue
        here = [*everywhere, *of_cycles[i]]
        if turbo:
            here += _map_flags(problem, q, i) + _range_flags(problem, q, i) + _takeoff_flags(build, q, i)
        for limit in limits:
            used = float(limit.utilisation[i])
            if np.isfinite(used) and used > 1.0:
                here.append(
                    Flag(f"limit-{limit.name}", f"{limit.words}: beyond its limit ({limit.source})", "limit")
                )
        found.append(tuple(here))
    return tuple(found)
