"""[engine]: the bare engine."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "engine",
    "Engine",
    "The bare engine: a four-stroke with stock internals.",
    (
        Parameter("cylinders", "integer", "Number of cylinders.", required=True, low=1, high=16, example="5"),
        Parameter(
            "layout",
            "choice",
            "How the cylinders stand.",
            choices=("inline", "vee", "flat"),
            default="inline",
            default_status="assumed",
        ),
        Parameter(
            "orientation",
            "choice",
            "How the engine lies in the car: it settles where torque reaction goes and where the turbo "
            "has room.",
            required=True,
            choices=("longitudinal", "transverse"),
            example='"longitudinal"',
        ),
        Parameter(
            "bore",
            "length",
            "Cylinder bore.",
            required=True,
            low="20 mm",
            high="250 mm",
            low_ask="55 mm",
            high_ask="115 mm",
            example='"83 mm"',
            measured_by="measure the bore",
        ),
        Parameter(
            "stroke",
            "length",
            "Piston stroke.",
            required=True,
            low="20 mm",
            high="300 mm",
            low_ask="45 mm",
            high_ask="120 mm",
            example='"92 mm"',
            measured_by="measure the stroke",
        ),
        Parameter(
            "connecting_rod_length",
            "length",
            "Connecting rod, centre to centre. Only forces and the crank-angle model need it.",
            low="40 mm",
            high="500 mm",
            low_ask="90 mm",
            high_ask="220 mm",
            example='"148 mm"',
        ),
        Parameter(
            "compression_ratio",
            "dimensionless",
            "Geometric compression ratio: swept plus clearance volume over clearance volume.",
            required=True,
            low=4.0,
            high=20.0,
            low_ask=7.0,
            high_ask=13.0,
            example="9.0",
            outside_remedy="Give the geometric ratio, for example 9.0; 1 would be no compression at all.",
            measured_by="measure chamber, gasket, deck and piston crown with a burette",
        ),
        Parameter(
            "speed_limit",
            "rotational_speed",
            "Highest engine speed you will use.",
            required=True,
            low="500 rpm",
            high="20000 rpm",
            low_ask="4000 rpm",
            high_ask="9500 rpm",
            example='"6800 rpm"',
        ),
    ),
)
