"""Checks of [rods] against the engine and themselves, and the masses that follow where nobody has weighed."""

from __future__ import annotations

from boostwright.build.build import DefaultUsed, Value
from boostwright.build.faults import Report
from boostwright.build.schema import rods
from boostwright.units import format_quantity

__all__ = ["fill_rod_defaults", "rod_checks"]

Values = dict[str, dict[str, Value]]

_MASS_OVER_BORE_CUBED = (
    950.0  # kg/m3, of what goes to and fro, and of a whole rod; own estimate, 30 % either way
)
_BELIEF = ("believed_torque", "believed_speed", "believed_fuel", "believed_phasing", "allow_above_belief")
_DIMENSIONS = ("section", "section_depth", "section_width", "section_area", "second_moment_swing", "material")
_BOLTS = ("bolt_diameter", "bolt_pitch", "bolt_class", "bolt_proof_load", "bolt_preload", "bolt_torque")


def fill_rod_defaults(sections: Values) -> list[DefaultUsed]:
    """Masses from the bore where rods are watched and nobody has weighed; returned as defaults to list."""
    section = sections.get("rods", {})
    bore = sections.get("engine", {}).get("bore")
    if _given_as(sections) in (None, "none") or bore is None or bore.si is None:
        return []
    by_bore = _MASS_OVER_BORE_CUBED * bore.si**3
    used = []
    for key in ("rod_mass", "reciprocating_mass"):
        if key in section or (key == "reciprocating_mass" and "piston_mass" in section):
            continue
        parameter = rods.SECTION.find(key)
        words = f"{format_quantity(by_bore, 'mass', 'kg', 2)} by the bore, off by up to 30 %"
        section[key] = Value(parameter, words, "default", si=by_bore, unit="kg")
        if key == "reciprocating_mass" or "bolt_count" in section or "piston_mass" in section:
            used.append(DefaultUsed(f"rods.{key}", words, "own estimate"))
    return used


def rod_checks(sections: Values, report: Report) -> None:
    """Run every check; each says nothing where a value of its own is missing."""
    for check in (
        _keys_are_used,
        _length_is_known,
        _crank_turns_over,
        _belief_at_the_wheels,
        _speed_within_limit,
        _section_is_an_i,
        _masses_add_up,
        _bolts_hold_their_preload,
    ):
        check(sections, report)


def _given_as(sections: Values) -> str | None:
    value = sections.get("rods", {}).get("given_as")
    return value.text if value else None


def _written(values: dict[str, Value], key: str) -> Value | None:
    value = values.get(key)
    return None if value is None or value.origin == "default" else value


def _keys_are_used(sections: Values, report: Report) -> None:
    """Keys of a belief or of dimensions beside a choice that does not take them."""
    section = sections.get("rods", {})
    way = _given_as(sections)
    if way is None:
        return
    chooser = section["given_as"]
    for keys, ways in ((_BELIEF, ("belief", "both")), (_DIMENSIONS, ("dimensions", "both"))):
        given = [key for key in keys if _written(section, key) is not None]
        if way not in ways and given:
            message = f"is given, but given_as is {way}: it would not be used."
            remedy = f'Write given_as = "{ways[0]}" or "both", or take the key out.'
            say = report.warn if way == "none" and chooser.origin != "default" else report.fault
            say(("rods", given[0]), section[given[0]].raw, message, "", remedy)
    bolts = [key for key in _BOLTS if _written(section, key) is not None]
    if bolts and "bolt_count" not in section and ("rods", "bolt_count") not in report.broken:
        message = "is given, but bolt_count is not: bolts would not be watched."
        report.fault(("rods", bolts[0]), section[bolts[0]].raw, message, "", "Write bolt_count = 2.")
    if "bolt_count" in section and way == "none":
        report.warn(("rods", "bolt_count"), section["bolt_count"].raw, "is not used: given_as is none.")


def _length_is_known(sections: Values, report: Report) -> None:
    """A column has a length, and the angle of the rod hangs on it."""
    if _given_as(sections) in (None, "none") or "connecting_rod_length" in sections.get("engine", {}):
        return
    path = ("engine", "connecting_rod_length")
    if path in report.broken or any(fault.key == ".".join(path) for fault in report.faults):
        return
    message = "is missing and needed because [rods] asks what the rods bear."
    report.fault(path, None, message, remedy='Write connecting_rod_length = "148 mm", centre to centre.')


