"""Does a map fit a compressor? Flow, speed, pressure ratio and wheel must belong to one machine."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.errors import Fault
from boostwright.units import to_si

__all__ = ["Reference", "implausible_size"]

Array = NDArray[np.float64]

_GAS_CONSTANT, _HEAT_CAPACITY = 287.05, 1004.675
_WORK_COEFFICIENT = 0.70  # usual, own estimate; tells the wheel's size where it is not stated
_FLOW_COEFFICIENT = 0.06  # usual near best efficiency, own estimate
_USUAL_FLOW = (0.012, 0.20)  # centrifugal machines, own estimate, wide
_USUAL_WORK = (0.40, 1.15)  # work coefficient, backswept to radial blades, own estimate, wide
_USUAL_TIP_SPEED = (150.0, 680.0)  # m/s of the highest line, own estimate, wide
_FLOW_UNITS = ("kg/s", "g/s", "kg/h", "lb/min", "lb/s", "lb/h", "m3/s", "m3/h", "CFM")


@dataclass(frozen=True)
class Reference:
    """Reference condition [Pa, K] and exit diameter of the wheel [m], NaN where not stated."""

    pressure: float
    temperature: float
    wheel_diameter: float

    @property
    def density(self) -> float:
        """Density [kg/m3] of dry air at the reference condition."""
        return self.pressure / (_GAS_CONSTANT * self.temperature)


def implausible_size(line: Mapping[str, Array], reference: Reference, unit: str, file: str) -> list[Fault]:
    """Warnings about the size of a machine, told at the best point of its highest speed line.

    line       columns of the highest line, SI at the card's reference
    reference  reference condition and wheel
    unit       unit in which the flow was written
    file       name of the table's file
    Work over tip speed squared tells whether speed, ratio and wheel fit; the flow coefficient whether the
    flow does. Without a stated wheel its size is told from speed and work, so that the flow can be judged either way.
    """
    best = int(np.argmax(line["efficiency"]))
    omega = float(line["corrected_speed"][best])
    head = _HEAT_CAPACITY * reference.temperature * (float(line["pressure_ratio"][best]) ** (1.0 / 3.5) - 1.0)
    work = head / float(line["efficiency"][best])
    fits = 2.0 * math.sqrt(work / _WORK_COEFFICIENT) / omega
    known = math.isfinite(reference.wheel_diameter) and reference.wheel_diameter > 0.0
    diameter = reference.wheel_diameter if known else fits
    warnings = []
    coefficient = work / (0.5 * omega * diameter) ** 2
    if not _USUAL_WORK[0] <= coefficient <= _USUAL_WORK[1]:
        message = (
            f"with this wheel the highest line would do {coefficient:.3g} times its tip speed squared as work"
            f" (usual {_USUAL_WORK[0]:g} to {_USUAL_WORK[1]:g}): speed, pressure ratio and wheel do not fit."
        )
        remedy = f"An exit diameter of about {1e3 * fits:.3g} mm would fit. Is the unit of speed right?"
        warnings.append(Fault(file, "corrected_speed", "", message, remedy=remedy))
        diameter, known = fits, False
    tip = 0.5 * omega * diameter
    if not _USUAL_TIP_SPEED[0] <= tip <= _USUAL_TIP_SPEED[1]:
        message = f"the highest line would have a tip speed of {tip:.0f} m/s"
        usual = f"{_USUAL_TIP_SPEED[0]:.0f} to {_USUAL_TIP_SPEED[1]:.0f} m/s"
        warnings.append(Fault(file, "corrected_speed", "", f"{message}; usual is {usual}. Is it right?"))
    flow = float(line["corrected_flow"][best])
    phi = flow / (reference.density * diameter**2 * tip)
    if not _USUAL_FLOW[0] <= phi <= _USUAL_FLOW[1] or not 3e-3 < diameter < 2.0:
        wheel = f"{1e3 * diameter:.3g} mm"
        whose = f"the {wheel} wheel"
        if not known:
            whose = f"the wheel of about {wheel} that speed and pressure ratio imply"
        message = (
            f"{flow:.4g} kg/s at best efficiency of the highest line do not belong to {whose}"
            f" (flow coefficient {phi:.3g}, usual {_USUAL_FLOW[0]:g} to {_USUAL_FLOW[1]:g}):"
            " probably the unit is another one."
        )
        remedy = _unit_that_fits(phi, unit, reference.density)
        warnings.append(Fault(file, "corrected_flow", unit, message, remedy=remedy))
    return warnings


def _unit_that_fits(phi: float, unit: str, density: float) -> str:
    """Which unit would put the flow where a compressor's is, for the remedy."""
    written = _size(unit, density)
    misfit = {}
    for other in _FLOW_UNITS:
        would_be = phi * _size(other, density) / written
        if _USUAL_FLOW[0] < would_be < _USUAL_FLOW[1]:
            misfit[other] = abs(math.log(would_be / _FLOW_COEFFICIENT))
    if not misfit:
        return "Check the unit of the flow column, and that of speed."
    names = sorted(misfit, key=lambda name: misfit[name])[:3]
    return f"The numbers would fit in {' or '.join(names)}: check the unit of the flow column."


def _size(unit: str, density: float) -> float:
    """One of a unit in kg/s."""
    try:
        return to_si(1.0, "mass_flow", unit)
    except ValueError:
        return to_si(1.0, "volume_flow", unit) * density
