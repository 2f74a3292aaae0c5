"""Losses where pipes bend, join, part or change area, as coefficients on the velocity head of a stated leg.

Dividing junctions: three published relations under their authors' names. They disagree by a factor of 1.6
at 45 degrees and 2.3 at 30 degrees; the trend is common to them (less loss at a shallower angle), the
number is not known better than that. Angle is the angle through which the branch flow turns: 0 goes on in
the line of flow, pi/2 leaves square, beyond that the branch faces back. Coefficients are of TOTAL pressure
on the head of the common leg.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "loss_bend_rennels",
    "loss_branch_crane",
    "loss_branch_gardel",
    "loss_branch_hager_bassett",
    "loss_branch_idelchik",
    "loss_enlargement_borda_carnot",
    "loss_mitre_rennels",
    "loss_through_gardel",
    "loss_through_hager_bassett",
]

_SHARE = Interval(0.0, 1.0)
_ABOVE_ZERO = Interval(0.0, open_low=True)
_ANGLE = Interval(0.0, np.pi)
_DEGREE = np.pi / 180.0


@relation(
    source="bassett-2001",
    status="from memory",
    domain={"flow_split": _SHARE, "area_ratio": _ABOVE_ZERO, "angle": _ANGLE},
    valid={"angle": Interval(0.0, 135.0 * _DEGREE)},
)
def loss_branch_hager_bassett(flow_split: Number, area_ratio: Number, angle: Number) -> Number:
    """Loss from common leg to branch of a dividing junction, momentum model.

    flow_split  (...,)  [-]    branch over common mass flow
    area_ratio  (...,)  [-]    common over branch area
    angle       (...,)  [rad]  through which the branch flow turns
    Returns (...,) [-], on the common head. Raises OutOfDomain outside the ranges given.
    Source: Hager (1984); Bassett, Winterbone and Pearson, Proc. IMechE C 215 (2001) 861; from memory."""
    speed = flow_split * area_ratio
    result: Number = 1.0 + speed**2 - 2.0 * speed * np.cos(0.75 * angle)
    return result


@relation(source="bassett-2001", status="from memory", domain={"flow_split": _SHARE})
def loss_through_hager_bassett(flow_split: Number) -> Number:
    """Loss from common leg to straight leg of a dividing junction, momentum model.

    flow_split  (...,)  [-]  branch over common mass flow
    Returns (...,) [-], on the common head; slightly negative when less than half is drawn off. Raises
    OutOfDomain outside 0 to 1.
    Source: Hager (1984); Bassett, Winterbone and Pearson, Proc. IMechE C 215 (2001) 861; from memory."""
    through = 1.0 - flow_split
    return through**2 - 1.5 * through + 0.5


@relation(
    source="gardel-1957",
    status="from memory",
    domain={"flow_split": _SHARE, "area_ratio": _ABOVE_ZERO, "angle": Interval(0.0, np.pi, open_high=True)},
    valid={"angle": Interval(30.0 * _DEGREE, 135.0 * _DEGREE), "area_ratio": Interval(1.0, 5.0)},
)
def loss_branch_gardel(flow_split: Number, area_ratio: Number, angle: Number) -> Number:
    """Loss from common leg to branch of a sharp-edged dividing junction, measured in water.

    flow_split  (...,)  [-]    branch over common mass flow
    area_ratio  (...,)  [-]    common over branch area
    angle       (...,)  [rad]  through which the branch flow turns; infinite loss at pi
    Returns (...,) [-], on the common head. Raises OutOfDomain outside the ranges given.
    Source: Gardel, Bull. Tech. Suisse Romande 83 (1957) 123 and 143, formula and range from memory."""
    a = 1.0 / area_ratio
    turn = np.tan(0.5 * angle)
    straight = 1.0 - flow_split
    result: Number = (
        0.95 * straight**2
        + flow_split**2 * (1.3 * turn - 0.3 + (0.4 - 0.1 * a) / (a * a))
        + 0.4 * flow_split * straight * (1.0 + a) / a * turn
    )
    return result


@relation(source="gardel-1957", status="from memory", domain={"flow_split": _SHARE})
def loss_through_gardel(flow_split: Number) -> Number:
    """Loss from common leg to straight leg of a sharp-edged dividing junction, measured in water.

    flow_split  (...,)  [-]  branch over common mass flow
    Returns (...,) [-], on the common head. Raises OutOfDomain outside 0 to 1.
    Source: Gardel, Bull. Tech. Suisse Romande 83 (1957) 123 and 143, from memory."""
    straight = 1.0 - flow_split
    return 0.03 * straight**2 + 0.35 * flow_split**2 - 0.2 * flow_split * straight


@relation(
    source="idelchik-1986",
    status="from memory",
    domain={"flow_split": _SHARE, "area_ratio": _ABOVE_ZERO, "angle": _ANGLE},
    valid={"angle": Interval(0.0, 90.0 * _DEGREE)},
)
def loss_branch_idelchik(flow_split: Number, area_ratio: Number, angle: Number) -> Number:
    """Loss from common leg to branch of a dividing wye.

    flow_split  (...,)  [-]    branch over common mass flow
    area_ratio  (...,)  [-]    common over branch area
    angle       (...,)  [rad]  through which the branch flow turns
    Returns (...,) [-], on the common head; the handbook's step by a tenth where the branch runs at 0.8 of
    the common speed is kept. Raises OutOfDomain outside the ranges given.
    Source: Idelchik, Handbook of Hydraulic Resistance (2nd ed. 1986), section 7, from memory."""
    speed = flow_split * area_ratio
    factor = 1.0 - 0.1 * (speed > 0.8)
    result: Number = factor * (1.0 + speed**2 - 2.0 * speed * np.cos(angle))
    return result


@relation(
    source="crane-tp410",
    status="read second-hand",
    domain={"flow_split": _SHARE, "area_ratio": Interval(1.0), "angle": _ANGLE},
    valid={"angle": Interval(30.0 * _DEGREE, 90.0 * _DEGREE)},
)
def loss_branch_crane(flow_split: Number, area_ratio: Number, angle: Number) -> Number:
    """Loss from common leg to branch of a dividing tee or wye, piping practice.

    flow_split  (...,)  [-]    branch over common mass flow
    area_ratio  (...,)  [-]    common over branch area, 1 or above
    angle       (...,)  [rad]  through which the branch flow turns; wye below 75 degrees, tee above
    Returns (...,) [-], on the common head, with the steps of the published rules: for comparison, not for
    solvers.
    Raises OutOfDomain outside the ranges given.
    Source: Crane TP-410 (2009), as documented by the open-source library fluids 1.3 (read there)."""
    q = flow_split
    beta_squared = 1.0 / area_ratio
    speed = q * area_ratio
    small: Any = ((angle < 60.0 * _DEGREE) | (beta_squared <= 4.0 / 9.0)) * 1.0
    head = small + 0.3 * (1.0 - small)
    turn = 2.0 * small
    narrow: Any = (beta_squared <= 0.35) * 1.0
    wye_narrow: Any = (1.1 - 0.7 * q) * (q <= 0.4) + 0.85 * (q > 0.4)
    wye_wide: Any = (1.0 - 0.6 * q) * (q <= 0.6) + 0.6 * (q > 0.6)
    tee: Any = 1.0 + 0.3 * q * q * (beta_squared > 2.0 / 3.0)
    wye: Any = (angle < 75.0 * _DEGREE) * 1.0
    factor = wye * (narrow * wye_narrow + (1.0 - narrow) * wye_wide) + (1.0 - wye) * tee
    result: Number = factor * (1.0 + head * speed**2 - turn * speed * np.cos(angle))
    return result


@relation(source="definition", status="definition", domain={"area_ratio": _SHARE})
def loss_enlargement_borda_carnot(area_ratio: Number) -> Number:
    """Loss of a sudden enlargement.

    area_ratio  (...,)  [-]  small over large area, 0 for the exit into a large space
    Returns (...,) [-], on the head of the small bore. Raises OutOfDomain outside 0 to 1.
    Source: Borda and Carnot, momentum balance (any text)."""
    return (1.0 - area_ratio) ** 2


@relation(
    source="rennels-hudson-2012",
    status="read second-hand",
    domain={"angle": _ANGLE, "radius_ratio": Interval(0.5), "friction_factor": Interval(0.0)},
)
def loss_bend_rennels(angle: Number, radius_ratio: Number, friction_factor: Number) -> Number:
    """Loss of a smooth pipe bend, its own wall friction included.

    angle            (...,)  [rad]  through which the bend turns
    radius_ratio     (...,)  [-]    centre-line radius over bore, 0.5 and above
    friction_factor  (...,)  [-]    Darcy, of the pipe
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: Rennels and Hudson, Pipe Flow (2012), chapter 15, as documented by fluids 1.3 (read there)."""
    half = np.sin(0.5 * angle)
    result: Number = (
        friction_factor * angle * radius_ratio
        + (0.10 + 2.4 * friction_factor) * half
        + 6.6 * friction_factor * (np.sqrt(half) + half) / radius_ratio ** (4.0 * angle / np.pi)
    )
    return result


@relation(
    source="rennels-hudson-2012",
    status="read second-hand",
    domain={"angle": Interval(0.0, 150.0 * _DEGREE)},
)
def loss_mitre_rennels(angle: Number) -> Number:
    """Loss of a single mitre joint.

    angle  (...,)  [rad]  through which the joint turns, up to 150 degrees
    Returns (...,) [-]. Raises OutOfDomain outside 0 to 150 degrees.
    Source: Rennels and Hudson, Pipe Flow (2012), chapter 15, as documented by fluids 1.3 (read there)."""
    half = np.sin(0.5 * angle)
    result: Number = 0.42 * half + 2.56 * half**3
    return result
