"""heat."""
