"""Logs as they come, and what is stored of them.

file -> importers/ (bytes to tables of raw columns, faults noted)
     -> mapping/   (which column is which channel, in which unit; proposed, asked, kept)
     -> store/     (original, Parquet, min/max pyramid, manifest: whole or not there)
"""
