"""Faults speak of the command line's options where a task was asked from there; on the screen, of the screen's fields.

The faults are written once, by the tasks. Here stands what each option is called on the screen, and what is said there
in place of a remedy that only a command line has.
"""

from __future__ import annotations

import dataclasses
import re

from boostwright.errors import Fault

__all__ = ["OPTIONS", "REMEDIES", "on_the_screen"]

OPTIONS = {
    "--vary": "values to vary",
    "--card": "part cards to try",
    "--one-at-a-time": '"one at a time"',
    "--rank-by": "rank by",
    "--between": "mean torque from and to",
    "--creep-floor": "boost that must be held",
    "--compare": "cases side by side",
    "--samples": "samples",
    "--seed": "seed",
    "--speeds": "engine speeds",
    "--mode": "mode",
    "--from": "whatif.toml",
}
"""Option -> what it is called on the screen."""

REMEDIES = {
    "Use --set for one.": "For one value, change its field on the page of curves.",
    "Go on with them: --resume. Begin again: --anew.": 'Go on with them, or choose "Begin again".',
    'Name values with --vary "wastegate.valve_diameter=38, 44, 50 mm", cards with --card, a file with --from, or put a '
    "whatif.toml into the build's folder; parts of [plan] count too.": "Choose a value to vary or cards to try, or put "
    "a whatif.toml into the build's folder; parts of [plan] count too.",
}
"""Remedy of the command line -> what to do on the screen."""

_OPTION = re.compile(r"(?<![\w-])--[a-z][a-z-]*")


def on_the_screen(fault: Fault) -> Fault:
    """The same fault in the words of the screen."""
    return dataclasses.replace(
        fault,
        # what was laid over the build by a field has the field's key, which the page knows
        place=fault.place if fault.place.startswith("--set ") else _named(fault.place),
        message=_named(fault.message),
        allowed=_named(fault.allowed),
        remedy=_named(REMEDIES.get(fault.remedy, fault.remedy)),
    )


def _named(text: str) -> str:
    return _OPTION.sub(lambda found: OPTIONS.get(found[0], found[0]), text)
