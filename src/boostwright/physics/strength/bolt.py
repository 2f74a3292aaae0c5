"""Bolts with metric threads: stress area, tightening, and how a preloaded joint shares a pull.

While the parts stay together, a bolt takes only a share of what pulls at the joint, and the clamped parts give up the
rest. Two ends: the parts come apart, or the bolt passes its proof load.
"""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "assembly_preload_vdi_2230",
    "bolt_proof_load",
    "bolt_stress_area",
    "joint_stiffness_wileman",
    "pull_at_proof_load",
    "pull_at_separation",
    "shank_stiffness",
    "tightening_torque_vdi_2230",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_SHARE = Interval(0.0, 1.0, open_low=True, open_high=True)
_FRICTION = Interval(0.0, 1.0, open_low=True)
_THREAD = {"nominal_diameter": _ABOVE_ZERO, "thread_pitch": _ABOVE_ZERO}
# ISO 724 / 68-1: pitch and core diameter of the metric profile are d - 0.649519 P and d - 1.226869 P
_PITCH_DIAMETER, _CORE_DIAMETER = 0.649519, 1.226869
_FLANK = 1.154700538379252  # 1 / cos 30 deg
_CORE_LEFT = {
    "a pitch that leaves a core": lambda thread_pitch, nominal_diameter: (
        _CORE_DIAMETER * thread_pitch < nominal_diameter
    )
}


@relation(source="iso-898-1", status="from memory", domain=_THREAD, needs=_CORE_LEFT)
def bolt_stress_area(nominal_diameter: Number, thread_pitch: Number) -> Number:
    """Nominal stress area of a metric thread.

    nominal_diameter  (...,)  [m]
    thread_pitch      (...,)  [m]
    Returns (...,) [m2]. Raises OutOfDomain for a size not above 0.
    Source: ISO 898-1: a circle of the mean of pitch and core diameter, d - 0.9382 P, from memory."""
    return 0.25 * np.pi * (nominal_diameter - 0.9382 * thread_pitch) ** 2


@relation(
    source="iso-898-1",
    status="read second-hand",
    domain={"stress_area": _ABOVE_ZERO, "proof_stress": _ABOVE_ZERO},
)
def bolt_proof_load(stress_area: Number, proof_stress: Number) -> Number:
    """Load that a bolt of its class bears without staying longer.

    stress_area   (...,)  [m2]
    proof_stress  (...,)  [Pa]  of the class: 580 MPa for 8.8 up to 16 mm, 830 for 10.9, 970 for 12.9
    Returns (...,) [N]. Raises OutOfDomain for an argument not above 0.
    Source: ISO 898-1:2013, table 5: proof stress times nominal stress area."""
    return stress_area * proof_stress


@relation(
    source="vdi-2230",
    status="from memory",
    domain={
        **_THREAD,
        "yield_strength": _ABOVE_ZERO,
        "friction_coefficient": _FRICTION,
        "utilisation": Interval(0.0, 1.0, open_low=True),
    },
    needs=_CORE_LEFT,
)
def assembly_preload_vdi_2230(
    nominal_diameter: Number,
    thread_pitch: Number,
    yield_strength: Number,
    friction_coefficient: Number,
    utilisation: Number = 0.9,
) -> Number:
    """Preload at which tightening brings the bolt to a share of its yield, twist included.

    nominal_diameter      (...,)  [m]
    thread_pitch          (...,)  [m]
    yield_strength        (...,)  [Pa]  of the bolt
    friction_coefficient  (...,)  [-]   in the thread
    utilisation           (...,)  [-]   share of the yield strength, 0.9 in the tables
    Returns (...,) [N]. Raises OutOfDomain outside the ranges given.
    Source: VDI 2230 part 1 (2003), from memory; reproduces published tables to 0.5 %."""
    pitch_diameter = nominal_diameter - _PITCH_DIAMETER * thread_pitch
    core_diameter = nominal_diameter - _CORE_DIAMETER * thread_pitch
    across = 0.5 * (pitch_diameter + core_diameter)
    lead = thread_pitch / (np.pi * pitch_diameter)
    twist = 1.5 * pitch_diameter / across * (lead + _FLANK * friction_coefficient)
    result: Number = 0.25 * np.pi * across**2 * utilisation * yield_strength / np.sqrt(1.0 + 3.0 * twist**2)
    return result


