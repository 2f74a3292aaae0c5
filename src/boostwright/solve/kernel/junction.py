"""Take-off loss inside the compiled solver: the published forms of ``physics.gas.fittings``, chosen by number."""

from __future__ import annotations

from boostwright.numerics.compiler import compiled
from boostwright.physics.gas import fittings

__all__ = ["branch_loss_coefficient"]

_hager_bassett = compiled(fittings.loss_branch_hager_bassett.formula)
_gardel = compiled(fittings.loss_branch_gardel.formula)
_idelchik = compiled(fittings.loss_branch_idelchik.formula)
_STEP, _HALF_WIDTH = (
    0.8,
    0.05,
)  # branch over collector speed at which the handbook's factor steps, and our rounding


@compiled
def _by_relation(form: float, flow_share: float, area_ratio: float, angle: float) -> float:
    if form == 0.0:
        return _hager_bassett(flow_share, area_ratio, angle)
    if form == 1.0:
        return _gardel(flow_share, area_ratio, angle)
    speed = flow_share * area_ratio
    if abs(speed - _STEP) >= _HALF_WIDTH:
        return _idelchik(flow_share, area_ratio, angle)
    # a step has no balance on it: join its two sides smoothly
    low = _idelchik((_STEP - _HALF_WIDTH) / area_ratio, area_ratio, angle)
    high = _idelchik((_STEP + _HALF_WIDTH) / area_ratio, area_ratio, angle)
    u = 0.5 * (speed - _STEP + _HALF_WIDTH) / _HALF_WIDTH
    return low + (high - low) * u * u * (3.0 - 2.0 * u)


@compiled
def branch_loss_coefficient(
    form: float, flow_share: float, area_ratio: float, angle: float, stated: float
) -> float:
    """Total-pressure loss into the branch over the collector's dynamic head [-].

    form        0 Hager/Bassett, 1 Gardel, 2 Idelchik, 3 the stated number
    stated      the stated number; for a relation the shift that its doubt is drawn at, 0 for the relation itself. It
                counts in full where branch and collector flow alike, and not at all in a shut branch, which holds the
                static pressure whatever a relation says
    flow_share  branch over collector mass flow [-]; area_ratio collector over branch [-]; angle [rad]
    """
    if form == 3.0:
        return stated
    speed = flow_share * area_ratio
    return _by_relation(form, flow_share, area_ratio, angle) + stated * 2.0 * speed / (1.0 + speed)
