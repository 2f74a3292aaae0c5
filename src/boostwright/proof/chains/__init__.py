"""All chains: importing this package registers them."""

from boostwright.proof.chain import CHAINS
from boostwright.proof.chains import (
    combustion,
    engine,
    flow,
    heat,
    humid_rig,
    lambda_probe,
    mean_lines,
    mixtures,
    turbocharger,
    weather,
)

__all__ = [
    "CHAINS",
    "combustion",
    "engine",
    "flow",
    "heat",
    "humid_rig",
    "lambda_probe",
    "mean_lines",
    "mixtures",
    "turbocharger",
    "weather",
]
