"""turbo."""
