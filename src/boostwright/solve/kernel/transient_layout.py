"""Records and places of the transient kernel: what a plant is, its state, what a phase asks, and what is written down.

SI throughout. A state is an array; the constants here are its places. Behind the dynamic states stand running totals of
the flows of mass and energy, integrated with the same weights, from which the balances are closed to rounding.
"""

from __future__ import annotations

import numpy as np

__all__ = [
    "ANSWERS",
    "BRAKE",
    "CLUTCH_OPEN",
    "DYNAMIC",
    "DYNAMIC_COUNT",
    "NEUTRAL",
    "PHASE_COLUMNS",
    "PLANT",
    "ROAD",
    "ROLLER",
    "SLOW",
    "SLOW_COUNT",
    "STATE_COUNT",
    "TOTALS",
]

# fmt: off
SHAFT, COMPRESSOR_FLOW, MASS_BP, ENERGY_BP, MASS_IM, ENERGY_IM, MASS_EM, ENERGY_EM, MASS_4, ENERGY_4, GATE_FLOW, \
    CHAMBER_LOWER, CHAMBER_UPPER, RELIEF, WALL_1, WALL_2, HOUSING, CORE = range(18)
# fmt: on
DYNAMIC = (
    "shaft_speed",  # rad/s
    "mass_flow_compressor",  # kg/s
    "mass_bp",  # kg, J of internal energy above that at 298.15 K less R x 298.15 K
    "energy_bp",
    "mass_im",
    "energy_im",
    "mass_em",
    "energy_em",
    "mass_4",
    "energy_4",
    "mass_flow_gate",
    "chamber_lower",  # Pa
    "chamber_upper",
    "relief_opening",  # -
    "temperature_wall",  # K
    "temperature_wall_2",
    "temperature_housing",
    "temperature_core",
)
DYNAMIC_COUNT = 18
STIFF_COUNT = 14
"""The first of them, which the Jacobian knows; walls are slow."""

# fmt: off
T_TURBINE, T_COMPRESSOR, T_MASS_COMPRESSOR, T_MASS_THROTTLE, T_MASS_ENGINE, T_MASS_PORT, T_MASS_TURBINE, T_MASS_GATE, \
    T_MASS_EXHAUST, T_MASS_RELIEF, T_HEAT_COOLER, T_HEAT_THROTTLE, T_HEAT_RELIEF, T_HEAT_ENGINE, T_HEAT_PORT, \
    T_HEAT_TURBINE, T_HEAT_GATE, T_HEAT_WALLS, T_HEAT_DOWNPIPE, T_HEAT_EXHAUST = range(18, 38)
# fmt: on
TOTALS = (
    "work_turbine",  # J after the bearings
    "work_compressor",
    "total_compressor",  # kg into the boost pipe
    "total_throttle",
    "total_engine",
    "total_port",
    "total_turbine",
    "total_gate",
    "total_exhaust",
    "total_relief",
    "heat_boost_pipe",  # J of enthalpy into the boost pipe behind the cooler
    "heat_throttle",
    "heat_relief",
    "heat_engine",
    "heat_port",
    "heat_turbine",  # out of the exhaust manifold
    "heat_gate",
    "heat_walls",
    "heat_downpipe",  # into the downpipe
    "heat_exhaust",
)
STATE_COUNT = DYNAMIC_COUNT + len(TOTALS)

# fmt: off
ENGINE_SPEED, VEHICLE_SPEED, THROTTLE, FIRING, INTEGRAL, LIFT, LIFT_RATE, MIXTURE, IDLE, LOCKED, ENGINE_RATE, DUTY \
    = range(12)
# fmt: on
SLOW = (
    "engine_speed",
    "vehicle_speed",
    "throttle_position",
    "firing",
    "duty_integral",
    "gate_lift",
    "gate_rate",
    "mixture",
    "idle_integral",
    "locked",
    "engine_rate",
    "solenoid_duty",
)
SLOW_COUNT = 12

NEUTRAL, BRAKE, ROAD, ROLLER, CLUTCH_OPEN = range(5)
PHASE_COLUMNS = (
    "load",  # NEUTRAL ..
    "duration",  # s, at most
    "pedal_from",
    "pedal_to",
    "gear",  # 0 none
    "end_speed",  # rad/s, 0 none
    "ramp",  # rad/s2, of a brake
    "slope",  # of the road, rise over way
    "on_road",  # 1 the car on the road, 0 its driven wheels on a roller
)
P_LOAD, P_DURATION, P_PEDAL, P_PEDAL_TO, P_GEAR, P_END, P_RAMP, P_SLOPE, P_ROAD = range(9)

