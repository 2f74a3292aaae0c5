"""Checks of valves, cams and a known curve: what cannot be true together, and what is hardly meant."""

from __future__ import annotations

import math

from boostwright.build.build import Value
from boostwright.build.faults import Report
from boostwright.units import format_quantity

__all__ = ["breathing_checks"]

Values = dict[str, dict[str, Value]]

_DEGREE = math.pi / 180.0
_DURATION = (140.0 * _DEGREE, 380.0 * _DEGREE)  # at any check lift: beyond it no four-stroke breathes
_DURATION_ASK = (180.0 * _DEGREE, 310.0 * _DEGREE)
_OVERLAP = 140.0 * _DEGREE
_OVERLAP_ASK = {"seat": 80.0 * _DEGREE, "1-mm": 45.0 * _DEGREE, "0.050-inch": 40.0 * _DEGREE}
_LIFT = 0.5  # of the valve's diameter
_LIFT_ASK = 0.40
_IN_LINE = 1.05  # of the bore, for two valves: a tilted valve takes less room than its diameter
_FOUR = (
    1.08 * 2.0 / (1.0 + math.sqrt(2.0))
)  # of the bore, intake + exhaust diameter of four valves in a circle
_AREA = 0.75  # of the bore's area, for any other number
_BMEP = (4.0e5, 16.0e5)
_BMEP_ASK = (9.0e5, 13.5e5)  # peak of a naturally aspirated petrol engine at the crankshaft: common practice
_ANGLES = ("opening", "closing", "centreline", "duration")
_SIDES = ("intake", "exhaust")


def breathing_checks(sections: Values, report: Report) -> None:
    """Cams that can be, valves that fit, one description, and a curve that can be an unboosted engine's."""
    breath = sections.get("breathing", {})
    source = breath["source"].text if "source" in breath else None
    for side in _SIDES:
        _one_way(side, breath, report)
        _timing(side, breath, report)
        _lift(side, breath, report)
    _overlap(breath, report)
    _fit_the_bore(sections, report)
    _described_twice(source, breath, report)
    if source == "known-curve":
        _known_curve(sections, report)


def _si(values: dict[str, Value], key: str) -> float | None:
    """A number, None when it could not be read."""
    return values[key].si if key in values else None


def _deg(angle: float) -> str:
    return format_quantity(angle, "angle", "deg")


def _fault(
    breath: dict[str, Value], report: Report, key: str, message: str, allowed: str, remedy: str
) -> None:
    report.fault(("breathing", key), breath[key].raw, message, allowed, remedy)


def _one_way(side: str, breath: dict[str, Value], report: Report) -> None:
    """Opening and closing, or centreline and duration; not both."""
    if f"{side}_centreline" in breath:
        for end in ("opening", "closing"):
            key = f"{side}_{end}"
            if key in breath:
                message = f"stands beside {side}_centreline, and which of the two counts is not said."
                _fault(
                    breath, report, key, message, "", "Keep opening and closing, or centreline and duration."
                )
    elif f"{side}_duration" in breath:
        remedy = f"Write {side}_centreline as well, or opening and closing instead of it."
        message = f"says nothing without {side}_centreline."
        _fault(breath, report, f"{side}_duration", message, "", remedy)


def _ends(side: str, breath: dict[str, Value]) -> tuple[float, float] | None:
    """Opening and closing [rad] as they are written: before and after their dead centres."""
    opening, closing = _si(breath, f"{side}_opening"), _si(breath, f"{side}_closing")
    if opening is not None and closing is not None:
        return opening, closing
    middle, duration = _si(breath, f"{side}_centreline"), _si(breath, f"{side}_duration")
    if middle is None or duration is None:
        return None
    near, far = 0.5 * duration - middle, 0.5 * duration + middle - math.pi
    return (near, far) if side == "intake" else (far, near)


