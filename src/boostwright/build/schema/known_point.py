"""The four keys by which a flow loss is stated: a pressure drop, and the flow and state it was seen at."""

from __future__ import annotations

from boostwright.build.parameter import Parameter, When

__all__ = ["known_point"]


def known_point(
    drop_example: str,
    flow_example: str,
    *,
    temperature: str | None,
    pressure: str,
    high_ask: str,
    when: When | None = None,
    pressure_words: str = "Absolute pressure ahead of the part there.",
) -> tuple[Parameter, ...]:
    """The declarations of one known point; ``temperature`` None means that it must be given.

    drop_example, flow_example  what the page shows
    temperature, pressure       defaults of the state, as text with unit
    high_ask                    pressure drop above which the user is asked
    when                        condition under which the point is required; None for always
    pressure_words              on which side of the part the pressure is meant
    """
    return (
        *_drop_and_flow(drop_example, flow_example, high_ask, when),
        *_state(temperature, pressure, when, pressure_words),
    )


def _drop_and_flow(
    drop_example: str, flow_example: str, high_ask: str, when: When | None
) -> tuple[Parameter, ...]:
    """The point itself."""
    always = when is None
    return (
        Parameter(
            "pressure_drop",
            "pressure",
            "Total-pressure drop at the flow below. A difference, so neither gauge nor absolute.",
            required=always,
            required_when=when,
            low="0 kPa",
            high="100 kPa",
            high_ask=high_ask,
            example=f'"{drop_example}"',
            measured_by="read the pressure on both sides at full flow",
        ),
        Parameter(
            "at_mass_flow",
            "mass_flow",
            "Mass flow at which that drop was seen.",
            required=always,
            required_when=when,
            low="0.001 kg/s",
            high="5 kg/s",
            low_ask="0.02 kg/s",
            high_ask="1.0 kg/s",
            example=f'"{flow_example}"',
        ),
    )


def _state(
    temperature: str | None, pressure: str, when: When | None, pressure_words: str
) -> tuple[Parameter, ...]:
    """The state of the gas there."""
    return (
        Parameter(
            "at_temperature",
            "temperature",
            "Gas temperature there.",
            required=temperature is None,
            used_when=when,
            default=temperature,
            default_status="assumed" if temperature else "",
            low="-60 degC",
            high="1200 degC",
            example=f'"{temperature or "700 degC"}"',
            default_band="20 K",
            measured_by="note the gas temperature where the pressure drop was read",
        ),
        Parameter(
            "at_pressure",
            "pressure",
            pressure_words,
            used_when=when,
            default=pressure,
            default_status="assumed",
            basis=("absolute",),
            stored_basis="absolute",
            refused_basis={
                "gauge": "that day's ambient pressure is not known; add it, and write absolute.",
            },
            low="20 kPa",
            high="1000 kPa",
            high_ask="400 kPa",
            example=f'"{pressure}"',
            default_band="4 %",
            measured_by="note the pressure where the pressure drop was read",
        ),
    )
