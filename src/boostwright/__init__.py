"""boostwright: a workbench for one-off turbocharged engine conversions.

Data flows in the order of the folders, and each imports only from those before it:

    build.toml + part cards -> build, cards -> components -> solve -> tasks -> report -> cli
    what the car is                            equations     operating  the user's  paper     the way in
                                                             point      questions

``physics`` holds the published relations, ``proof`` runs them against published values, ``numerics`` has no engine
words. The names below are the whole public interface; everything else may move.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from boostwright.build import check_build, read_build, with_settings
    from boostwright.solve.operating_point import NoSteadyState, Prediction, Solved
    from boostwright.tasks.new_build import new_build
    from boostwright.tasks.predict import predict, predict_build
    from boostwright.tasks.prove import prove
    from boostwright.tasks.uncertainty import predict_bands

__version__ = "0.1.0"

__all__ = [
    "NoSteadyState",
    "Prediction",
    "Solved",
    "__version__",
    "check_build",
    "new_build",
    "predict",
    "predict_bands",
    "predict_build",
    "prove",
    "read_build",
    "with_settings",
]

# A name is loaded when it is first asked for: importing the package costs nothing, nor does asking for help.
_HOMES = {
    "NoSteadyState": "boostwright.solve.operating_point",
    "Prediction": "boostwright.solve.operating_point",
    "Solved": "boostwright.solve.operating_point",
    "check_build": "boostwright.build",
    "new_build": "boostwright.tasks.new_build",
    "predict": "boostwright.tasks.predict",
    "predict_bands": "boostwright.tasks.uncertainty",
    "predict_build": "boostwright.tasks.predict",
    "prove": "boostwright.tasks.prove",
    "read_build": "boostwright.build",
    "with_settings": "boostwright.build",
}


def __getattr__(name: str) -> Any:
    """Load a public name from its home."""
    if name not in _HOMES:
        raise AttributeError(f"module 'boostwright' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOMES[name]), name)
