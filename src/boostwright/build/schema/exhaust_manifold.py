"""[exhaust_manifold]: from the ports to the turbine inlet."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["SECTION"]

_MADE = (
    Parameter(
        "material",
        "text",
        "Material card of the pipes or the casting, for the go / no-go sheet: its service temperature and its growth.",
        example='"stainless-321"',
    ),
    Parameter(
        "wall",
        "length",
        "Wall of the pipes, for the go / no-go sheet; thin walls crack beside the welds.",
        low="0.5 mm",
        high="25 mm",
        low_ask="1 mm",
        high_ask="8 mm",
        example='"2.5 mm"',
    ),
    Parameter(
        "turbo_support",
        "choice",
        "What carries the turbocharger besides the manifold, for the go / no-go sheet: sliding, a leg that lets heat "
        "growth go; rigid, a brace that blocks it; none.",
        choices=("sliding", "rigid", "none"),
    ),
    Parameter(
        "growth",
        "choice",
        "How runners of different length grow side by side, for the go / no-go sheet: slip-joints; bends, that give; "
        "log, one stiff casting or log; blocked, straight pipes held at both ends.",
        choices=("slip-joints", "bends", "log", "blocked"),
    ),
    Parameter(
        "fasteners_locked",
        "choice",
        "What keeps studs, nuts and bolts of head and turbine flange from working loose, for the go / no-go sheet.",
        choices=("locking-nuts", "lock-plates", "wire", "nothing"),
    ),
)

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
            measured_by="measure the collector where the branch leaves",
        ),
        Parameter(
            "runner_bore",
            "length",
            "Inside diameter of one cylinder's runner, for what a probe in it shows.",
            default="0.40 of the cylinder's bore",
            default_status="computed",
            low="10 mm",
            high="120 mm",
            low_ask="25 mm",
            high_ask="60 mm",
            example='"38 mm"',
            default_band="15 %",
            measured_by="measure the runner",
        ),
        Parameter(
            "runner_length",
            "length",
            "Length of one runner from the head to the turbine, along which the gas cools.",
            default="300 mm",
            default_status="computed",
            low="20 mm",
            high="3 m",
            low_ask="60 mm",
            high_ask="1 m",
            example='"350 mm"',
            default_band="40 %",
            measured_by="measure the runner along its middle",
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
            default_band="5 W/K",
            measured_by="read the gas close behind the exhaust valve and at the turbine",
        ),
        *_MADE,
    ),
)
