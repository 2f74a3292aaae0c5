"""[rods]: what the connecting rods are believed to hold, or what they are made of."""

from boostwright.build.parameter import Parameter, SectionSchema, When
from boostwright.build.schema.rod_parts import ROD_BOLTS, ROD_SECTION

__all__ = ["SECTION"]

_BELIEF = When("given_as", ("belief", "both"))
_ANY = When("given_as", ("belief", "dimensions", "both"))
_BOLTS = When("bolt_count")

_BELIEFS = (
    Parameter(
        "given_as",
        "choice",
        "none: rods are not watched. belief: a torque they are believed to hold; the force it implies is held at every "
        "speed. dimensions: section and material. both: the lower of the two.",
        choices=("none", "belief", "dimensions", "both"),
        default="none",
        default_status="assumed",
        used_when=When("given_as", ("belief",)),  # none needs nobody to confirm it
    ),
    Parameter(
        "believed_torque",
        "torque",
        "Brake torque the rods are believed to hold.",
        required_when=_BELIEF,
        low="10 Nm",
        high="5000 Nm",
        low_ask="80 Nm",
        high_ask="1500 Nm",
        example='"420 Nm"',
    ),
    Parameter(
        "believed_torque_basis",
        "choice",
        "Where that torque was measured: crank, or wheel, which asks for [driveline]. Reports of broken rods are "
        "nearly always of wheel torque.",
        choices=("crank", "wheel"),
        required_when=_BELIEF,
        example='"crank"',
    ),
    Parameter(
        "believed_speed",
        "rotational_speed",
        "Engine speed of that torque. Unknown: the speed up to the limit that implies the smallest force.",
        low="500 rpm",
        high="20000 rpm",
        low_ask="1500 rpm",
        high_ask="9000 rpm",
        example='"3800 rpm"',
    ),
    Parameter(
        "believed_fuel",
        "text",
        "Fuel card it was held on. Unknown: the fuel that implies the smallest force, the build's own or one of the "
        "library's.",
        example='"petrol-ron98"',
    ),
    Parameter(
        "believed_phasing",
        "angle",
        "CA50 it was held at, after top dead centre. Unknown: the phasing from best torque to 30 deg that implies the "
        "smallest force.",
        low="0 deg",
        high="40 deg",
        low_ask="4 deg",
        high_ask="32 deg",
        example='"14 deg"',
    ),
    Parameter(
        "allow_above_belief",
        "choice",
        "true: torque may pass the believed one where the implied force allows it. The force still holds.",
        choices=("true", "false"),
        default="false",
        default_status="assumed",
        used_when=When("allow_above_belief", ("true",)),  # holding the belief needs nobody to confirm it
    ),
    Parameter(
        "torque_margin",
        "dimensionless",
        "Margin kept from the believed torque, a share of it.",
        used_when=_BELIEF,
        default=0.0,
        default_status="assumed",
        low=0.0,
        high=0.9,
        high_ask=0.3,
        scale=100.0,
    ),
    Parameter(
        "force_margin",
        "dimensionless",
        "Margin kept from every force rods and bolts may carry, a share of it.",
        used_when=_ANY,
        default=0.0,
        default_status="assumed",
        low=0.0,
        high=0.9,
        high_ask=0.3,
        scale=100.0,
    ),
)
_MASSES = (
    Parameter(
        "reciprocating_mass",
        "mass",
        "Piston, pin, rings and the small end's share of the rod, together. Without it: the sum of the masses below, "
        "else 950 kg/m3 times the bore cubed, which may be off by 30 %.",
        default="from piston_mass, else 950 kg/m3 times the bore cubed, off by up to 30 %",
        default_status="computed",
        low="50 g",
        high="8 kg",
        low_ask="0.2 kg",
        high_ask="1.5 kg",
        example='"0.55 kg"',
    ),
    Parameter(
        "piston_mass",
        "mass",
        "Piston alone.",
        low="20 g",
        high="6 kg",
        low_ask="120 g",
        high_ask="900 g",
        example='"320 g"',
    ),
    Parameter(
        "pin_mass",
        "mass",
        "Piston pin with its clips.",
        low="5 g",
        high="3 kg",
        low_ask="40 g",
        high_ask="300 g",
        example='"95 g"',
    ),
    Parameter(
        "ring_mass",
        "mass",
        "All rings of one piston.",
        used_when=When("piston_mass"),
        default="25 g",
        default_status="own estimate",
        low="1 g",
        high="500 g",
        high_ask="80 g",
    ),
    Parameter(
        "rod_mass",
        "mass",
        "Whole rod with cap and bolts. Without it 950 kg/m3 times the bore cubed.",
        default="950 kg/m3 times the bore cubed, off by up to 30 %",
        default_status="computed",
        low="50 g",
        high="10 kg",
        low_ask="0.25 kg",
        high_ask="1.6 kg",
        example='"0.56 kg"',
    ),
    Parameter(
        "small_end_share",
        "dimensionless",
        "Share of the rod's mass that goes with the piston, as both ends on scales show it.",
        used_when=_ANY,
        default=0.3,
        default_status="common practice",
        low=0.1,
        high=0.6,
        low_ask=0.2,
        high_ask=0.45,
        scale=100.0,
    ),
    Parameter(
        "cap_share",
        "dimensionless",
        "Share of the rod's mass below the joint of the big end: cap, bolts and half the shell.",
        used_when=_BOLTS,
        default=0.25,
        default_status="own estimate",
        low=0.05,
        high=0.6,
        low_ask=0.15,
        high_ask=0.4,
        scale=100.0,
    ),
    Parameter(
        "overlap_pressure",
        "pressure",
        "Pressure in the cylinder at overlap top dead centre with the throttle shut at speed: it pulls the rod beside "
        "inertia.",
        basis=("absolute",),
        stored_basis="absolute",
        refused_basis={"gauge": "a vacuum is counted from zero: write 30 kPa absolute."},
        used_when=_ANY,
        default="30 kPa absolute",
        default_status="own estimate",
        low="5 kPa",
        high="400 kPa",
        low_ask="15 kPa",
        high_ask="110 kPa",
    ),
)
SECTION = SectionSchema(
    "rods",
    "Connecting rods",
    "What the rods bear: a torque they are believed to hold, or section and material, or both. Their length is in "
    "[engine]. Knock loads them beyond anything reckoned here.",
    (*_BELIEFS, *ROD_SECTION, *_MASSES, *ROD_BOLTS),
)
