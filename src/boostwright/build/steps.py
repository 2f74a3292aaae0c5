"""What happens to the values of a build once every section has been read: what fills in, and what checks.

Each step takes the sections alone, so that a build changed in one place need not go through all of them again.
"""

from __future__ import annotations

from boostwright.build.cross_checks import CROSS_CHECKS
from boostwright.build.derived import fill_computed_defaults
from boostwright.build.fuel_checks import fuel_checks
from boostwright.build.limit_checks import limit_checks
from boostwright.build.rod_checks import fill_rod_defaults, rod_checks
from boostwright.build.runner_checks import fill_runner_defaults

__all__ = ["CHECKS", "FILLS"]

FILLS = (fill_computed_defaults, fill_runner_defaults, fill_rod_defaults)
"""Steps that add values to the sections and return the defaults they took, in their order."""

CHECKS = (*CROSS_CHECKS, fuel_checks, rod_checks, limit_checks)
"""Checks of one value against another, in their order; they add to a report, and one evens out shares."""
