"""Sheets as pages: text for a terminal, one A4 page as PDF, and JSON."""
