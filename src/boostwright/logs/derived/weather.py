"""Power in the reference air of a standard: the raw figure first, and "not valid" where the standard says so."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.facts import WeatherFacts
from boostwright.logs.derived.rows import Missing, Need, Quantity, Rows
from boostwright.logs.derived.uncertain import Uncertain, through, where_valid
from boostwright.physics import power_correction
from boostwright.physics.gas import air
from boostwright.physics.relation import Interval, Relation

__all__ = ["QUANTITIES"]

Array = NDArray[np.float64]

_RELATIONS: dict[str, Relation] = {
    "sae-j1349": power_correction.correction_j1349,
    "iso-1585": power_correction.correction_iso_1585,
    "din-70020": power_correction.correction_din_70020,
}
_HELD_WITHIN = 5e3  # Pa from the target
_USUAL_HUMIDITY = (0.5, 0.4)
_SATURATED = where_valid(air.saturation_pressure_wagner_pruss)


def _facts(rows: Rows) -> WeatherFacts:
    facts = rows.facts.weather
    if facts is None or facts.method not in _RELATIONS:
        raise Missing(
            Need("the standard to correct by", "power_correction.method of a build, or --correction")
        )
    return facts


def _dry(rows: Rows) -> Uncertain:
    """Barometric pressure less that of the vapour."""
    day = rows.facts.day.humidity

    def assumed() -> Uncertain:
        words = "humidity is not logged: 50 % within 40 points assumed"
        return rows.number("humidity", *_USUAL_HUMIDITY).with_flag("humidity", words)

    def stated() -> Uncertain:
        if day is None:
            raise Missing(Need("channel humidity"))
        return rows.fact("humidity", day)

    humidity = rows.first(lambda: rows.channel("humidity"), stated, assumed)
    return through(
        lambda p, t, h: p - np.clip(h, 0.0, 1.0) * _SATURATED(t),
        rows.get("pressure_amb"),
        rows.get("temperature_1"),
        humidity,
    )


def _outside(relation: Relation, pressure: Array, temperature: Array, factor: Array) -> str:
    """Why the standard itself would not take the test, from the medians; '' where it would.

    temperature (n,) as the standard counts it, degC + 273
    """
    middle_p, middle_t, middle_f = (float(np.nanmedian(x)) for x in (pressure, temperature, factor))
    reasons = []
    within = relation.valid.get("dry_pressure")
    if within is not None and not within.holds(middle_p):
        reasons.append(
            f"{middle_p / 1e3:.1f} kPa is outside {within.low / 1e3:.0f} to {within.high / 1e3:.0f} kPa"
        )
    within = relation.valid.get("temperature")
    if within is not None and not within.holds(middle_t):
        reasons.append(f"{middle_t - 273.0:.1f} degC is outside 15 to 35 degC")
    limits = power_correction.FACTOR_LIMITS.get(relation.__name__, Interval())
    if not limits.holds(middle_f):
        reasons.append(f"a factor of {middle_f:.3f} is outside {limits.low:g} to {limits.high:g}")
    return " and ".join(reasons)


def _factor(rows: Rows) -> Uncertain:
    facts = _facts(rows)
    relation = _RELATIONS[facts.method]
    formula = where_valid(relation)
    pressure = rows.get("pressure_amb") if facts.method == "din-70020" else _dry(rows)
    temperature = rows.get("temperature_1")
    found = through(lambda p, t: formula(p, t - 273.15 + 273.0), pressure, temperature)
    if not np.isfinite(found.value).any():
        return found
    reason = _outside(
        relation, rows.get("pressure_amb").value, temperature.value - 273.15 + 273.0, found.value
    )
    if reason:
        found = found.only(np.zeros(rows.time.shape, dtype=bool))
        words = f"not valid by {facts.method}: {reason}; no corrected figure is given"
        return found.with_flag("correction-not-valid", words)
    return _held(rows, facts, found)


def _held(rows: Rows, facts: WeatherFacts, found: Uncertain) -> Uncertain:
    """1 where boost stands at an absolute target: the gate has made up for the barometer by itself."""
    if not facts.turbo:
        return found
    words = (
        f"{facts.method} is made for an engine that takes in what the barometer gives: on boost by spring or gauge "
        "target it corrects too much where the air is thin; raw figures come first"
    )
    found = found.with_flag("correction-for-unboosted", words)
    if facts.target_speeds.size == 0:
        return found
    target = np.interp(rows.channel("engine_speed").value, facts.target_speeds, facts.target_pressures)
    with np.errstate(invalid="ignore"):
        held = np.abs(rows.get("pressure_im").value - target) < _HELD_WITHIN
    if not held.any():
        return found
    parts = {name: np.where(held, 0.0, part) for name, part in found.parts.items()}
    kept = Uncertain(np.where(held, 1.0, found.value), parts, found.flags)
    return kept.with_flag(
        "correction-boost-held",
        "1 where the manifold stands within 5 kPa of the absolute target: it makes up for the barometer by itself",
    )


def _corrected(name: str):  # type: ignore[no-untyped-def]
    return lambda rows: through(np.multiply, rows.get(name), rows.get("power_correction_factor"))


QUANTITIES = (
    Quantity(
        "power_correction_factor",
        "1",
        "factor from raw to corrected torque and power",
        "by the rule the build names; 1 where boost is held absolute",
        "by the standard, from p_dry = p_amb - RH p_sat(T_1) and T_1",
        _factor,
    ),
    Quantity(
        "torque_corrected",
        "Nm",
        "brake torque in the reference atmosphere",
        "torque * power_correction_factor",
        "T f",
        _corrected("torque"),
    ),
    Quantity(
        "power_corrected",
        "W",
        "brake power in the reference atmosphere",
        "power * power_correction_factor",
        "P f",
        _corrected("power"),
    ),
)
"""Weather."""
