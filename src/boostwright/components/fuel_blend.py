"""Two fuels mixed: a part card whose values follow from those of both, each by its own rule."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType

import numpy as np

from boostwright.build import Build
from boostwright.cards.card import Card, CardHeader, CardValue
from boostwright.cards.look_up import find_card
from boostwright.physics.gas import fuel
from boostwright.units import Quantity

__all__ = ["BLEND_RULES", "blended_card", "fuel_card"]

BLEND_RULES = MappingProxyType(
    {
        "hydrogen_per_carbon": "by the carbon each fuel brings",
        "oxygen_per_carbon": "by the carbon each fuel brings",
        "molar_mass": "moles add",
        "lower_heating_value": "by mass",
        "latent_heat": "by mass; heat of mixing left out",
        "density": "volumes add; the true change is below 0.3 %",
        "stoichiometric_ratio": "from the composition",
        "ethanol_volume_share": "by volume",
        "research_octane_number": "by moles (Anderson et al. 2010, from memory)",
        "motor_octane_number": "by moles (Anderson et al. 2010, from memory)",
    }
)
"""Rule by which each property of a blend follows."""

_UNITS = {
    "molar_mass": "kg/mol",
    "lower_heating_value": "J/kg",
    "latent_heat": "J/kg",
    "density": "kg/m3",
}
_WEAKEST_LAST = (
    "measured by the owner",
    "published",
    "scaled",
    "common practice",
    "from memory",
    "invented for the demo",
)


def fuel_card(build: Build) -> Card:
    """The fuel of a build: its card, or the blend of its two. Raises UnknownPart and CardError as ``find_card``."""
    section = build["fuel"]
    card = find_card("fuel", section.text("card"), build.folder)
    if not section.has("blend_card"):
        return card
    other = find_card("fuel", section.text("blend_card"), build.folder)
    return blended_card(card, other, section.si("blend_share"), section.basis("blend_share") or "volume")


def blended_card(card: Card, other: Card, share: float, basis: str) -> Card:
    """Card of a mixture of two fuels.

    share  of ``other`` in it [-], 0 to 1
    basis  'volume' or 'mass'
    A value that one of the cards does not state is not in the result. Octane numbers are left out too where an alcohol
    other than ethanol is in it: what reads the card could not tell that no knock correlation holds.
    """
    density, other_density = card.si("density"), other.si("density")
    mass = share
    if basis == "volume":
        mass = float(fuel.blend_mass_fraction(share, other_density, density))
    volume = float(fuel.blend_volume_fraction(mass, other_density, density))
    values = _values(card, other, mass, volume)
    words = f"{card.name} with {100.0 * volume:.3g} % {other.name} by volume ({100.0 * mass:.3g} % by mass)"
    header = CardHeader(
        kind="fuel",
        schema_version=card.header.schema_version,
        name=words,
        source=f"blend; {card.name}: {card.header.source}; {other.name}: {other.header.source}",
        licence=card.header.licence,
        status=_weaker(card.header.status, other.header.status),
        notes="; ".join(
            f"{key.replace('_', ' ')} {rule}" for key, rule in BLEND_RULES.items() if key in values
        ),
    )
    where = card.found_in if card.found_in == other.found_in else f"{card.found_in}, {other.found_in}"
    return Card(header, values, {}, Path(card.path), where, (*card.warnings, *other.warnings))


def _values(card: Card, other: Card, mass: float, volume: float) -> dict[str, CardValue]:
    """Every property of the mixture; mass and volume are the shares [-] of ``other``."""

    def by_mass(first: float, second: float) -> float:
        return float(fuel.blend_by_mass(mass, second, first))

    def by_volume(first: float, second: float) -> float:
        return float(fuel.blend_density(volume, second, first))

    def of_the_volume(first: float, second: float) -> float:
        return volume * second + (1.0 - volume) * first

    def by_carbon(first: float, second: float) -> float:
        each = [
            fuel.molar_mass_per_carbon(c.si("hydrogen_per_carbon"), c.si("oxygen_per_carbon"))
            for c in (other, card)
        ]
        return float(fuel.blend_per_carbon(mass, second, first, *each))

    def by_moles(first: float, second: float) -> float:
        return float(fuel.blend_molar_mass(mass, second, first))

    def octane(first: float, second: float) -> float:
        each = (other.si("molar_mass"), card.si("molar_mass"))
        return float(fuel.blend_octane_anderson(mass, second, first, *each))

    rules: Mapping[str, Callable[[float, float], float]] = {
        "hydrogen_per_carbon": by_carbon,
        "oxygen_per_carbon": by_carbon,
        "molar_mass": by_moles,
        "lower_heating_value": by_mass,
        "latent_heat": by_mass,
        "density": by_volume,
        "ethanol_volume_share": of_the_volume,
    }
    if card.has("ethanol_volume_share") and other.has("ethanol_volume_share"):
        rules = {**rules, "research_octane_number": octane, "motor_octane_number": octane}
    found = {
        key: _value(key, rule, card, other) for key, rule in rules.items() if card.has(key) and other.has(key)
    }
    found["density_temperature"] = card.values["density_temperature"]
    found["stoichiometric_ratio"] = _stoichiometric(found)
    return found


def _value(key: str, rule: Callable[[float, float], float], card: Card, other: Card) -> CardValue:
    """One property; its band comes from the bands of both, a value without one counting as exact."""
    first, second = card.values[key], other.values[key]
    status = _weaker(first.status, second.status)
    if "octane" in key:
        status = _weaker(status, "from memory")
    band = None
    if first.band is not None or second.band is not None:
        ends = [
            rule(a, b)
            for a, b in zip(
                first.band or 2 * (card.si(key),), second.band or 2 * (other.si(key),), strict=True
            )
        ]
        band = (min(ends), max(ends))
    source = f"blend, {BLEND_RULES[key]}: {first.source}; {second.source}"
    return _made(key, rule(card.si(key), other.si(key)), source, status, band, first.kind)


def _stoichiometric(found: Mapping[str, CardValue]) -> CardValue:
    hydrogen, oxygen = (
        value.quantity.value_si if value.quantity else np.nan
        for value in (found["hydrogen_per_carbon"], found["oxygen_per_carbon"])
    )
    ratio = float(fuel.stoichiometric_air_fuel_ratio(hydrogen, oxygen))
    status = found["hydrogen_per_carbon"].status
    source = "balance of C, H and O of the blend"
    return _made("stoichiometric_ratio", ratio, source, status, None, "number")


def _made(
    key: str, value: float, source: str, status: str, band: tuple[float, float] | None, kind: str
) -> CardValue:
    unit = _UNITS.get(key, "")
    quantity = Quantity(value, unit, None, f"{value:.5g} {unit}".rstrip())
    return CardValue(quantity, kind, "", source, status, band)


def _weaker(first: str, second: str) -> str:
    """The status word that promises less."""
    return max(first, second, key=_WEAKEST_LAST.index)
