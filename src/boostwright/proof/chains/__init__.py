"""Importing this package registers every chain."""

from boostwright.proof.chains import engine, flow, heat, mixtures, turbocharger, weather

__all__ = ["engine", "flow", "heat", "mixtures", "turbocharger", "weather"]