def _timing(side: str, breath: dict[str, Value], report: Report) -> None:
    """A valve opens before it closes, for as long as cams do."""
    ends = _ends(side, breath)
    if ends is None:
        return
    duration = math.pi + ends[0] + ends[1]
    key = f"{side}_closing" if f"{side}_closing" in breath else f"{side}_duration"
    allowed = f"{_deg(_DURATION[0])} to {_deg(_DURATION[1])}"
    remedy = "Angles count before and after the dead centre they name; a minus sign is its other side."
    if duration <= 0.0:
        message = f"closes the {side} valve {_deg(-duration)} before it opens."
        _fault(breath, report, key, message, allowed, remedy)
    elif not _DURATION[0] <= duration <= _DURATION[1]:
        message = f"holds the {side} valve open for {_deg(duration)}, which no four-stroke's cam does."
        _fault(breath, report, key, message, allowed, remedy)
    elif not _DURATION_ASK[0] <= duration <= _DURATION_ASK[1]:
        message = f"holds the {side} valve open for {_deg(duration)}."
        usual = f"usual is {_deg(_DURATION_ASK[0])} to {_deg(_DURATION_ASK[1])}"
        ask = "Is cam_lift_basis the lift these angles were read at?"
        report.warn(("breathing", key), breath[key].raw, message, usual, ask)


def _lift(side: str, breath: dict[str, Value], report: Report) -> None:
    """Lift against the diameter of the valve."""
    lift, diameter = _si(breath, f"{side}_valve_lift"), _si(breath, f"{side}_valve_diameter")
    if lift is None or diameter is None:
        return
    key = f"{side}_valve_lift"
    of = f"the valve's diameter ({breath[f'{side}_valve_diameter'].written})"
    if lift > _LIFT * diameter:
        remedy = "Check both; inches or the lift of both cams added up?"
        _fault(breath, report, key, f"is more than half {of}.", f"up to {_LIFT:g} of the diameter", remedy)
    elif lift > _LIFT_ASK * diameter:
        message = f"is {lift / diameter:.2f} of {of}: beyond a quarter the port limits the flow."
        report.warn(("breathing", key), breath[key].raw, message, "0.20 to 0.35 of the diameter")


def _overlap(breath: dict[str, Value], report: Report) -> None:
    """Both valves open at once, within reason."""
    intake, exhaust = _ends("intake", breath), _ends("exhaust", breath)
    if intake is None or exhaust is None:
        return
    overlap = intake[0] + exhaust[1]
    key = "exhaust_closing" if "exhaust_closing" in breath else "exhaust_centreline"
    basis = breath["cam_lift_basis"].text if "cam_lift_basis" in breath else None
    ask = _OVERLAP_ASK.get(basis or "seat", _OVERLAP)
    if overlap > _OVERLAP:
        message = f"leaves both valves open together for {_deg(overlap)}."
        remedy = "Was a closing angle counted from the wrong dead centre, or an intake angle typed for the exhaust?"
        _fault(breath, report, key, message, f"up to {_deg(_OVERLAP)}", remedy)
    elif overlap > ask:
        message = f"leaves both valves open together for {_deg(overlap)} at {basis} lift: with exhaust pressure above "
        message += "boost much gas runs back."
        report.warn(("breathing", key), breath[key].raw, message, f"up to {_deg(ask)} (common practice)")


def _fit_the_bore(sections: Values, report: Report) -> None:
    """All heads in one combustion chamber."""
    breath = sections.get("breathing", {})
    bore = _si(sections.get("engine", {}), "bore")
    sizes = [(_si(breath, f"{side}_valves"), _si(breath, f"{side}_valve_diameter")) for side in _SIDES]
    (n_in, d_in), (n_ex, d_ex) = sizes
    if bore is None or n_in is None or n_ex is None or d_in is None or d_ex is None:
        return
    both = d_in + d_ex
    if n_in == n_ex == 1:
        fits, most = both <= _IN_LINE * bore, f"{format_quantity(_IN_LINE * bore, 'length', 'mm')} together"
    elif n_in == n_ex == 2:
        fits, most = (
            both <= _FOUR * bore,
            f"{format_quantity(_FOUR * bore, 'length', 'mm')} intake and exhaust together",
        )
    else:
        fits = n_in * d_in**2 + n_ex * d_ex**2 <= _AREA * bore**2
        most = f"heads of {_AREA:g} of the bore's area in all"
    if not fits:
        written = sections["engine"]["bore"].written
        message = f"and the exhaust valves ({breath['exhaust_valve_diameter'].written}) do not fit a bore of {written}."
        remedy = "Give the diameter of one valve's head, and check intake_valves and exhaust_valves."
        _fault(breath, report, "intake_valve_diameter", message, f"up to {most}", remedy)


