"""[coolant]: the turbocharger's water lines, for the go / no-go sheet."""

from boostwright.build.parameter import Parameter, SectionSchema, When
from boostwright.build.schema.oil import LINE_MATERIALS, SHIELDS

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "coolant",
    "Coolant of the turbocharger",
    "Water lines of the bearing housing. No number of a prediction hangs on them; the go / no-go sheet asks for them. "
    "What is left out stands there as not answered.",
    (
        Parameter(
            "housing",
            "choice",
            "Whether the bearing housing is cooled by water, or by its oil alone.",
            choices=("water", "oil-only"),
        ),
        Parameter(
            "return_runs",
            "choice",
            "How the line from the housing back to the engine runs: rising all the way, so that steam leaves after "
            "the engine has stopped; level; falling or through a high loop.",
            choices=("rising", "level", "falling"),
            used_when=When("housing", ("water",)),
        ),
        Parameter("material", "choice", "What the lines are made of.", choices=LINE_MATERIALS),
        Parameter(
            "hot_distance",
            "length",
            "Least distance between a line and manifold, turbine housing, gate or downpipe, fittings at the bearing "
            "housing left out.",
            low="0 mm",
            high="3 m",
            example='"80 mm"',
        ),
        Parameter("shield", "choice", "What stands between the lines and the hot parts.", choices=SHIELDS),
        Parameter(
            "pressure_test",
            "choice",
            "Whether the system has held the pressure of its cap, cold, after the lines were fitted.",
            choices=("held", "lost", "not-done"),
        ),
    ),
)
