"""Keys of a list of instruments, and the kind of quantity of each."""

from __future__ import annotations

__all__ = ["CHANNEL_KEYS", "LOGGER_KEYS", "RANGES", "SAMPLINGS"]

SAMPLINGS = ("together", "in-turn")

LOGGER_KEYS = {
    "name": "word",
    "sampling": "word",
    "rate": "frequency",
    "between": "word",
    "jitter": "dimensionless",
    "offset": "time",
    "drift": "dimensionless",
    "begins": "time",
    "names": "word",
    "writing": "word",
    "step": "time",
}
"""Key of a [[logger]] -> kind of quantity, "word" or "whole"."""

CHANNEL_KEYS = {
    "name": "word",
    "unit": "word",
    "measured_in": "word",
    "basis": "word",
    "rate": "frequency",
    "lag": "time",
    "time_constant": "time",
    "delay": "time",
    "fixed_delay": "time",
    "pressure_effect": "pressure",
    "pulsation": "dimensionless",
    "noise": "difference",
    "resolution": "dimensionless",
    "low": "same",
    "high": "same",
    "digits": "whole",
    "turns": "whole",
}
"""Key of a channel -> kind of quantity; "same": that of the channel, "difference": a difference of it."""

RANGES: dict[str, tuple[float, float]] = {
    "rate": (0.001, 10_000.0),
    "jitter": (0.0, 0.45),
    "offset": (-1e6, 1e6),
    "drift": (-0.01, 0.01),
    "begins": (0.0, 1e5),
    "step": (0.0, 10.0),
    "lag": (0.0, 1000.0),
    "time_constant": (0.001, 1000.0),
    "delay": (0.0, 100.0),
    "fixed_delay": (0.0, 100.0),
    "pressure_effect": (0.0, 1e7),
    "pulsation": (0.0, 1.0),
    "noise": (0.0, 1e9),
    "resolution": (0.0, 1e6),
    "digits": (0, 9),
    "turns": (1, 100),
}
"""Key -> lowest and highest value in SI."""
