"""Records the compiled kernels read and write: one record a point, SI units throughout.

``POINT`` is everything a point needs to know (filled by ``components``); ``STATE`` is what comes out. A batch is an
array of records, so a sweep, a cloud of samples and a list of parts are the same call.
"""

from __future__ import annotations

from typing import Any

import numpy as np

__all__ = [
    "COURSE_FLOOR",
    "GATE_OPEN",
    "GATE_SHUT",
    "KNOCK_LIMIT",
    "MODES",
    "NOT_REACHED",
    "NO_BALANCE",
    "NO_TURBO",
    "OUTCOMES",
    "PHASING",
    "POINT",
    "RUNS_AWAY",
    "SOLVED",
    "SPARK_ANGLE",
    "SPRING",
    "STATE",
    "TARGET",
]

# As elements of an array, not as plain whole numbers: the compiler makes a copy of everything below a call for each
# plain number that is handed down, five copies of the whole solver for the five modes.
_CODES: Any = np.arange(5)
GATE_SHUT, SPRING, TARGET, GATE_OPEN, NO_TURBO = _CODES
MODES = ("gate-shut", "spring", "target", "gate-open", "no-turbo")

PHASING, SPARK_ANGLE, KNOCK_LIMIT = range(3)
"""What sets the phasing: a stated angle of half burned, the ignition angle, or the knock limit."""

COURSE_FLOOR = 0.55
"""Of ``temperature_residual``: below it the course is not followed, in trial states far from any engine."""

SOLVED, RUNS_AWAY, NOT_REACHED, NO_BALANCE = range(4)
OUTCOMES = ("solved", "runs-away", "not-reached", "no-balance")

POINT = np.dtype(
    [
        # ambient
        ("pressure_amb", "f8"),  # Pa
        ("temperature_amb", "f8"),  # K
        # engine
        ("engine_speed", "f8"),  # rad/s
        ("displacement", "f8"),  # m3, whole engine
        ("compression_ratio", "f8"),
        # gases: cp = c0 + c1 T + .. + c4 T^4 [J/(kg K)], then the constant that makes h(298.15 K) = 0 [J/kg]
        ("gas_constant_air", "f8"),  # J/(kg K)
        ("air", "f8", (6,)),
        ("gas_constant_exhaust", "f8"),
        ("exhaust_low", "f8", (6,)),  # below 1000 K
        ("exhaust_high", "f8", (6,)),
        # fuel
        ("fuel_air_ratio", "f8"),  # kg fuel per kg humid air
        ("released_heat", "f8"),  # J per kg fuel actually released in the cylinder
        # breathing
        ("volumetric_efficiency", "f8"),
        ("breathing_form", "f8"),  # 0 Eriksson, 1 Heywood
        ("breathing_reference", "f8"),  # the form at the table's own pressure ratio
        ("breathing_temperature", "f8"),  # K
        ("breathing_exponent", "f8"),
        # cylinder
        ("cylinders", "f8"),
        ("clearance_volume", "f8"),  # m3, one cylinder
        ("volume_closing", "f8"),  # m3, when the intake valve closes
        ("volume_opening", "f8"),  # m3, when the exhaust valve opens
        ("gas_constant_fresh", "f8"),  # J/(kg K), air and fuel vapour
        ("fresh_heat", "f8"),  # J/K of air and its fuel, per kg air
        ("residual_heat", "f8"),  # J/(kg K), mean on the way down to the charge's temperature
        ("evaporation_heat", "f8"),  # J per kg air, taken from the charge
        ("intake_heat_share", "f8"),  # how far the charge comes towards the wall's temperature
        ("wall_temperature", "f8"),  # K
        ("trapped_temperature_shift", "f8"),  # K, for a band
        (
            "residual_volume",
            "f8",
        ),  # m3, one cylinder: clearance, and what the piston sweeps to and fro in overlap
        (
            "overlap_opening",
            "f8",
        ),  # s/m, area of both valves in series over the overlap's time, per residual_volume
        (
            "overlap_piston",
            "f8",
        ),  # Pa/kg of residual gas: pressure with which the piston moves it through both
        ("exhaust_stroke_units", "f8"),  # -, transfer units of what stays on the exhaust stroke, at 150 kPa
        ("temperature_residual", "f8"),  # K, of a cycle like this point's, blown down without loss of heat
        ("residual_course", "f8", (7,)),  # K: 1, flow, flow^2, p_em, flow p_em, T_im, flow T_im
        ("spark_form", "f8"),  # PHASING, SPARK_ANGLE, KNOCK_LIMIT
        ("phasing", "f8"),  # rad: CA50; spark angle; best CA50
        ("spark_limit", "f8"),  # -; burn progress at half burned; logarithm of the knock integral allowed
        ("valve_loss", "f8"),  # - of p_im
        (
            "port_conductance",
            "f8",
        ),  # J/(kg K) with 1 kg in a cylinder, as mass^-0.2; exhaust stroke and ports
        (
            "cycle",
            "f8",
            (368,),
        ),  # this point's piece of the table of closed cycles: head of 16, then four polynomials
        # intake, cooler, throttle: loss = K m^2 T / p, K in Pa^2 s^2/(kg^2 K)
        ("intake_loss", "f8"),
        ("compressor_count", "f8"),
        ("compressor_index", "i8"),
        ("shaft_speed_ceiling", "f8"),  # rad/s, the end of the compressor surface; the search stops there
        ("cooler_transfer_units", "f8"),  # NTU at cooler_flow; 0 = none
        ("cooler_flow", "f8"),  # kg/s
        ("cooler_derating", "f8"),
        ("cooler_temperature", "f8"),  # K, cooling air
        ("cooler_loss", "f8"),
        ("throttle_loss", "f8"),
        # exhaust side
        ("collector_area", "f8"),  # m2
        ("heat_conductance", "f8"),  # W/K
        ("turbine_index", "i8"),
        ("turbine_count", "f8"),
        ("turbine_radius", "f8"),  # m
        ("turbine_flow_scale", "f8"),
        ("turbine_efficiency_scale", "f8"),
        ("mechanical_efficiency", "f8"),
        ("exhaust_loss", "f8"),
        # gate
        ("gate_count", "f8"),  # 0 = none
        ("gate_diameter", "f8"),  # m, valve seat
        ("gate_stem_diameter", "f8"),
        ("gate_full_lift", "f8"),  # m at the actuator rod
        ("gate_discharge_curtain", "f8"),
        ("gate_discharge_seat", "f8"),
        ("gate_lever", "f8"),  # valve movement per rod movement (1 for a poppet)
        ("gate_open_outlet", "f8"),  # 1 = dumps to ambient, not into the exhaust
        ("diaphragm_area", "f8"),  # m2
        ("spring_force", "f8"),  # N at the seat
        ("spring_rate", "f8"),  # N/m
        ("friction_force", "f8"),  # N, against opening
        ("head_area", "f8"),  # m2 seen by the gas ahead of the valve
        ("back_area", "f8"),  # m2 seen by the gas behind it
        ("head_force_fall", "f8"),
        ("takeoff_form", "f8"),  # 0 Hager/Bassett, 1 Gardel, 2 Idelchik, 3 stated number
        ("takeoff_angle", "f8"),  # rad through which the branch flow turns
        ("takeoff_area_ratio", "f8"),  # collector over branch
        ("takeoff_loss", "f8"),
        ("branch_loss", "f8"),  # on the branch's own dynamic head
        # control
        ("signal_from_plenum", "f8"),
        ("signal_share", "f8"),  # (p_lower - p_upper)/(p_signal - p_amb) at the given duty
        ("signal_share_low", "f8"),  # the least the plumbing can reach
        ("target_pressure", "f8"),  # Pa absolute in the intake manifold
        ("mode", "i8"),
    ],
    align=True,
)