def _described_twice(source: str | None, breath: dict[str, Value], report: Report) -> None:
    """What stands there and would not be used."""
    table = breath.get("volumetric_efficiency")
    if source in ("cams", "known-curve") and table is not None and table.origin in ("file", "set"):
        message = f'stands beside source = "{source}", and which of the two counts is not said.'
        remedy = (
            'Take it out (for one run: --set breathing.volumetric_efficiency=), or write source = "table".'
        )
        _fault(breath, report, "volumetric_efficiency", message, "", remedy)
    if source in ("table", "cams"):
        for key in ("known_torque", "known_power"):
            if key in breath:
                message = f'is not used: the filling comes from source = "{source}".'
                remedy = 'Write source = "known-curve" to have it turned back into volumetric efficiency.'
                report.warn(("breathing", key), breath[key].raw, message, remedy=remedy)
    if source == "cams":
        return
    given = [f"{side}_{end}" for side in _SIDES for end in _ANGLES if f"{side}_{end}" in breath]
    whole = all(_ends(side, breath) and f"{side}_valve_lift" in breath and f"{side}_valve_diameter" in breath
                for side in _SIDES) and "cam_lift_basis" in breath  # fmt: skip
    if given and not whole:
        message = (
            "is not used: valve losses, overlap and closing follow from both valves and both cams in full."
        )
        remedy = "Add what is missing: diameters, lifts, cam_lift_basis and the angles of both cams."
        report.warn(("breathing", given[0]), breath[given[0]].raw, message, remedy=remedy)


def _known_curve(sections: Values, report: Report) -> None:
    """One curve, at a place the model can reach, of a size an unboosted engine has."""
    breath = sections["breathing"]
    if "known_torque" in breath and "known_power" in breath:
        message = "stands beside known_torque, and which of the two counts is not said."
        _fault(breath, report, "known_power", message, "", "Keep one of them.")
        return
    key = "known_power" if "known_power" in breath else "known_torque"
    at = breath["known_curve_at"].text if "known_curve_at" in breath else None
    loss = sections.get("driveline", {}).get("loss_model")
    if at == "wheel" and loss is not None and loss.text == "none":
        message = "needs the loss between crankshaft and wheels, and driveline.loss_model is none."
        remedy = 'Describe it in [driveline]: loss_model = "share", loss_share = 0.14 and loss_status = "believed".'
        _fault(breath, report, "known_curve_at", message, "", remedy)
        return
    peak = _peak_bmep(sections, key)
    if peak is None or at is None:
        return
    _size_of_the_curve(sections, key, at, peak, report)


def _peak_bmep(sections: Values, key: str) -> float | None:
    """Highest brake mean effective pressure [Pa] of the curve, at the place it was measured."""
    engine, value = sections.get("engine", {}), sections["breathing"].get(key)
    bore, stroke, count = (_si(engine, name) for name in ("bore", "stroke", "cylinders"))
    if value is None or value.curve is None or bore is None or stroke is None or count is None:
        return None
    curve = value.curve
    if key == "known_power" and curve.is_constant:
        return None
    pairs = zip(curve.speed_points, curve.value_points, strict=True)
    torque = max(number / speed if key == "known_power" else number for speed, number in pairs)
    return 4.0 * math.pi * torque / (0.25 * math.pi * bore**2 * stroke * count)


def _size_of_the_curve(sections: Values, key: str, at: str, peak: float, report: Report) -> None:
    """A wheel figure typed as crank is low, a boosted one high: asked, or refused where no engine is like it."""
    breath = sections["breathing"]
    shown = format_quantity(peak, "pressure", "bar")
    message = f"comes to {shown} of brake mean effective pressure at the {at}"
    if not _BMEP[0] <= peak <= _BMEP[1]:
        remedy = "Check its unit, the bore, the stroke, and that it is the curve without boost."
        allowed = f"{_BMEP[0] / 1e5:g} to {_BMEP[1] / 1e5:g} bar"
        _fault(
            breath, report, key, f"{message}, which no unboosted engine has at full load.", allowed, remedy
        )
        return
    usual = f"{_BMEP_ASK[0] / 1e5:g} to {_BMEP_ASK[1] / 1e5:g} bar at the crank (common practice)"
    if at == "crank" and peak < _BMEP_ASK[0]:
        remedy = (
            'Was it measured at the wheels? Then write known_curve_at = "wheel" and describe [driveline].'
        )
        report.warn(("breathing", key), breath[key].raw, f"{message}: low for a crankshaft.", usual, remedy)
    elif peak > _BMEP_ASK[1]:
        remedy = "Is it the curve with boost, or one a dyno has multiplied already?"
        report.warn(("breathing", key), breath[key].raw, f"{message}: high without boost.", usual, remedy)
