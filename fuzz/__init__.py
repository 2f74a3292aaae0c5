"""Fuzzing of the log importers by hand; see README.md."""
