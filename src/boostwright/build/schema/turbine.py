"""[turbine]: by a card, by one number, or by the dimensions of wheel and housing; and its pulses."""

from boostwright.build.parameter import Parameter, SectionSchema, When
from boostwright.build.schema.turbine_wheel import WHEEL

__all__ = ["SECTION"]

_ONE_NUMBER = When("given_as", ("one-number",))

SECTION = SectionSchema(
    "turbine",
    "Turbine",
    "The turbine, by a card of its flow and efficiency; by one number, the flow it swallows when choked; or by the "
    "dimensions of its wheel and the A/R of its housing, an unproven estimate.",
    (
        Parameter(
            "given_as",
            "choice",
            "What counts: card, the part card; one-number, choked_flow with an assumed efficiency; wheel, flow and "
            "efficiency estimated from dimensions, unproven. The computed default is card where one is named, else "
            "one-number.",
            unless="card",
            choices=("card", "one-number", "wheel"),
            default="one-number",
            default_status="computed",
            example='"one-number"',
        ),
        Parameter(
            "card",
            "text",
            "Name of the turbine's part card. With a card, choked_flow is not needed.",
            example='"my-turbine"',
        ),
        Parameter(
            "choked_flow",
            "swallowing",
            "The flow the turbine swallows when choked, as m sqrt(T) / p with total inlet state. A "
            "corrected mass flow (kg/s, lb/min) is taken too, with the two reference keys below.",
            also="mass_flow",
            unless="card",
            required_when=_ONE_NUMBER,
            low="0.001 kg/s*sqrt(K)/kPa",
            high="1 kg/s*sqrt(K)/kPa",
            low_ask="0.005 kg/s*sqrt(K)/kPa",
            high_ask="0.10 kg/s*sqrt(K)/kPa",
            example='"0.022 kg/s*sqrt(K)/kPa"',
            ask_remedy="Housings of car turbos lie near 0.01 to 0.05 kg/s*sqrt(K)/kPa.",
            measured_by="log exhaust manifold pressure and temperature with the gate shut",
        ),
        Parameter(
            "choked_flow_temperature",
            "temperature",
            "Reference total temperature of a choked_flow given as a corrected mass flow.",
            low="-60 degC",
            high="1200 degC",
            example='"288.15 K"',
        ),
        Parameter(
            "choked_flow_pressure",
            "pressure",
            "Reference total pressure of a choked_flow given as a corrected mass flow, absolute.",
            basis=("absolute",),
            stored_basis="absolute",
            low="20 kPa",
            high="1000 kPa",
            example='"101.325 kPa absolute"',
        ),
        Parameter(
            "wheel_diameter",
            "length",
            "Inlet (inducer) diameter of the turbine wheel, the larger one; its tip speed sets the blade-speed ratio.",
            unless="card",
            required_when=When("given_as", ("one-number", "wheel")),
            low="15 mm",
            high="200 mm",
            low_ask="30 mm",
            high_ask="110 mm",
            example='"55 mm"',
        ),
        Parameter(
            "efficiency_peak",
            "dimensionless",
            "Best total-to-static efficiency.",
            unless="card",
            used_when=_ONE_NUMBER,
            default=0.70,
            default_status="own estimate",
            low=0.1,
            high=0.95,
            low_ask=0.5,
            high_ask=0.82,
        ),
        Parameter(
            "best_blade_speed_ratio",
            "dimensionless",
            "Blade-speed ratio U/C at which the efficiency is best.",
            unless="card",
            used_when=_ONE_NUMBER,
            default=0.65,
            default_status="from memory",
            low=0.3,
            high=1.0,
            low_ask=0.5,
            high_ask=0.8,
        ),
        Parameter(
            "efficiency_width",
            "dimensionless",
            "How fast efficiency falls away from the best blade-speed ratio: peak x (1 - ((ratio - best) "
            "/ (width x best))^2). With 1 it reaches zero at standstill and at twice the best ratio.",
            unless="card",
            used_when=_ONE_NUMBER,
            default=1.0,
            default_status="own estimate",
            low=0.3,
            high=3.0,
        ),
        *WHEEL,
        Parameter(
            "pulse_amplitude",
            "dimensionless",
            "Relative amplitude of the pressure pulses at the turbine: a pressure that swings between 0.7 and 1.3 of "
            "its mean over time has 0.3. The pressures shown are means over time; with 0 the turbine is taken as "
            "steady. The computed default falls with engine speed and with the number of cylinders on one turbine.",
            curve=True,
            default="rule by engine speed and cylinders a turbine",
            default_status="computed",
            low=0.0,
            high=0.6,
            high_ask=0.5,
            scale=100.0,
            example='{ speed = [1500, 6500], unit = "rpm", value = [0.25, 0.15] }',
            outside_remedy="It is a share of the mean, between 0 and 0.6.",
        ),
        Parameter(
            "a_r",
            "dimensionless",
            "A/R of the housing as stamped, for the order sheet only: it is no area, and compares housings of one "
            "wheel only. What counts with given_as = wheel is a_over_r.",
            low=0.1,
            high=3.0,
            scale=100.0,
            example="0.63",
            outside_remedy="An A/R is a ratio, printed on most housings, such as 0.63.",
        ),
        Parameter(
            "count",
            "integer",
            "Number of equal turbines in parallel.",
            default=1,
            default_status="assumed",
            low=1,
            high=4,
        ),
    ),
)
