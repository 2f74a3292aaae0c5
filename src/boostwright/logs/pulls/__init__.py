"""Pulls of a log, found and not marked by hand, and why every stretch that nearly is one was not taken."""
