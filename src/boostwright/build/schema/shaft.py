"""[shaft]: bearings between turbine and compressor."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "shaft",
    "Turbocharger shaft",
    "The bearings between turbine and compressor.",
    (
        Parameter(
            "mechanical_efficiency",
            "dimensionless",
            "Compressor power over turbine power.",
            default=0.95,
            default_status="from memory",
            low=0.5,
            high=1.0,
            low_ask=0.85,
            default_band="0.03",
            measured_by="log shaft speed, boost and exhaust manifold pressure together",
        ),
    ),
)
