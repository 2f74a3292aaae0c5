"""[wastegate]: valve, diaphragm, spring, and the branch that feeds it."""

from boostwright.build.parameter import Parameter, SectionSchema, When

__all__ = ["SECTION"]

_FITTED = When("kind", ("poppet", "flap"))
_FLAP = When("kind", ("flap",))

_VALVE = (
    Parameter(
        "kind",
        "choice",
        "poppet: an external gate; flap: inside the turbine housing, worked by a rod; none: no gate.",
        required=True,
        choices=("poppet", "flap", "none"),
        example='"poppet"',
    ),
    Parameter(
        "card",
        "text",
        "Name of the wastegate's part card; keys left out here are taken from it.",
        example='"poppet-44mm"',
    ),
    Parameter(
        "count", "integer", "Number of equal gates.", default=1, default_status="assumed", low=1, high=4
    ),
    Parameter(
        "valve_diameter",
        "length",
        "Diameter of the valve head where it seals, not of the flange or the pipe.",
        required_when=_FITTED,
        unless="card",
        low="8 mm",
        high="120 mm",
        low_ask="18 mm",
        high_ask="66 mm",
        basis=("valve", "flange"),
        stored_basis="valve",
        refused_basis={
            "flange": "a gate is named by its flange or its valve, and only the valve passes gas: "
            'measure the valve head across its seat and write valve_diameter_basis = "valve".'
        },
        example='"44 mm"',
    ),
    Parameter(
        "full_lift",
        "length",
        "Lift at which the valve meets its stop.",
        required_when=_FITTED,
        unless="card",
        low="0.5 mm",
        high="60 mm",
        low_ask="3 mm",
        high_ask="20 mm",
        example='"10.5 mm"',
    ),
    Parameter(
        "discharge_coefficient",
        "dimensionless",
        "Effective over geometric area while the curtain under the valve is the smaller area.",
        default=0.72,
        default_status="from memory",
        low=0.2,
        high=1.0,
        low_ask=0.5,
        high_ask=0.95,
    ),
    Parameter(
        "seat_discharge_coefficient",
        "dimensionless",
        "Effective over geometric area once the seat is the smaller area.",
        default=0.72,
        default_status="from memory",
        low=0.2,
        high=1.0,
        low_ask=0.5,
        high_ask=0.95,
    ),
    Parameter(
        "stem_diameter",
        "length",
        "Stem, where it crosses the gas: exhaust pressure on it is balanced by the guide.",
        default="8 mm",
        default_status="common practice",
        low="2 mm",
        high="30 mm",
        high_ask="14 mm",
    ),
    Parameter(
        "head_force_fall",
        "dimensionless",
        "Share of the exhaust's force on the valve head that is lost from shut to full lift, as the "
        "pressure under the head falls.",
        default=0.4,
        default_status="own estimate",
        low=0.0,
        high=1.0,
    ),
    Parameter(
        "friction_force",
        "force",
        "Friction of stem and diaphragm; makes opening and closing differ.",
        default="0 N",
        default_status="assumed",
        low="0 N",
        high="500 N",
        high_ask="60 N",
    ),
)

