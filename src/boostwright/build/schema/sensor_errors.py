"""[sensor_errors]: how far each kind of sensor can be off, where the usual error is not yours."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["SECTION"]

_ABSOLUTE = (
    ("barometer", "pressure", "0.5 kPa", "10 kPa", "Barometer."),
    ("pressure", "pressure", "2 kPa", "50 kPa", "Pressure in intake and boost pipes."),
    ("exhaust_pressure", "pressure", "5 kPa", "100 kPa", "Pressure in the exhaust and in the fuel rail."),
    ("temperature", "temperature_difference", "2 K", "30 K", "Temperature of air, water and oil."),
    ("lambda", "dimensionless", "0.015", "0.3", "Lambda."),
)
_LAGS = (
    ("temperature", "8 s", "temperature probes in air"),
    ("exhaust_temperature", "3 s", "probes in exhaust"),
    ("lambda", "0.3 s", "lambda probe, with the gas' way to it"),
)
_SHARES = (
    ("air_meter", "0.03", "Air meter"),
    ("fuel_flow", "0.02", "Fuel flow meter"),
    ("engine_speed", "0.002", "Engine speed"),
    ("shaft_speed", "0.002", "Speed of the turbocharger's shaft"),
    ("vehicle_speed", "0.01", "Speed of the car or the roller"),
    ("torque", "0.02", "Torque or power of the dyno"),
)

SECTION = SectionSchema(
    "sensor_errors",
    "Errors of the sensors",
    "The largest error at rest of each kind of sensor, where its data sheet or a check says more than the usual "
    "figure. Bands of quantities worked out from a log rest on them; no prediction does.",
    (
        *(
            Parameter(
                key,
                kind,
                f"{words} Where it is left out, {usual} is taken (common practice).",
                low=0.0 if kind == "dimensionless" else f"0 {usual.split()[1]}",
                high=float(high) if kind == "dimensionless" else high,
                example=usual if kind == "dimensionless" else f'"{usual}"',
            )
            for key, kind, usual, high, words in _ABSOLUTE
        ),
        *(
            Parameter(
                key,
                "dimensionless",
                f"{words}, share of the reading. Where it is left out, {usual} is taken (common practice).",
                low=0.0,
                high=0.5,
                high_ask=0.15,
                scale=100.0,
                example=usual,
            )
            for key, usual, words in _SHARES
        ),
        *(
            Parameter(
                f"{key}_lag",
                "time",
                f"Longest time constant of the {words}: so late a reading may be. Where it is left out, {usual} is "
                "taken (common practice).",
                low="0 s",
                high="60 s",
                high_ask="15 s",
                example=f'"{usual}"',
                measured_by="change what the probe sees in a step and time 63 % of it",
            )
            for key, usual, words in _LAGS
        ),
    ),
)
