"""Keys of [breathing] that describe valves and cams."""

from __future__ import annotations

from boostwright.build.parameter import Parameter, When

__all__ = ["VALVES"]

_CAMS = When("source", ("cams",))


def _valve(side: str, diameter: str, lift: str) -> tuple[Parameter, ...]:
    """Number, head diameter and lift of the valves of one side."""
    return (
        Parameter(
            f"{side}_valves",
            "integer",
            f"Number of {side} valves of a cylinder.",
            used_when=_CAMS,
            default=2,
            default_status="assumed",
            low=1,
            high=3,
        ),
        Parameter(
            f"{side}_valve_diameter",
            "length",
            f"Head diameter of an {side} valve.",
            required_when=_CAMS,
            low="8 mm",
            high="90 mm",
            low_ask="18 mm",
            high_ask="52 mm",
            example=f'"{diameter}"',
        ),
        Parameter(
            f"{side}_valve_lift",
            "length",
            f"Greatest lift of an {side} valve, at the valve and with its clearance taken off.",
            required_when=_CAMS,
            low="3 mm",
            high="25 mm",
            low_ask="6 mm",
            high_ask="14 mm",
            example=f'"{lift}"',
        ),
    )


def _angle(name: str, words: str, example: str, low: str, high: str, **more: object) -> Parameter:
    """One angle of a cam."""
    return Parameter(name, "angle", words, low=low, high=high, example=f'"{example}"', **more)  # type: ignore[arg-type]


def _cam(
    side: str, first: str, second: str, centre: str, examples: tuple[str, str, str, str]
) -> tuple[Parameter, ...]:
    """Opening and closing of one cam, or its duration and centreline."""
    opening, closing, duration, centreline = examples
    return (
        _angle(
            f"{side}_opening",
            f"Where the {side} valve passes cam_lift_basis opening, {first}; a minus sign is the other side of it.",
            opening,
            "-90 deg",
            "130 deg",
            required_when=_CAMS,
            unless=f"{side}_centreline",
        ),
        _angle(
            f"{side}_closing",
            f"Where the {side} valve passes cam_lift_basis closing, {second}; a minus sign is the other side of it.",
            closing,
            "-90 deg",
            "130 deg",
            required_when=_CAMS,
            unless=f"{side}_centreline",
        ),
        _angle(
            f"{side}_centreline",
            f"Instead of opening and closing: middle of the {side} lift, {centre}.",
            centreline,
            "60 deg",
            "160 deg",
            low_ask="90 deg",
            high_ask="130 deg",
        ),
        _angle(
            f"{side}_duration",
            f"Crank angle for which the {side} valve is above cam_lift_basis.",
            duration,
            "60 deg",
            "400 deg",
            required_when=When(f"{side}_centreline"),
            low_ask="180 deg",
            high_ask="320 deg",
        ),
    )


VALVES = (
    *_valve("intake", "32 mm", "9.5 mm"),
    *_valve("exhaust", "28 mm", "9.0 mm"),
    Parameter(
        "cam_lift_basis",
        "choice",
        "Lift at the valve at which the angles below are stated: seat (the first and last trace of it), 1-mm, or "
        "0.050-inch. One cam has 40 to 60 deg more by the first than by the last.",
        choices=("seat", "1-mm", "0.050-inch"),
        required_when=_CAMS,
        example='"1-mm"',
    ),
    *_cam(
        "intake",
        "before top dead centre",
        "after bottom dead centre",
        "after top dead centre",
        ("2 deg", "38 deg", "220 deg", "108 deg"),
    ),
    *_cam(
        "exhaust",
        "before bottom dead centre",
        "after top dead centre",
        "before top dead centre",
        ("40 deg", "0 deg", "220 deg", "110 deg"),
    ),
    Parameter(
        "valve_overlap",
        "angle",
        "Where the cams are not described: crank angle for which both valves are above 1 mm of lift, about top dead "
        "centre; a minus sign is a gap. It decides how much burned gas stays behind, and that moves knock: stock "
        "engines have -20 to 20 deg. Valves are taken in proportion to the bore, four a cylinder.",
        default="0 deg",
        default_status="own estimate",
        unless="cam_lift_basis",
        low="-60 deg",
        high="100 deg",
        low_ask="-40 deg",
        high_ask="40 deg",
        default_band="20 deg",
        measured_by="read the cam card, or measure the valves' lift about top dead centre",
    ),
    Parameter(
        "valve_discharge_coefficient",
        "dimensionless",
        "Discharge coefficient of a valve on its curtain, at small lift.",
        used_when=_CAMS,
        default=0.65,
        default_status="own estimate",
        low=0.2,
        high=1.0,
        low_ask=0.5,
        high_ask=0.8,
        default_band="0.08",
        measured_by="have the ports flowed at full lift",
    ),
    Parameter(
        "port_area_share",
        "dimensionless",
        "Effective area of the port alone over the area of the valve's head: what a bench shows at high lift.",
        used_when=_CAMS,
        default=0.70,
        default_status="own estimate",
        low=0.2,
        high=1.0,
        low_ask=0.5,
        high_ask=0.9,
        default_band="0.1",
        measured_by="measure the narrowest place of the port",
    ),
    Parameter(
        "slow_filling",
        "dimensionless",
        "Cams only: volumetric efficiency with slow gas and an intake valve that closes at the bottom. It stands for "
        "heat taken up on the way in against ram and tuning of the runners, and is the first thing to fit: +-0.08.",
        used_when=_CAMS,
        default=1.0,
        default_status="own estimate",
        low=0.5,
        high=1.3,
        low_ask=0.8,
        high_ask=1.1,
        default_band="0.08",
        measured_by="give the known torque curve of the engine without turbo",
    ),
)
"""With source = "cams" they are needed; with another source, valve losses and overlap follow when all are there."""
