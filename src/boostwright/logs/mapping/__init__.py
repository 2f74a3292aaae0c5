"""Which raw column is which channel, and in which unit: proposed with confidence and reason, asked where it must be."""
