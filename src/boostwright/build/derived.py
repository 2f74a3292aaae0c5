"""Values that follow from others: defaults that are worked out, and the turbine's choked flow in one form."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from boostwright.build.build import DefaultUsed, Value
from boostwright.build.curves import speed_range
from boostwright.build.faults import Report
from boostwright.build.schema import compressor, prediction, turbine
from boostwright.build.values import check_bounds
from boostwright.units import format_quantity, to_si, unit_names

__all__ = ["fill_computed_defaults", "turbine_swallowing"]

Values = dict[str, dict[str, Value]]

_FIRST_SPEED = to_si(1500.0, "rotational_speed", "rpm")
_SPEED_STEP = to_si(250.0, "rotational_speed", "rpm")
_WHEEL_LENGTH = 0.38  # of the exducer; own estimate


def turbine_swallowing(sections: Values, data: Mapping[str, Any], report: Report) -> None:
    """A choked flow given as a corrected mass flow -> m sqrt(T) / p, in place.

    Source: definition of corrected flow, m_corr = m sqrt(T / T_ref) / (p / p_ref), so that
    m sqrt(T) / p = m_corr sqrt(T_ref) / p_ref.
    """
    turbine = sections.get("turbine", {})
    flow = turbine.get("choked_flow")
    if flow is None or flow.si is None:
        return
    references = ("choked_flow_temperature", "choked_flow_pressure")
    given = data.get("turbine", {})
    if flow.unit not in unit_names("mass_flow"):
        for key in references:
            if key in turbine:
                message = "is not used: choked_flow is given without a reference."
                report.warn(("turbine", key), given.get(key), message)
        return
    missing = [key for key in references if key not in given]
    path = ("turbine", "choked_flow")
    if missing:
        are = "are" if len(missing) > 1 else "is"
        message = f"is a corrected mass flow, and {' and '.join(missing)} {are} missing."
        example = 'choked_flow_temperature = "288.15 K" and choked_flow_pressure = "101.325 kPa absolute"'
        remedy = f"Take the reference from the same page as the flow, for example {example}."
        report.fault(path, flow.written, message, "both references, or kg/s*sqrt(K)/kPa", remedy)
        return
    temperature, pressure = (turbine.get(key) for key in references)
    if temperature is None or pressure is None or not temperature.si or not pressure.si:
        return
    swallowing = flow.si * math.sqrt(temperature.si) / pressure.si
    shown = f"comes to {format_quantity(swallowing, 'swallowing')}, which "
    if check_bounds(flow.parameter, swallowing, given.get("choked_flow"), path, report, shown):
        band = flow.band.scaled(swallowing / flow.si) if flow.band else None
        turbine["choked_flow"] = replace(flow, si=swallowing, band=band)


def fill_computed_defaults(sections: Values) -> list[DefaultUsed]:
    """Speeds, mode and what compressor and turbine are given as, in place; returned as defaults to list."""
    used = _turbocharger_defaults(sections)
    values = sections.setdefault("prediction", {})
    limit = sections.get("engine", {}).get("speed_limit")
    if "speeds" not in values and limit is not None and limit.si is not None:
        first = min(_FIRST_SPEED, limit.si / 2)
        words = f"{format_quantity(first, 'rotational_speed')} to {limit.written} every 250 rpm"
        parameter = prediction.SECTION.find("speeds")
        speeds = speed_range(first, limit.si, _SPEED_STEP)
        values["speeds"] = Value(parameter, words, "default", speeds=speeds, unit="rpm")
        used.append(DefaultUsed("prediction.speeds", words, parameter.default_status))
    if "mode" not in values:
        gate = sections.get("wastegate", {}).get("kind")
        if gate is not None and gate.text == "none":
            mode = "gate-shut"
        else:
            mode = "target" if "target" in sections.get("boost_control", {}) else "spring"
        parameter = prediction.SECTION.find("mode")
        values["mode"] = Value(parameter, mode, "default", text=mode)
        used.append(DefaultUsed("prediction.mode", mode, parameter.default_status))
    return used


def _turbocharger_defaults(sections: Values) -> list[DefaultUsed]:
    """What compressor and turbine are given as, the length of a wheel, and a line for the rule of the pulses."""
    used: list[DefaultUsed] = []
    for schema, way in ((compressor.SECTION, "card"), (turbine.SECTION, "one-number")):
        values = sections.setdefault(schema.name, {})
        if "given_as" not in values:
            text = "card" if "card" in values else way
            values["given_as"] = Value(schema.find("given_as"), text, "default", text=text)
    wheel = sections["compressor"]
    exducer = wheel.get("exducer_diameter")
    if wheel["given_as"].text == "wheel" and "axial_length" not in wheel and exducer and exducer.si:
        parameter = compressor.SECTION.find("axial_length")
        length = _WHEEL_LENGTH * exducer.si
        words = format_quantity(length, "length", "mm")
        wheel["axial_length"] = Value(parameter, words, "default", si=length, unit="mm")
        used.append(DefaultUsed("compressor.axial_length", words, "own estimate"))
    if "pulse_amplitude" not in sections["turbine"]:
        rule = turbine.SECTION.find("pulse_amplitude").default
        used.append(DefaultUsed("turbine.pulse_amplitude", str(rule), "own estimate"))
    return used
