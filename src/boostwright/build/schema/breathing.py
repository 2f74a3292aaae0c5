"""[breathing]: how well the cylinders fill."""

from boostwright.build.parameter import Parameter, SectionSchema, When
from boostwright.build.schema.known_curve import KNOWN_CURVE
from boostwright.build.schema.valves import VALVES

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "breathing",
    "Breathing",
    "How well the cylinders fill, and the state that the filling was stated for.",
    (
        Parameter(
            "source",
            "choice",
            "Where the filling comes from. table: volumetric efficiency over engine speed. cams: an estimate from "
            "valves and cams. known-curve: the torque or power the engine had before the turbo, turned back through "
            "the same model.",
            choices=("table", "cams", "known-curve"),
            default="table",
            default_status="assumed",
            used_when=When("source", ("cams",)),  # a table that stands there needs nobody to confirm it
        ),
        Parameter(
            "volumetric_efficiency",
            "dimensionless",
            "Fresh air trapped, over what the displacement would hold at the density of the intake "
            "manifold (its pressure and temperature). Not over ambient density: that would count boost "
            "twice.",
            curve=True,
            required_when=When("source", ("table",)),
            scale=100.0,
            low=0.2,
            high=1.6,
            low_ask=0.4,
            high_ask=1.3,
            example='{ speed = [1500, 4500, 6500], unit = "rpm", value = [0.82, 0.97, 0.86] }',
            outside_remedy="Over the density in the manifold it stays near 0.8 to 1.1, with boost too.",
            measured_by="give the known torque curve without turbo, or log air flow at a few speeds",
        ),
        Parameter(
            "reference_pressure_ratio",
            "dimensionless",
            "Exhaust manifold over intake manifold pressure for which the table or the cams' estimate holds. The "
            "correction away from it is 1 here by construction. A known curve brings its own.",
            default=1.05,
            default_status="own estimate",
            low=0.3,
            high=4.0,
            low_ask=0.7,
            high_ask=2.0,
            default_band="0.1",
            measured_by="read exhaust manifold pressure where the volumetric efficiency was found",
        ),
        Parameter(
            "reference_temperature",
            "temperature",
            "Intake manifold temperature for which the table holds. A known curve brings its own.",
            default="25 degC",
            default_status="own estimate",
            low="-40 degC",
            high="150 degC",
            low_ask="0 degC",
            high_ask="80 degC",
            default_band="20 K",
            measured_by="note the charge temperature where the volumetric efficiency was found",
        ),
        Parameter(
            "backpressure_relation",
            "choice",
            "Published relation for the loss of filling with exhaust pressure.",
            choices=("eriksson", "heywood"),
            default="eriksson",
            default_status="from memory",
        ),
        Parameter(
            "temperature_exponent",
            "dimensionless",
            "Filling goes with (T_im / reference_temperature) to this power.",
            default=0.5,
            default_status="from memory",
            low=0.0,
            high=1.0,
            default_band="0.2",
            measured_by="log air flow at the same boost with charge cold and hot",
        ),
        *VALVES,
        *KNOWN_CURVE,
    ),
)
