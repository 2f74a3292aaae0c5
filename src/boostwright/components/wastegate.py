"""Wastegate, its branch, its actuator and the plumbing that feeds it."""

from __future__ import annotations

import numpy as np

from boostwright.build import Build, Section
from boostwright.physics.gas.pipe import friction_factor_haaland
from boostwright.physics.turbo import actuator

__all__ = ["TAKEOFF_RELATIONS", "signal_shares", "wastegate_fields"]

TAKEOFF_RELATIONS = ("hager-bassett", "gardel", "idelchik")
_STATED = 3.0
_ROUGHNESS = 0.05e-3  # m, welded steel tube; from memory
_REYNOLDS = 1.0e5  # of a hot branch; the friction factor hardly moves about it


def signal_shares(plumbing: str, duty: float, hose: str) -> tuple[float, float]:
    """(p_lower - p_upper)/(p_signal - p_amb) at a duty, and the least the plumbing can reach [-].

    lower: the solenoid bleeds the lower chamber; upper: the lower chamber has the signal, the solenoid feeds the upper
    one; both: lower by 1 - duty, upper by duty. Ideal: pressure goes linearly with duty. A lost hose feeds nothing.
    """
    least = {"lower": 0.0, "upper": 0.0, "both": -1.0}[plumbing]
    if hose == "lost":
        return 0.0, 0.0
    share = {"lower": 1.0 - duty, "upper": 1.0 - duty, "both": 1.0 - 2.0 * duty}[plumbing]
    return share, least


def _spring_force(gate: Section, diaphragm: float, head: float, lever: float) -> float:
    if gate.text("spring_rating_basis") == "running":
        return float(
            actuator.preload_from_running_rating(
                gate.si("spring_rating"), diaphragm, head * lever, gate.si("running_pressure_difference")
            )
        )
    return float(actuator.preload_from_bench_rating(gate.si("spring_rating"), diaphragm))


def _branch_loss(gate: Section) -> float:
    """Loss coefficient of the branch pipe on its own dynamic head: wall friction and bends."""
    bore = gate.si("branch_bore")
    factor = float(friction_factor_haaland(_REYNOLDS, _ROUGHNESS / bore))
    return factor * gate.si("branch_length") / bore + gate.si("branch_bend_loss")


def wastegate_fields(build: Build) -> dict[str, float]:
    """Point fields of the gate and its control; a count of 0 stands for no gate at all."""
    gate, control = build["wastegate"], build["boost_control"]
    share, least = signal_shares(
        control.text("plumbing"), control.si("fixed_duty"), control.text("signal_hose")
    )
    fields = {"signal_share": share, "signal_share_low": least, "gate_count": 0.0, "gate_full_lift": 1.0}
    if gate.text("kind") == "none":
        return fields
    valve = gate.si("valve_diameter")
    flap = gate.text("kind") == "flap"
    lever = gate.si("lever_arm_flap") / gate.si("lever_arm_actuator") if flap else 1.0
    stem = 0.0 if flap else gate.si("stem_diameter")
    head = float(np.pi / 4.0 * valve**2)
    diaphragm = float(np.pi / 4.0 * gate.si("diaphragm_diameter") ** 2)
    collector = build["exhaust_manifold"].si("collector_bore")
    stated = gate.has("takeoff_loss")
    form = _STATED if stated else float(TAKEOFF_RELATIONS.index(gate.text("takeoff_relation")))
    return fields | {
        "gate_count": gate.si("count"),
        "gate_diameter": valve,
        "gate_stem_diameter": stem,
        "gate_full_lift": gate.si("full_lift") / lever,  # stated at the valve, used at the rod
        "gate_discharge_curtain": gate.si("discharge_coefficient"),
        "gate_discharge_seat": gate.si("seat_discharge_coefficient"),
        "gate_lever": lever,
        "gate_open_outlet": 1.0 if gate.text("outlet") == "open" else 0.0,
        "diaphragm_area": diaphragm,
        "spring_force": _spring_force(gate, diaphragm, head, lever),
        "spring_rate": gate.si("spring_rate"),
        "friction_force": gate.si("friction_force"),
        "head_area": head,
        "back_area": head - float(np.pi / 4.0 * stem**2),
        "head_force_fall": gate.si("head_force_fall"),
        "takeoff_form": form,
        "takeoff_angle": gate.si("takeoff_angle"),
        "takeoff_area_ratio": (collector / gate.si("branch_bore")) ** 2,
        "takeoff_loss": gate.si("takeoff_loss") if stated else 0.0,
        "branch_loss": _branch_loss(gate),
        "signal_from_plenum": 1.0 if gate.text("signal_source") == "plenum" else 0.0,
    }
