"""[dyno]: which figures are worked by on the dyno, and when a pull is stopped."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "dyno",
    "Dyno",
    "Which figures are worked by on the dyno, and how a pull is run. No number of a prediction hangs on it; the go / "
    "no-go sheet, the dyno card and a pull do.",
    (
        Parameter(
            "figures",
            "choice",
            "Which figures limits and tables are worked by: raw, as measured; or corrected to a reference atmosphere, "
            "which a rod has never heard of.",
            choices=("raw", "corrected"),
        ),
        Parameter(
            "correction",
            "choice",
            "By which rule the dyno corrects, where its figures are corrected.",
            choices=("sae-j1349", "iso-1585", "din-70020"),
        ),
        Parameter(
            "kind",
            "choice",
            "What takes the load: roller, hub, engine, or road.",
            choices=("roller", "hub", "engine", "road"),
        ),
        Parameter(
            "step",
            "pressure",
            "By how much boost is raised from one pull to the next. A difference, so neither gauge nor absolute.",
            default="15 kPa",
            default_status="own estimate",
            low="1 kPa",
            high="100 kPa",
            low_ask="5 kPa",
            high_ask="30 kPa",
        ),
        Parameter(
            "roller_inertia",
            "moment_of_inertia",
            "Inertia of the rollers that the wheels turn, for a pull on a roller without a brake.",
            low="0.01 kg*m2",
            high="100000 kg*m2",
            example='"55 kg*m2"',
        ),
        Parameter(
            "roller_radius",
            "length",
            "Radius of those rollers.",
            low="50 mm",
            high="2 m",
            low_ask="100 mm",
            high_ask="800 mm",
            example='"250 mm"',
        ),
        Parameter(
            "ramp_rate",
            "rotational_acceleration",
            "How fast a brake lets the engine's speed rise in a pull.",
            default="400 rpm/s",
            default_status="common practice",
            low="1 rpm/s",
            high="5000 rpm/s",
            low_ask="50 rpm/s",
            high_ask="1200 rpm/s",
        ),
    ),
)
