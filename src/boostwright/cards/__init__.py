"""cards."""
