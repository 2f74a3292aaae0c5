"""Pictures about fuels and what feeds them."""

from __future__ import annotations

import numpy as np

from boostwright.physics import fuel_system
from boostwright.physics.gas import fuel
from tools.explain.sheet import Sheet, cases_of

__all__ = ["fuel_feed", "fuels_and_blends"]

_POINTS = ("read", "reference library")


def fuels_and_blends() -> Sheet:
    """Stoichiometric air and octane number of ethanol in petrol."""
    sheet = Sheet(2)
    share = np.linspace(0.0, 1.0, 101)
    mass = fuel.blend_mass_fraction(share, 792.0, 745.0)
    carbon = fuel.molar_mass_per_carbon(3.0, 0.5), fuel.molar_mass_per_carbon(1.87, 0.0)
    hydrogen = fuel.blend_per_carbon(mass, 3.0, 1.87, *carbon)
    oxygen = fuel.blend_per_carbon(mass, 0.5, 0.0, *carbon)
    sheet.line(0, 0, 100.0 * share, fuel.stoichiometric_air_fuel_ratio(hydrogen, oxygen), "ethanol in petrol")
    for case in cases_of("gas.fuel.stoichiometric_air_fuel_ratio", *_POINTS):
        composition = (case.inputs["hydrogen_per_carbon"], case.inputs["oxygen_per_carbon"])
        if composition in ((3.0, 0.5), (1.87, 0.0)):
            sheet.case_points(0, [case], lambda c: 100.0 if c.inputs["oxygen_per_carbon"] else 0.0)
    sheet.finish(0, "ethanol, % by volume", "stoichiometric air-fuel ratio, kg/kg")
    for index, petrol in enumerate((95.0, 98.0)):
        octane = fuel.blend_octane_anderson(mass, 109.0, petrol, 0.04607, 0.110)
        sheet.line(1, index, 100.0 * share, octane, f"in petrol of {petrol:.0f}, by moles")
    sheet.line(1, 2, 100.0 * share, 95.0 + 14.0 * share, "in petrol of 95, were it by volume")
    sheet.finish(1, "ethanol, % by volume", "research octane number")
    return sheet


def fuel_feed() -> Sheet:
    """Injector flow by pressure difference; pump flow by voltage."""
    sheet = Sheet(2)
    difference = np.linspace(100e3, 600e3, 100)
    for index, (density, words) in enumerate(((745.0, "petrol"), (785.0, "E85"))):
        flow = fuel_system.injector_mass_flow(1.0, difference, 300e3, density, 745.0)
        sheet.line(0, index, difference / 1e3, flow, f"{words}, measured with petrol")
    sheet.finish(0, "rail over what it blows into, kPa", "mass flow over stated flow (300 kPa)")
    voltage = np.linspace(10.0, 14.5, 50)
    for index, left in enumerate((0.85, 0.65, 0.45)):
        flow = fuel_system.pump_flow_at_voltage(left, 1.0, voltage, 13.5)
        sheet.line(1, index, voltage, flow / left, f"at {left:.2f} of its free flow")
    sheet.finish(1, "voltage at the pump, V (curve at 13.5)", "flow over the curve's")
    return sheet
