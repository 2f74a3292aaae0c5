"""tasks."""
