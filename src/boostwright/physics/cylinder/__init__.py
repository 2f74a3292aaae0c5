"""cylinder."""
