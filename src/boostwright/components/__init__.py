"""components."""
