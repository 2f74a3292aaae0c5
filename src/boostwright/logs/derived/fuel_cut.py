"""Where fuel was cut, and for how long after it fuel and lambda say nothing of the air."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.rows import Rows
from boostwright.logs.derived.samples import Sampled
from boostwright.logs.derived.uncertain import Uncertain

__all__ = ["LEANEST", "SETTLING", "without_cuts"]

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

LEANEST = 1.3
"""Lambda from which a petrol engine does not burn steadily: the probe still shows a fuel cut (common practice)."""
SETTLING = 0.5
"""[s] after a cut in which fuel goes to make the wall film again and the gas of burning has yet to reach the probe
(common practice)."""
_SHUT = 0.4e-3  # s of injector time: less than any dead time
_SHUT_DUTY = 0.005
_SHUT_FLOW = 0.02  # of the largest fuel flow in the log
_TURNING = 60.0  # rad/s
_COUNTED = 14.7  # by which instruments count, as for lambda itself


def without_cuts(rows: Rows, found: Uncertain) -> Uncertain:
    """A quantity made of fuel and lambda, with no value where fuel is cut and until both have settled again."""
    cut = np.zeros(rows.time.shape, dtype=bool)
    for name in rows.samples.names:
        sampled = rows.samples.find(name)
        if (
            sampled is not None
            and (shut := _shut(name, sampled, rows.samples.find("engine_speed"))) is not None
        ):
            cut |= _around(sampled, shut, rows.time)
    if not (cut & np.isfinite(found.value)).any():
        return found
    words = (
        f"air flow from fuel is left out while fuel is cut (injector time or lambda shows it) and for {SETTLING:g} s "
        "after: fuel goes into the wall film, and the probe still sees plain air"
    )
    return found.only(~cut).with_flag("fuel-cut", words)


def _shut(name: str, sampled: Sampled, engine: Sampled | None) -> Mask | None:
    """Which samples of a channel show that fuel is cut; None where it is no channel that can."""
    value = sampled.value
    if name.startswith("lambda") and not name.startswith("lambda_target"):
        return np.asarray(value >= LEANEST)
    if name.startswith("air_fuel_ratio"):
        return np.asarray(value >= LEANEST * _COUNTED)
    bounds = {"injector_time": _SHUT, "injector_duty": _SHUT_DUTY}
    if name in bounds:
        shut = value <= bounds[name]
    elif name in ("mass_flow_fuel", "volume_flow_fuel"):
        shut = value <= _SHUT_FLOW * float(np.max(value))
    else:
        return None
    turns = engine.at(sampled.time) > _TURNING if engine is not None else np.ones(value.shape, dtype=bool)
    return np.asarray(shut & turns)


def _around(sampled: Sampled, shut: Mask, time: Array) -> Mask:
    """Instants (n,) that lie in a cut, beside a sample that shows one, or so soon after that nothing has settled."""
    if not shut.any():
        return np.zeros(time.shape, dtype=bool)
    t = sampled.time
    before = np.clip(np.searchsorted(t, time, side="right") - 1, 0, t.size - 1)
    after = np.clip(before + 1, 0, t.size - 1)
    cuts = t[shut]
    last = np.searchsorted(cuts, time, side="right") - 1
    since = np.where(last >= 0, time - cuts[np.maximum(last, 0)], np.inf)
    return np.asarray(shut[before] | shut[after] | (since <= SETTLING + sampled.age))
