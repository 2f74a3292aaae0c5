"""Strength of parts: sections, columns, bolted joints. SI throughout."""