_ACTUATOR = (
    Parameter(
        "diaphragm_diameter",
        "length",
        "Effective diameter of the diaphragm: about midway between its clamp and its plate.",
        required_when=_FITTED,
        unless="card",
        low="15 mm",
        high="200 mm",
        low_ask="35 mm",
        high_ask="100 mm",
        example='"60 mm"',
    ),
    Parameter(
        "spring_rating",
        "pressure",
        "Pressure that the spring stands for, gauge; what it means is said by spring_rating_basis.",
        required_when=_FITTED,
        low="0.01 bar",
        high="6 bar",
        low_ask="0.15 bar",
        high_ask="2 bar",
        basis=("gauge",),
        stored_basis="gauge",
        refused_basis={
            "absolute": "a spring works against the air outside the diaphragm, so its rating is a gauge "
            "pressure; take the ambient pressure off and write gauge.",
        },
        example='"0.6 bar gauge"',
    ),
    Parameter(
        "spring_rating_basis",
        "choice",
        "bench: the pressure that just cracks the valve with no exhaust pressure on it; running: with "
        "the engine running, when the exhaust already pushes on the valve.",
        required_when=_FITTED,
        choices=("bench", "running"),
        example='"bench"',
    ),
    Parameter(
        "running_pressure_difference",
        "pressure",
        "Exhaust manifold over downpipe pressure at which a running rating was stated. A difference.",
        required_when=When("spring_rating_basis", ("running",)),
        low="0 kPa",
        high="600 kPa",
        high_ask="250 kPa",
        example='"80 kPa"',
    ),
    Parameter(
        "spring_rate",
        "stiffness",
        "Stiffness of the spring (of all springs fitted).",
        required_when=_FITTED,
        unless="card",
        low="0.1 N/mm",
        high="200 N/mm",
        low_ask="1 N/mm",
        high_ask="40 N/mm",
        example='"9 N/mm"',
    ),
    Parameter(
        "lever_arm_actuator",
        "length",
        "Flap only: arm from the flap's shaft to the rod.",
        required_when=_FLAP,
        unless="card",
        low="3 mm",
        high="100 mm",
        low_ask="10 mm",
        high_ask="45 mm",
        example='"22 mm"',
    ),
    Parameter(
        "lever_arm_flap",
        "length",
        "Flap only: arm from the flap's shaft to the middle of the flap.",
        required_when=_FLAP,
        unless="card",
        low="3 mm",
        high="100 mm",
        low_ask="8 mm",
        high_ask="40 mm",
        example='"17 mm"',
    ),
    Parameter(
        "signal_source",
        "choice",
        "Where the diaphragm's signal is taken. The compressor outlet is the usual place; the plenum "
        "stands lower by the cooler's drop.",
        required_when=_FITTED,
        choices=("compressor-outlet", "plenum"),
        example='"compressor-outlet"',
    ),
)

_BRANCH = (
    Parameter(
        "branch_bore",
        "length",
        "Inside diameter of the branch between collector and valve.",
        required_when=_FITTED,
        unless="card",
        low="8 mm",
        high="120 mm",
        low_ask="18 mm",
        high_ask="70 mm",
        example='"44 mm"',
    ),
    Parameter(
        "branch_length",
        "length",
        "Length of the branch.",
        default="150 mm",
        default_status="assumed",
        low="0 mm",
        high="2000 mm",
        high_ask="800 mm",
    ),
    Parameter(
        "branch_bend_loss",
        "dimensionless",
        "Loss coefficient of the bends in the branch, in dynamic heads of the branch.",
        default=0.3,
        default_status="own estimate",
        low=0.0,
        high=10.0,
        high_ask=2.0,
    ),
    Parameter(
        "takeoff_angle",
        "angle",
        "Angle between the flow in the collector and the branch: 0 in the line of flow, 90 square to it, "
        "180 facing back.",
        required_when=_FITTED,
        low="0 deg",
        high="180 deg",
        example='"30 deg"',
    ),
    Parameter(
        "takeoff_relation",
        "choice",
        "Published relation for the loss where the branch leaves.",
        choices=("hager-bassett", "gardel", "idelchik"),
        default="hager-bassett",
        default_status="published",
    ),
    Parameter(
        "takeoff_loss",
        "dimensionless",
        "Loss coefficient of the takeoff in dynamic heads of the collector, in place of the relation: "
        "measured, or fitted from a log.",
        low=-1.0,
        high=50.0,
        high_ask=5.0,
        example="0.6",
    ),
    Parameter(
        "outlet",
        "choice",
        "recirculated: back into the downpipe; open: to the air.",
        choices=("recirculated", "open"),
        default="recirculated",
        default_status="assumed",
    ),
)

SECTION = SectionSchema(
    "wastegate",
    "Wastegate",
    "Valve, diaphragm, spring, and the branch that feeds the valve.",
    (*_VALVE, *_ACTUATOR, *_BRANCH),
)
