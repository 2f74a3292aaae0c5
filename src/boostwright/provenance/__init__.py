"""provenance."""
