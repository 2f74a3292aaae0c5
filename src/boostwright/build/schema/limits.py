"""[limits]: what you do not want to pass; every key is optional."""

from __future__ import annotations

from dataclasses import replace

from boostwright.build.parameter import Parameter, SectionSchema, When

__all__ = ["SECTION"]

_SHARE_REMEDY = 'A margin is a share of the limit: write 0.05 or "5 %".'


def _share(key: str, words: str) -> Parameter:
    """Margin of a limit as a share of it."""
    return Parameter(
        f"{key}_margin",
        "dimensionless",
        f"Margin kept from {words}, a share of it.",
        used_when=When(key),
        default=0.0,
        default_status="assumed",
        low=0.0,
        high=0.9,
        high_ask=0.3,
        scale=100.0,
        outside_remedy=_SHARE_REMEDY,
    )


def _kelvin(key: str, words: str) -> Parameter:
    """Margin of a temperature, a difference."""
    return Parameter(
        f"{key}_margin",
        "temperature_difference",
        f"Margin kept from {words}. A difference.",
        used_when=When(key),
        default="0 K",
        default_status="assumed",
        low="0 K",
        high="300 K",
        high_ask="100 K",
    )


def _basis(key: str, words: str) -> Parameter:
    """Where a torque is counted, asked and never guessed."""
    return Parameter(
        f"{key}_basis",
        "choice",
        words,
        choices=("crank", "wheel"),
        required_when=When(key),
        example='"crank"',
    )


_TORQUE = Parameter(
    "torque",
    "torque",
    "Highest brake torque, where torque_basis says; a number or over engine speed.",
    curve=True,
    low="10 Nm",
    high="5000 Nm",
    low_ask="80 Nm",
    high_ask="1500 Nm",
    example='"400 Nm"',
)

_TORQUES = (
    _TORQUE,
    _basis("torque", "Where that torque is counted: crank, or wheel, which asks for [driveline]."),
    _share("torque", "the torque cap"),
    replace(
        _TORQUE,
        name="driveline_torque",
        words="What clutch, gearbox or axle is to carry at most, where driveline_torque_basis says.",
        example='"450 Nm"',
    ),
    _basis(
        "driveline_torque",
        "Where that torque is counted: crank, as of a clutch or a gearbox's input; wheel, as a dyno shows it, over the "
        "overall ratio.",
    ),
    _share("driveline_torque", "the driveline's torque"),
)
_CYLINDERS = (
    Parameter(
        "peak_pressure",
        "pressure",
        "Highest cylinder pressure, of a strong cycle: mean + 3 sigma by cylinder.peak_pressure_scatter.",
        curve=True,
        basis=("absolute",),
        stored_basis="absolute",
        refused_basis={"gauge": "a cylinder pressure is absolute here: write for example 110 bar absolute."},
        low="15 bar",
        high="400 bar",
        low_ask="50 bar",
        high_ask="200 bar",
        example='"110 bar absolute"',
    ),
    _share("peak_pressure", "the peak pressure"),
    Parameter(
        "latest_phasing",
        "angle",
        "Latest CA50 to which knock may push the spark, after top dead centre; while nobody has fitted the knock "
        "multiplier, the strict end of its band is held to it.",
        low="0 deg",
        high="40 deg",
        low_ask="12 deg",
        high_ask="34 deg",
        example='"28 deg"',
    ),
    Parameter(
        "egt_reading",
        "temperature",
        "Highest exhaust temperature as the probe shows it, not as the turbine sees it.",
        curve=True,
        low="300 degC",
        high="1200 degC",
        low_ask="700 degC",
        high_ask="1050 degC",
        example='"950 degC"',
    ),
    _kelvin("egt_reading", "the EGT limit"),
)
_AIR = (
    Parameter(
        "drive_pressure_ratio",
        "dimensionless",
        "Highest ratio of exhaust manifold to intake manifold pressure, both absolute and total.",
        curve=True,
        low=0.3,
        high=6.0,
        low_ask=0.9,
        high_ask=3.0,
        example="1.8",
    ),
    _share("drive_pressure_ratio", "the drive-pressure ratio"),
    Parameter(
        "surge_margin",
        "dimensionless",
        "Least flow margin to the surge line.",
        low=0.0,
        high=0.9,
        high_ask=0.4,
        example="0.10",
    ),
    Parameter(
        "choke_margin",
        "dimensionless",
        "Least flow margin to choke.",
        low=0.0,
        high=0.9,
        high_ask=0.4,
        example="0.05",
    ),
    replace(
        _share("shaft_speed", "the limiting shaft speed of compressor and turbine"),
        used_when=When(
            "shaft_speed_margin"
        ),  # shown with the limit; nobody has to confirm that none is wanted
    ),
    Parameter(
        "boost",
        "pressure",
        "Highest pressure in the intake manifold; say gauge or absolute. Kept as absolute.",
        basis=("absolute", "gauge"),
        stored_basis="absolute",
        low="20 kPa",
        high="1000 kPa",
        high_ask="350 kPa",
        example='"190 kPa absolute"',
    ),
    _share("boost", "the boost limit, counted absolute"),
    Parameter(
        "temperature_im",
        "temperature",
        "Highest charge temperature in the intake manifold.",
        curve=True,
        low="-20 degC",
        high="250 degC",
        low_ask="20 degC",
        high_ask="120 degC",
        example='"65 degC"',
    ),
    _kelvin("temperature_im", "the charge temperature"),
)
_OWN = (
    Parameter(
        "own",
        "own-limits",
        "Limits of your own on any quantity of a prediction, each a section of its own, [limits.own.NAME]: quantity, "
        "upper or lower or both with their unit, and if wanted words and margin.",
        example='{ silencer = { quantity = "pressure_4", upper = "130 kPa absolute", margin = 0.02 } }',
    ),
)

SECTION = SectionSchema(
    "limits",
    "Limits",
    "What you do not want to pass. Every key is optional; the limit that binds is named at every speed, and counts as "
    "reached when its margin is used up.",
    (*_TORQUES, *_CYLINDERS, *_AIR, *_OWN),
)
