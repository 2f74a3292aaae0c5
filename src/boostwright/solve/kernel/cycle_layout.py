"""Records of the closed cycle: ``CYCLE`` goes in, ``CYCLE_STATE`` comes out, ``PATH`` is the piston's way.

Angles are in radians after firing top dead centre. Gases are given per kilogram of charge: cp = c0 + c1 T + .. +
c4 T^4 [J/(kg K)], then the constant that makes the enthalpy zero at 298.15 K, below and above 1000 K.
"""

from __future__ import annotations

import numpy as np

__all__ = [
    "BESIDE",
    "CYCLE",
    "CYCLE_OUTPUTS",
    "CYCLE_STATE",
    "HOHENBERG",
    "NO_WALL_HEAT",
    "PATH",
    "WALL_FORMS",
    "WOSCHNI",
]

BESIDE = (-0.38, -0.26, -0.14, -0.02, 0.10, 0.22, 0.34)
"""Angles about that of half burned, in burn durations, at which pressure is kept: the peak lies among them."""

NO_WALL_HEAT, WOSCHNI, HOHENBERG = 0, 1, 2
WALL_FORMS = ("none", "woschni", "hohenberg")

PATH = ("log_volume", "volume", "wall_area", "motored_factor", "hohenberg_factor", "log_volume_step")
"""Columns of the piston's way (n + 1, 6): ln V, V [m3], wall area [m2], (V0/V)^1.32, 130 V^-0.06, and the slope of
ln V times the step."""

CYCLE = np.dtype(
    [
        ("angle_start", "f8"),  # intake valve closes
        ("angle_step", "f8"),
        ("engine_speed", "f8"),  # rad/s
        ("mass", "f8"),  # kg, air + fuel vapour + residual
        ("temperature", "f8"),  # K, at intake closing
        # burn
        ("burn_start", "f8"),
        ("burn_duration", "f8"),
        ("wiebe_factor", "f8"),
        ("wiebe_exponent", "f8"),
        ("angle_half_burned", "f8"),
        ("angle_knock_end", "f8"),  # end gas is watched up to here
        ("heat", "f8"),  # J per kg charge set free at 298.15 K
        ("work_kept", "f8"),  # share of the work of frozen gas that dissociation leaves
        # gases
        ("gas_constant_unburned", "f8"),  # J/(kg K)
        ("gas_constant_burned", "f8"),
        ("unburned_low", "f8", (6,)),
        ("unburned_high", "f8", (6,)),
        ("difference_low", "f8", (6,)),  # unburned less burned
        ("difference_high", "f8", (6,)),
        # walls
        ("wall_form", "f8"),  # index of WALL_FORMS
        ("wall_factor", "f8"),
        ("wall_temperature", "f8"),  # K
        ("bore", "f8"),  # m
        ("displacement", "f8"),  # m3, one cylinder
        ("clearance_volume", "f8"),  # m3
        ("mean_piston_speed", "f8"),  # m/s
        # knock
        ("octane_number", "f8"),  # nan = not predicted
    ],
    align=True,
)

CYCLE_STATE = np.dtype(
    [
        ("work", "f8"),  # J, gas on piston from intake closing to exhaust opening
        ("peak_pressure", "f8"),  # Pa
        ("peak_angle", "f8"),  # rad
        ("pressure_beside", "f8", (7,)),  # Pa at half burned + BESIDE times the burn duration
        ("compression_pressure", "f8"),  # Pa at top dead centre, had nothing burned
        ("wall_heat", "f8"),  # J
        ("released_heat", "f8"),  # J, reckoned at 298.15 K
        ("pressure_opening", "f8"),  # Pa, exhaust valve opens
        ("temperature_opening", "f8"),  # K
        ("knock_integral", "f8"),
        ("end_gas_temperature", "f8"),  # K, highest
        ("highest_temperature", "f8"),  # K, mean of the gas
        ("burn_duration", "f8"),  # rad
        ("pressure_closing", "f8"),  # Pa, intake valve closes
        ("energy_residual", "f8"),  # of the released heat (of the first internal energy without any)
    ],
    align=True,
)

CYCLE_OUTPUTS = (
    "work",  # J, closed part
    "wall_heat",  # J
    "temperature_opening",  # K
    "pressure_opening",  # Pa
    "pressure_closing",  # Pa
    "knock_integral",  # nan where knock is not predicted
    "burn_duration",  # rad
    "peak_pressure",  # Pa
    "peak_angle",  # rad after top dead centre
    "released_heat",  # J
)
"""What the table gives, in order."""
