"""Doubts about the inputs, draws from them, and the compiled solver run on all draws at once."""
