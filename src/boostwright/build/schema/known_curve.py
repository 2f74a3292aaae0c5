"""Keys of [breathing] for a naturally aspirated torque or power curve of the same engine."""

from __future__ import annotations

from boostwright.build.parameter import Parameter, When

__all__ = ["KNOWN_CURVE"]

_KNOWN = When("source", ("known-curve",))
_MEASURED = When("known_curve_air", ("as-measured",))

_CURVE = (
    Parameter(
        "known_torque",
        "torque",
        "Full-load torque of the engine before the turbo, over engine speed.",
        curve=True,
        required_when=_KNOWN,
        unless="known_power",
        low="5 Nm",
        high="3000 Nm",
        example='{ speed = [2000, 4000, 6000], unit = "rpm", value = [190, 220, 195], value_unit = "Nm" }',
    ),
    Parameter(
        "known_power",
        "power",
        "Instead of torque: its full-load power over engine speed.",
        curve=True,
        low="1 kW",
        high="2000 kW",
        example='{ speed = [2000, 4000, 6000], unit = "rpm", value = [40, 92, 122], value_unit = "kW" }',
    ),
    Parameter(
        "known_curve_at",
        "choice",
        "Where that curve was measured: crank, or wheel, which asks for [driveline].",
        choices=("crank", "wheel"),
        required_when=_KNOWN,
        example='"crank"',
    ),
    Parameter(
        "known_curve_air",
        "choice",
        "The air the curve is stated for: as-measured on a day, or corrected by a standard to its reference air.",
        choices=("as-measured", "sae-j1349", "iso-1585", "din-70020"),
        required_when=_KNOWN,
        example='"din-70020"',
    ),
    Parameter(
        "known_curve_pressure",
        "pressure",
        "As measured: what a barometer at the place showed that day.",
        required_when=_MEASURED,
        basis=("station",),
        stored_basis="station",
        refused_basis={"gauge": "a barometer shows no gauge pressure; write station."},
        low="50 kPa",
        high="110 kPa",
        low_ask="70 kPa",
        high_ask="105 kPa",
        example='"100.2 kPa station"',
    ),
    Parameter(
        "known_curve_temperature",
        "temperature",
        "As measured: temperature of the air the engine drew that day.",
        required_when=_MEASURED,
        low="-30 degC",
        high="60 degC",
        example='"22 degC"',
    ),
    Parameter(
        "known_curve_humidity",
        "dimensionless",
        "As measured: relative humidity that day, 0 to 1.",
        used_when=_MEASURED,
        default=0.5,
        default_status="assumed",
        low=0.0,
        high=1.0,
        scale=100.0,
    ),
)
_ENGINE_THEN = (
    Parameter(
        "known_curve_lambda",
        "dimensionless",
        "Lambda at full load then.",
        curve=True,
        used_when=_KNOWN,
        default=0.88,
        default_status="own estimate",
        low=0.6,
        high=1.4,
        low_ask=0.75,
        high_ask=1.05,
    ),
    Parameter(
        "known_intake_pressure_drop",
        "pressure",
        "Loss of filter and pipe then, at known_gas_flow. A difference.",
        used_when=_KNOWN,
        default="3 kPa",
        default_status="own estimate",
        low="0 kPa",
        high="30 kPa",
        high_ask="10 kPa",
    ),
    Parameter(
        "known_exhaust_pressure_drop",
        "pressure",
        "Back-pressure of the old exhaust, at known_gas_flow and known_exhaust_temperature. A difference.",
        used_when=_KNOWN,
        default="15 kPa",
        default_status="own estimate",
        low="0 kPa",
        high="100 kPa",
        high_ask="50 kPa",
    ),
    Parameter(
        "known_gas_flow",
        "mass_flow",
        "Flow at which both losses hold.",
        used_when=_KNOWN,
        default="0.15 kg/s",
        default_status="own estimate",
        low="0.005 kg/s",
        high="3 kg/s",
    ),
    Parameter(
        "known_exhaust_temperature",
        "temperature",
        "Gas temperature in the old exhaust there.",
        used_when=_KNOWN,
        default="700 degC",
        default_status="own estimate",
        low="200 degC",
        high="1100 degC",
    ),
)

KNOWN_CURVE = (*_CURVE, *_ENGINE_THEN)
"""Displacement and compression ratio are taken as they are now: a curve of other pistons is none of this engine."""