@relation(
    source="vdi-2230",
    status="from memory",
    domain={
        **_THREAD,
        "preload": Interval(0.0),
        "friction_coefficient": _FRICTION,
        "head_friction_diameter": _ABOVE_ZERO,
    },
    needs=_CORE_LEFT,
)
def tightening_torque_vdi_2230(
    preload: Number,
    nominal_diameter: Number,
    thread_pitch: Number,
    friction_coefficient: Number,
    head_friction_diameter: Number,
) -> Number:
    """Torque that gives a preload.

    preload                 (...,)  [N]
    nominal_diameter        (...,)  [m]
    thread_pitch            (...,)  [m]
    friction_coefficient    (...,)  [-]  in the thread and under the head
    head_friction_diameter  (...,)  [m]  mean of hole and bearing face of the head
    Returns (...,) [N m]. Raises OutOfDomain outside the ranges given.
    Source: VDI 2230 part 1 (2003), F (0.16 P + 0.58 d2 mu + D_km / 2 mu), from memory."""
    pitch_diameter = nominal_diameter - _PITCH_DIAMETER * thread_pitch
    return preload * (
        0.16 * thread_pitch + friction_coefficient * (0.58 * pitch_diameter + 0.5 * head_friction_diameter)
    )


@relation(
    source="wileman-1991",
    status="from memory",
    domain={"nominal_diameter": _ABOVE_ZERO, "grip_length": _ABOVE_ZERO, "youngs_modulus": _ABOVE_ZERO},
)
def joint_stiffness_wileman(nominal_diameter: Number, grip_length: Number, youngs_modulus: Number) -> Number:
    """Stiffness of clamped parts of steel round a bolt.

    nominal_diameter  (...,)  [m]   of the bolt
    grip_length       (...,)  [m]   clamped length
    youngs_modulus    (...,)  [Pa]  of the parts
    Returns (...,) [N/m]. Raises OutOfDomain outside the ranges given.
    Source: Wileman, Choudhury and Green (1991), constants of steel 0.78715 and 0.62873, from memory by way of Shigley,
    eq. 8-23 and table 8-8."""
    result: Number = (
        0.78715 * youngs_modulus * nominal_diameter * np.exp(0.62873 * nominal_diameter / grip_length)
    )
    return result


@relation(
    source="definition",
    status="definition",
    domain={"area": _ABOVE_ZERO, "length": _ABOVE_ZERO, "youngs_modulus": _ABOVE_ZERO},
)
def shank_stiffness(area: Number, length: Number, youngs_modulus: Number) -> Number:
    """Stiffness of a bar in tension.

    area            (...,)  [m2]
    length          (...,)  [m]
    youngs_modulus  (...,)  [Pa]
    Returns (...,) [N/m]. Raises OutOfDomain for an argument not above 0.
    Source: Hooke's law."""
    return area * youngs_modulus / length


@relation(
    source="shigley-2011",
    status="from memory",
    domain={"preload": Interval(0.0), "load_share": _SHARE},
)
def pull_at_separation(preload: Number, load_share: Number) -> Number:
    """Pull on one bolt's part of a joint at which the clamped parts come apart.

    preload     (...,)  [N]  of the bolt
    load_share  (...,)  [-]  of the pull that the bolt takes: its stiffness over that of bolt and parts
    Returns (...,) [N]. Raises OutOfDomain outside the ranges given.
    Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, eq. 8-30, from memory."""
    return preload / (1.0 - load_share)


@relation(
    source="shigley-2011",
    status="from memory",
    domain={"proof_load": _ABOVE_ZERO, "load_share": _SHARE},
)
def pull_at_proof_load(proof_load: Number, preload: Number, load_share: Number) -> Number:
    """Pull on one bolt's part of a joint at which the bolt carries its proof load.

    proof_load  (...,)  [N]
    preload     (...,)  [N]  of the bolt; above the proof load nothing is left and the result is negative
    load_share  (...,)  [-]  of the pull that the bolt takes: its stiffness over that of bolt and parts
    Returns (...,) [N]. Raises OutOfDomain outside the ranges given.
    Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, eq. 8-29, from memory."""
    return (proof_load - preload) / load_share
