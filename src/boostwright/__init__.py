"""boostwright: a workbench for one-off turbocharged engine conversions.

Data flows in the order of the folders: build, cards -> components -> solve -> tasks -> report -> cli.
"""

__version__ = "0.1.0"

__all__ = ["__version__"]