def _crank_turns_over(sections: Values, report: Report) -> None:
    """A rod of half the stroke stops the crank at a quarter turn; one under the stroke meets its counterweights."""
    engine = sections.get("engine", {})
    rod, stroke = engine.get("connecting_rod_length"), engine.get("stroke")
    if rod is None or stroke is None or not rod.si or not stroke.si or rod.si > stroke.si:
        return
    path, say = ("engine", "connecting_rod_length"), report.warn
    message = f"is no longer than the stroke ({stroke.written}): rods are of 1.4 to 2.2 strokes."
    if rod.si <= 0.5 * stroke.si:
        message, say = (
            f"is no longer than half the stroke ({stroke.written}): the crank cannot turn.",
            report.fault,
        )
    say(path, rod.raw, message, "", "Measure centre to centre; is one of them in another unit?")


def _belief_at_the_wheels(sections: Values, report: Report) -> None:
    """A torque at the wheels is brought to the crank by the driveline's loss."""
    basis = sections.get("rods", {}).get("believed_torque_basis")
    model = sections.get("driveline", {}).get("loss_model")
    if basis is None or basis.text != "wheel" or model is None or model.text != "none":
        return
    message = "says wheel, and [driveline] says no loss between crank and wheels."
    remedy = 'Write [driveline] with loss_model = "share", or the torque at the crank.'
    report.fault(("rods", "believed_torque_basis"), basis.raw, message, "", remedy)


def _speed_within_limit(sections: Values, report: Report) -> None:
    """A belief from above the limit is from another engine or in another unit."""
    speed = sections.get("rods", {}).get("believed_speed")
    limit = sections.get("engine", {}).get("speed_limit")
    if speed is None or limit is None or not speed.si or not limit.si or speed.si <= limit.si * 1.0001:
        return
    message = f"is above engine.speed_limit ({limit.written})."
    report.warn(("rods", "believed_speed"), speed.raw, message, remedy="Is it this engine's?")


def _section_is_an_i(sections: Values, report: Report) -> None:
    """Flanges that meet and a web as wide as they are make no I."""
    section = sections.get("rods", {})
    kind = section.get("section")
    if kind is None or kind.text not in ("i-beam", "h-beam"):
        return
    over, along = ("section_depth", "section_width")[:: 1 if kind.text == "i-beam" else -1]
    sizes = [section.get(key) for key in (over, along, "flange_thickness", "web_thickness")]
    if any(size is None or size.si is None for size in sizes):
        return
    height, width, flange, web = (size.si or 0.0 for size in sizes if size is not None)
    if 2.0 * flange >= height:
        message = f"twice is not below {over} ({section[over].written}): the flanges would meet."
        report.fault(("rods", "flange_thickness"), section["flange_thickness"].raw, message)
    if web >= width:
        message = f"is not below {along} ({section[along].written}): that is a solid bar."
        remedy = 'Write section = "stated" with area and second moments of a solid bar.'
        report.fault(("rods", "web_thickness"), section["web_thickness"].raw, message, "", remedy)


def _masses_add_up(sections: Values, report: Report) -> None:
    """A mass given twice: the whole must be more than a part of it."""
    section = sections.get("rods", {})
    whole, piston = section.get("reciprocating_mass"), section.get("piston_mass")
    if piston is None or not piston.si:
        return
    if whole is None or not whole.si:
        if "pin_mass" not in section and ("rods", "pin_mass") not in report.broken:
            message = "is missing beside piston_mass: the pin goes to and fro with it."
            report.fault(
                ("rods", "pin_mass"), None, message, remedy='Write pin_mass = "95 g", clips and all.'
            )
    elif whole.si <= piston.si:
        message = f"is not above piston_mass ({piston.written}), which is part of it."
        report.fault(("rods", "reciprocating_mass"), whole.raw, message)
    else:
        message = "is taken, and piston_mass beside it is not used."
        report.warn(("rods", "reciprocating_mass"), whole.raw, message, remedy="Keep one of the two.")


def _bolts_hold_their_preload(sections: Values, report: Report) -> None:
    """A preload above a stated proof load."""
    section = sections.get("rods", {})
    preload, proof = section.get("bolt_preload"), section.get("bolt_proof_load")
    if preload is None or proof is None or not preload.si or not proof.si or preload.si < proof.si:
        return
    message = f"is not below bolt_proof_load ({proof.written}): nothing would be left for the rod's pull."
    report.fault(("rods", "bolt_preload"), preload.raw, message)
