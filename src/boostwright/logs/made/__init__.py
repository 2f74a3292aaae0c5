"""Logs that are made, not measured: what instruments, loggers and clocks would have written of a run that is known.

Every file that comes from here says in itself that its data are invented.
"""
