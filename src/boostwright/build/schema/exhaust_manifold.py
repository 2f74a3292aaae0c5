"""[exhaust_manifold]: from the ports to the turbine inlet."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "exhaust_manifold",
    "Exhaust manifold",
    "From the ports to the turbine inlet.",
    (
        Parameter(
            "collector_bore",
            "length",
            "Inside diameter of the collector that the wastegate branch leaves. Its dynamic head decides "
            "how much pressure a badly placed branch loses.",
            required=True,
            low="15 mm",
            high="150 mm",
            low_ask="30 mm",
            high_ask="80 mm",
            example='"50 mm"',
        ),
        Parameter(
            "heat_conductance",
            "thermal_conductance",
            "Heat lost to the engine bay per kelvin between gas and ambient.",
            default="8 W/K",
            default_status="own estimate",
            low="0 W/K",
            high="200 W/K",
            high_ask="40 W/K",
        ),
    ),
)
