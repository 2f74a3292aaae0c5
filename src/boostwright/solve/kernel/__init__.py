"""Compiled parts of the solver: scalars in, scalars out, no allocation, no exceptions."""
