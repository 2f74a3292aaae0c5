"""Checks of compressor and turbine: described in one way only, and dimensions of a wheel that can be true together."""

from __future__ import annotations

from boostwright.build.build import Value
from boostwright.build.faults import Report
from boostwright.build.schema import compressor_wheel, turbine_wheel
from boostwright.units import format_quantity

__all__ = ["compressor_checks", "turbine_checks"]

Values = dict[str, dict[str, Value]]

_TRIM = (15.0, 90.0)  # 100 (inducer/exducer)^2; open research machines have 24 to 49
_TRIM_ASK = (40.0, 75.0)  # turbochargers, common practice
_TURBINE_TRIM = (35.0, 98.0)
_TURBINE_TRIM_ASK = (60.0, 90.0)  # common practice
_TIP_WIDTH_ASK = (0.04, 0.12)  # of the exducer; common practice
_HOUSING = (0.02, 1.5)  # A/R over the wheel's diameter
_HOUSING_ASK = (0.12, 0.7)
_LEAST_SHARE_CLEARANCE = 0.3  # of the blade's height: beyond it there is no wheel in the housing
_ONE_WAY = "Keep one description: take out the card, or this key (for one run: --set {section}.{key}=)."


def compressor_checks(sections: Values, report: Report) -> None:
    """A card or a wheel, and a wheel that can be."""
    _one_way("compressor", tuple(p.name for p in compressor_wheel.WHEEL), sections, report)
    _compressor_wheel(sections.get("compressor", {}), report)


def turbine_checks(sections: Values, report: Report) -> None:
    """A card, one number or a wheel; and a wheel that can be. A stamped A/R is no input."""
    own = tuple(p.name for p in turbine_wheel.WHEEL)
    _one_way("turbine", (*own, "choked_flow", "wheel_diameter"), sections, report)
    _turbine_wheel(sections.get("turbine", {}), report)
    turbine = sections.get("turbine", {})
    ratio = turbine.get("a_r")
    if ratio is not None:
        message = "is kept for the order sheet and not used: A/R is no area, "
        message += "and compares housings of one wheel only."
        remedy = "Choked flow is what counts."
        if _given_as(turbine) == "wheel":
            remedy = 'With given_as = "wheel" the housing goes in as a_over_r, with its unit: "0.64 in".'
        report.warn(("turbine", "a_r"), ratio.si, message, remedy=remedy)


def _given_as(values: dict[str, Value]) -> str:
    """What counts, written or computed."""
    value = values.get("given_as")
    return (value.text or "") if value else ""


def _one_way(section: str, keys: tuple[str, ...], sections: Values, report: Report) -> None:
    """Nothing may stand there that would not be used."""
    values = sections.get(section, {})
    way = _given_as(values)
    written = {key: values[key] for key in keys if key in values and values[key].origin in ("file", "set")}
    if way != "card" and "card" in values:
        message = f'stands beside given_as = "{way}", and which of the two counts is not said.'
        remedy = f'Take out the card (for one run: --set {section}.card=), or write given_as = "card".'
        report.fault((section, "card"), values["card"].raw, message, remedy=remedy)
        return
    for key, value in written.items():
        if way == "card" and "card" in values:
            remedy = _ONE_WAY.format(section=section, key=key)
            message = "stands beside a card, and which of the two counts is not said."
            report.fault((section, key), value.raw, message, remedy=remedy)
        elif way == "one-number" and key not in ("choked_flow", "wheel_diameter"):
            remedy = 'Write given_as = "wheel" to have the turbine estimated from its dimensions, or take the key out.'
            message = 'belongs to a wheel, and given_as is "one-number": it would not be used.'
            report.fault((section, key), value.raw, message, remedy=remedy)
        elif way == "wheel" and key == "choked_flow":
            remedy = 'Take it out, or write given_as = "one-number".'
            message = 'stands beside given_as = "wheel", which estimates the flow from dimensions.'
            report.fault((section, key), value.raw, message, remedy=remedy)


def _lengths(values: dict[str, Value], *keys: str) -> tuple[float, ...] | None:
    """Numbers in SI, None when one of them is missing."""
    found = [values[key].si for key in keys if key in values]
    numbers = tuple(number for number in found if number is not None)
    return numbers if len(numbers) == len(keys) else None