STATE = np.dtype(
    [
        ("outcome", "i8"),
        ("mode_held", "i8"),  # which condition in fact holds the point: GATE_SHUT, SPRING, TARGET, GATE_OPEN
        ("gate_pushed_open", "i8"),  # 1 = the least signal still leaves the gate open against the target
        ("residual", "f8"),
        ("evaluations", "i8"),
        ("mass_flow_air", "f8"),
        ("mass_flow_fuel", "f8"),
        ("mass_flow_turbine", "f8"),
        ("mass_flow_gate", "f8"),
        ("shaft_speed", "f8"),
        ("pressure_1", "f8"),
        ("pressure_2", "f8"),
        ("temperature_2", "f8"),
        ("pressure_bp", "f8"),
        ("temperature_bp", "f8"),
        ("pressure_im", "f8"),
        ("temperature_im", "f8"),
        ("pressure_em", "f8"),
        ("temperature_port", "f8"),
        ("temperature_em", "f8"),
        ("pressure_g", "f8"),
        ("pressure_4", "f8"),
        ("temperature_4", "f8"),
        ("temperature_turbine_outlet", "f8"),
        ("corrected_speed", "f8"),
        ("corrected_flow", "f8"),
        ("compressor_pressure_ratio", "f8"),
        ("compressor_power", "f8"),
        ("turbine_power", "f8"),
        ("turbine_efficiency", "f8"),
        ("blade_speed_ratio", "f8"),
        ("volumetric_efficiency", "f8"),
        ("trapped_mass", "f8"),  # kg, one cylinder
        ("trapped_temperature", "f8"),
        ("trapped_pressure", "f8"),
        ("residual_fraction", "f8"),
        ("angle_half_burned", "f8"),
        ("gross_work", "f8"),  # J, one cylinder and cycle
        (
            "cylinder_wall_heat",
            "f8",
        ),  # J, one cylinder and cycle, valves shut, less what the fresh charge takes up
        ("port_heat_flow", "f8"),  # W, whole engine
        ("temperature_opening", "f8"),
        ("pressure_opening", "f8"),
        ("cooler_effectiveness", "f8"),
        ("gate_lift", "f8"),
        ("takeoff_loss", "f8"),
        ("collector_head", "f8"),
        ("signal_share", "f8"),
    ],
    align=True,
)
