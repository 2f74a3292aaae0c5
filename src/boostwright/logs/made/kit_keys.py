"""Keys of a list of instruments, and the kind of quantity of each."""

from __future__ import annotations

__all__ = ["CHANNEL_KEYS", "LOGGER_KEYS", "SAMPLINGS"]

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