PLANT = np.dtype(
    [
        ("step", "f8"),  # s between written rows
        ("substeps", "f8"),  # of the integrator in one
        # shaft and compressor
        ("shaft_inertia", "f8"),  # kg m2, all turbochargers
        ("duct_ratio", "f8"),  # m, area over length
        ("zero_flow_head", "f8"),
        ("deep_from", "f8"),  # rad/s corrected, from where the head left of surge falls as deep as stated
        ("deep_to", "f8"),
        ("compressor_flow_scale", "f8"),
        ("compressor_head_scale", "f8"),
        ("compressor_work_scale", "f8"),
        # volumes, m3
        ("volume_bp", "f8"),
        ("volume_im", "f8"),
        ("volume_em", "f8"),
        ("volume_4", "f8"),
        # walls, W/K and J/K
        ("wall_inside_1", "f8"),
        ("wall_outside_1", "f8"),
        ("wall_capacity_1", "f8"),
        ("wall_inside_2", "f8"),
        ("wall_outside_2", "f8"),
        ("wall_capacity_2", "f8"),
        ("housing_conductance", "f8"),
        ("housing_capacity", "f8"),
        ("cooler_air_share", "f8"),
        ("core_capacity", "f8"),
        # actuator
        ("chamber_area", "f8"),  # m2 effective
        ("chamber_volume", "f8"),
        ("moving_mass", "f8"),
        ("damping", "f8"),  # N s/m
        ("head_law", "f8"),  # 0 straight, 1 falls early
        ("branch_time", "f8"),  # s
        # control
        ("plumbing", "f8"),  # 0 lower, 1 upper, 2 both
        ("hose_lost", "f8"),
        ("controller", "f8"),  # 0 none, 1 table, 2 closed loop
        ("gain", "f8"),  # 1/Pa
        ("reset_time", "f8"),  # s
        ("fixed_duty", "f8"),
        # throttle and relief valve
        ("throttle_time", "f8"),
        ("throttle_shut", "f8"),  # rad
        ("throttle_leak", "f8"),  # of the open area
        ("relief_area", "f8"),  # m2 effective, 0 none
        ("relief_from", "f8"),  # Pa
        ("relief_span", "f8"),
        ("relief_time", "f8"),
        ("relief_recirculates", "f8"),
        # engine and car
        ("engine_inertia", "f8"),
        ("idle_speed", "f8"),
        ("motored_work", "f8"),  # - of p_im times a cylinder's displacement
        ("cut_speed", "f8"),  # rad/s, above which fuel is cut with the pedal up
        ("loss_share", "f8"),
        ("drag_torque", "f8"),
        ("final_drive", "f8"),
        ("gears", "f8", (12,)),
        ("gear_count", "f8"),
        ("rolling_radius", "f8"),
        ("mass_road", "f8"),  # kg, wheels included
        ("mass_roller", "f8"),
        ("weight", "f8"),  # N
        ("rolling_resistance", "f8"),
        ("drag_factor", "f8"),  # N s2/m2
        ("clutch_torque", "f8"),
        # tables over engine speed
        ("grid_from", "f8"),  # rad/s
        ("grid_step", "f8"),
        ("grid_count", "f8"),
    ],
    align=True,
)

ANSWERS = (
    "time",
    "phase",
    "gear",
    "pedal_position",
    "throttle_position",
    "engine_speed",
    "engine_acceleration",
    "vehicle_speed",
    "clutch",
    "firing",
    "torque",
    "friction_torque",
    "shaft_speed",
    "shaft_acceleration",
    "mass_flow_compressor",
    "mass_flow_throttle",
    "mass_flow_air",
    "mass_flow_fuel",
    "mass_flow_relief",
    "mass_flow_turbine",
    "mass_flow_gate",
    "mass_flow_exhaust",
    "pressure_1",
    "pressure_2",
    "temperature_2",
    "pressure_bp",
    "temperature_bp",
    "pressure_im",
    "temperature_im",
    "pressure_em",
    "temperature_em",
    "pressure_g",
    "pressure_4",
    "temperature_4",
    "temperature_turbine_outlet",
    "gate_lift",
    "gate_rate",
    "chamber_lower",
    "chamber_upper",
    "solenoid_duty",
    "pressure_im_target",
    "relief_opening",
    "temperature_wall",
    "temperature_wall_2",
    "temperature_housing",
    "temperature_core",
    "compressor_power",
    "turbine_power",
    "turbine_efficiency",
    "blade_speed_ratio",
    "corrected_speed",
    "corrected_flow",
    "surge_flow",
    "compressor_pressure_ratio",
    "mixture",
    "angle_half_burned",
    "peak_pressure",
    "residual_fraction",
    "trapped_mass",
    "trapped_temperature",
    "collector_head",
    "gas_constant_exhaust",
    "exhaust_heat_flow",
    "port_enthalpy",
    "wheel_torque",
    "duty_integral",
)
"""What is written down, a row a step; behind these stand all states and totals in their order."""
