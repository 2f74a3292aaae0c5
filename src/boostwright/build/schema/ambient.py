"""[ambient]: the air the car stands in."""

from boostwright.build.parameter import Parameter, SectionSchema, When

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "ambient",
    "Ambient air",
    "The air the car stands in. Boost, mass flow and the turbo's speed all begin here.",
    (
        Parameter(
            "pressure",
            "pressure",
            "Ambient pressure, absolute. Say which: station is what a barometer reads at the place; QNH "
            "is the weather report's, brought down to sea level, and is reduced to station with the "
            "altitude (ISO 2533).",
            required=True,
            low="40 kPa",
            high="115 kPa",
            low_ask="65 kPa",
            high_ask="106 kPa",
            basis=("station", "QNH"),
            stored_basis="station",
            refused_basis={
                "gauge": "ambient pressure is 0 gauge everywhere; write the absolute pressure, for example "
                'pressure = "101.3 kPa" with pressure_basis = "station".',
                "absolute": "both station pressure and QNH are absolute; write pressure_basis = "
                '"station" for a barometer at the place, or "QNH" for the weather report\'s.',
            },
            example='"101.3 kPa"',
            measured_by="read a barometer at the place",
        ),
        Parameter(
            "altitude",
            "length",
            "Altitude above sea level. QNH needs it.",
            default="0 m",
            default_status="assumed",
            used_when=When("pressure_basis", ("QNH",)),
            low="-450 m",
            high="6000 m",
            high_ask="4500 m",
            example='"0 m"',
        ),
        Parameter(
            "temperature",
            "temperature",
            "Air temperature in the shade.",
            required=True,
            low="-60 degC",
            high="70 degC",
            low_ask="-30 degC",
            high_ask="50 degC",
            example='"20 degC"',
            measured_by="read a thermometer in the air the engine takes in",
        ),
        Parameter(
            "relative_humidity",
            "dimensionless",
            "Relative humidity, 0 to 1 or in %.",
            default=0.5,
            default_status="assumed",
            low=0.0,
            high=1.0,
            scale=100.0,
            outside_remedy='Write 0.5 or "50 %".',
            example="0.5",
            default_band="0.0 to 1.0 uniform",
            measured_by="read a hygrometer, or take the weather report's",
        ),
    ),
)
