"""Fuel cards: composition per carbon atom, heating value, density, latent heat, octane."""

from __future__ import annotations

from boostwright.cards.card import Card, CardSchema, Field
from boostwright.errors import Fault

__all__ = ["SCHEMA", "stoichiometric_ratio"]

# Standard atomic weights (IUPAC, abridged to the figures that matter here) and the dry air of this project.
_CARBON, _HYDROGEN, _OXYGEN = 12.011, 1.008, 15.999
_AIR_MOLAR_MASS = 28.964
_AIR_OXYGEN_FRACTION = 0.2095
_RATIO_TOLERANCE = 0.02


def stoichiometric_ratio(hydrogen_per_carbon: float, oxygen_per_carbon: float) -> float:
    """Mass of dry air that burns one mass of a fuel CHyOz completely.

    hydrogen_per_carbon  []  [-]  y, >= 0
    oxygen_per_carbon    []  [-]  z, >= 0
    Returns [kg/kg]. Raises nothing.
    Source: balance of C, H and O; dry air with 20.95 % oxygen by volume and 28.964 g/mol.

    >>> round(stoichiometric_ratio(2.25, 0.0), 2)  # iso-octane
    15.13
    """
    oxygen = 1.0 + hydrogen_per_carbon / 4.0 - oxygen_per_carbon / 2.0
    fuel = _CARBON + _HYDROGEN * hydrogen_per_carbon + _OXYGEN * oxygen_per_carbon
    return oxygen / _AIR_OXYGEN_FRACTION * _AIR_MOLAR_MASS / fuel


def _check(card: Card) -> tuple[list[Fault], list[Fault]]:
    """The stated stoichiometric ratio must be the one that follows from the composition."""
    stated = card.si("stoichiometric_ratio")
    computed = stoichiometric_ratio(card.si("hydrogen_per_carbon"), card.si("oxygen_per_carbon"))
    if abs(stated / computed - 1.0) <= _RATIO_TOLERANCE:
        return [], []
    line = card.values["stoichiometric_ratio"].line
    message = f"does not belong to CH{card.si('hydrogen_per_carbon'):g}O{card.si('oxygen_per_carbon'):g}: "
    message += f"that composition needs {computed:.2f} kg of air per kg."
    remedy = "Correct the composition or the ratio; the composition is what the model uses."
    place = f"{card.path.name}, line {line}"
    fault = Fault(place, "fuel.stoichiometric_ratio", f"{stated:g}", message, "within 2 %", remedy, line)
    return [fault], []


SCHEMA = CardSchema(
    kind="fuel",
    words="a fuel",
    version=1,
    fields=(
        Field("hydrogen_per_carbon", "number", "hydrogen atoms per carbon atom", low=0.0, high=4.0),
        Field("oxygen_per_carbon", "number", "oxygen atoms per carbon atom", low=0.0, high=2.0),
        Field("molar_mass", "molar_mass", "mean molar mass of the fuel as vapour", low=0.016, high=0.3),
        Field(
            "lower_heating_value",
            "specific_energy",
            "heat of combustion per mass, water as vapour",
            low=10e6,
            high=60e6,
            low_ask=19e6,
            high_ask=46e6,
        ),
        Field(
            "density",
            "density",
            "density of the liquid",
            low=500.0,
            high=1200.0,
            low_ask=650.0,
            high_ask=900.0,
        ),
        Field(
            "density_temperature",
            "temperature",
            "temperature at which the density holds",
            required=False,
            default="15 degC",
        ),
        Field("latent_heat", "specific_energy", "heat of evaporation per mass", low=1e5, high=2e6),
        Field(
            "research_octane_number",
            "number",
            "octane number by the research method (RON)",
            required=False,
            low=0.0,
            high=130.0,
            low_ask=80.0,
        ),
        Field(
            "motor_octane_number",
            "number",
            "octane number by the motor method (MON)",
            required=False,
            low=0.0,
            high=130.0,
            low_ask=75.0,
        ),
        Field(
            "stoichiometric_ratio",
            "number",
            "kilograms of air that burn one kilogram; a check on the composition",
            low=4.0,
            high=20.0,
        ),
        Field(
            "ethanol_volume_share", "number", "share of ethanol by volume", required=False, low=0.0, high=1.0
        ),
    ),
    check=_check,
)