def _compressor_wheel(values: dict[str, Value], report: Report) -> None:
    """Inducer, exducer, hub, tip width and blades against each other."""
    if _given_as(values) != "wheel":
        return

    def fault(key: str, message: str, remedy: str, allowed: str = "") -> None:
        report.fault(("compressor", key), values[key].raw, message, allowed, remedy)

    pair = _lengths(values, "inducer_tip_diameter", "exducer_diameter")
    if pair and pair[1] <= pair[0]:
        inducer = values["inducer_tip_diameter"].written
        message = f"is not larger than the inducer ({inducer}): a compressor wheel grows outward."
        remedy = (
            "The inducer is where air enters. On a turbine wheel it is the larger one; are the two exchanged?"
        )
        fault("exducer_diameter", message, remedy, f"above {inducer}")
    elif pair:
        _trim(pair[0], pair[1], "inducer_tip_diameter", "compressor", values, report)
    pair = _lengths(values, "inducer_hub_diameter", "inducer_tip_diameter")
    if pair and pair[0] >= pair[1]:
        tip = values["inducer_tip_diameter"].written
        message = f"is not smaller than the inducer ({tip}): no opening is left for the air."
        fault(
            "inducer_hub_diameter",
            message,
            "Measure the nose of the wheel where the blades begin.",
            f"below {tip}",
        )
    pair = _lengths(values, "tip_width", "exducer_diameter")
    if pair and not _TIP_WIDTH_ASK[0] <= pair[0] / pair[1] <= _TIP_WIDTH_ASK[1]:
        low, high = (format_quantity(share * pair[1], "length", "mm") for share in _TIP_WIDTH_ASK)
        message = f"is {100.0 * pair[0] / pair[1]:.1f} % of the exducer."
        remedy = "Measure the height of the blade at the largest diameter, along the shaft."
        report.warn(("compressor", "tip_width"), values["tip_width"].raw, message, f"{low} to {high}", remedy)
    _clearance("compressor", values, report)


def _trim(
    inner: float, outer: float, key: str, section: str, values: dict[str, Value], report: Report
) -> None:
    """Trim of a wheel: 100 times its smaller diameter over its larger one, squared."""
    trim = 100.0 * (inner / outer) ** 2
    possible, usual = (_TRIM, _TRIM_ASK) if section == "compressor" else (_TURBINE_TRIM, _TURBINE_TRIM_ASK)
    message = f"gives a trim of {trim:.0f} (100 x smaller over larger diameter, squared)"
    remedy = "Measure both diameters over the blades, in the same unit."
    path, raw = (section, key), values[key].raw
    if not possible[0] <= trim <= possible[1]:
        report.fault(path, raw, f"{message}.", f"a trim of {possible[0]:.0f} to {possible[1]:.0f}", remedy)
    elif not usual[0] <= trim <= usual[1]:
        allowed = f"usual is {usual[0]:.0f} to {usual[1]:.0f} (common practice)"
        report.warn(path, raw, f"{message}.", allowed, remedy)


def _clearance(section: str, values: dict[str, Value], report: Report) -> None:
    """A gap that leaves a blade."""
    pair = _lengths(values, "clearance", "tip_width")
    if pair and pair[0] >= _LEAST_SHARE_CLEARANCE * pair[1]:
        width = values["tip_width"].written
        remedy = "Usual is 0.2 to 0.5 mm. Is the tip width the height of the blade along the shaft?"
        key = "clearance" if values["clearance"].raw is not None else "tip_width"
        message = f"leaves no blade: a clearance of {values['clearance'].written} in a tip width of {width}."
        report.fault((section, key), values[key].raw, message, "clearance below 0.3 of the tip width", remedy)


def _turbine_wheel(values: dict[str, Value], report: Report) -> None:
    """Wheel, exducer, hub and housing against each other."""
    if _given_as(values) != "wheel":
        return

    def fault(key: str, message: str, remedy: str, allowed: str = "") -> None:
        report.fault(("turbine", key), values[key].raw, message, allowed, remedy)

    pair = _lengths(values, "exducer_diameter", "wheel_diameter")
    if pair and pair[0] >= pair[1]:
        wheel = values["wheel_diameter"].written
        message = f"is not smaller than the wheel's inlet ({wheel}): gas enters at the larger diameter."
        fault(
            "exducer_diameter",
            message,
            "Are wheel_diameter and exducer_diameter exchanged?",
            f"below {wheel}",
        )
    elif pair:
        _trim(pair[0], pair[1], "exducer_diameter", "turbine", values, report)
    pair = _lengths(values, "exducer_hub_diameter", "exducer_diameter")
    if pair and pair[0] >= pair[1]:
        tip = values["exducer_diameter"].written
        message = f"is not smaller than the exducer ({tip}): no opening is left for the gas."
        fault(
            "exducer_hub_diameter",
            message,
            "Measure the nut end of the wheel, at the foot of the blades.",
            f"below {tip}",
        )
    pair = _lengths(values, "a_over_r", "wheel_diameter")
    if pair:
        share = pair[0] / pair[1]
        message = f"is {share:.2g} of the wheel's diameter."
        low, high = (format_quantity(limit * pair[1], "length", "mm") for limit in _HOUSING)
        remedy = "A/R is a length, and its stamp mostly inch: a housing stamped 0.63 is 16 mm."
        if not _HOUSING[0] < share < _HOUSING[1]:
            fault("a_over_r", message, remedy, f"{low} to {high} for this wheel")
        elif not _HOUSING_ASK[0] <= share <= _HOUSING_ASK[1]:
            low, high = (format_quantity(limit * pair[1], "length", "mm") for limit in _HOUSING_ASK)
            allowed = f"usual is {low} to {high} for this wheel (own estimate)"
            report.warn(("turbine", "a_over_r"), values["a_over_r"].raw, message, allowed, remedy)
    _clearance("turbine", values, report)
