"""How sure a fault is: from the size of a deviation against what tolerance, noise and the rule itself allow.

The rule, the same for every check:

- The allowance ``a`` is what two sound sensors may differ by in 95 of 100 cases: tolerances, noise, asynchrony and the
  width of the physical rule, added in quadrature. A sound deviation is taken as normal with a standard deviation a / 2.
- Before looking, 1 channel in 20 is taken as faulty (common practice: most cars come with a fault or two), with a
  deviation that may be anything up to 20 allowances, each equally likely.
- By Bayes' rule the odds of a fault are then (1 / 19) * (sqrt(2 pi) / 80) * exp(2 z^2), with z = deviation / a:
  z = 1.5 gives 0.13, 1.8 gives 0.52, 2 gives 0.83, 2.5 gives 0.998.
- For a pattern (a value that never moves, a flat top) the odds are (1 / 19) * 0.5 / p with p the chance that a sound
  channel shows it.
- No check is surer than its ceiling: how often its own premises hold. Where two channels explain a deviation equally
  well, both are named, and the certainty is that of the pair.
"""

from __future__ import annotations

import math

__all__ = ["LEAST", "PRIOR_ODDS", "certainty_of_chance", "certainty_of_deviation", "in_words"]

PRIOR_ODDS = 1.0 / 19.0
LEAST = 0.5
"""A fault less sure than this is not listed."""

_SPREAD = math.sqrt(2.0 * math.pi) / 80.0


def certainty_of_deviation(z: float, ceiling: float = 0.99) -> float:
    """Certainty of a fault.

    z        deviation over allowance [-]; NaN or below 0 counts as none
    ceiling  the most this check may claim
    Returns 0 to ``ceiling``.
    """
    if not z > 0.0:
        return 0.0
    odds = PRIOR_ODDS * _SPREAD * math.exp(min(2.0 * z * z, 600.0))
    return min(ceiling, odds / (1.0 + odds))


def certainty_of_chance(chance: float, ceiling: float = 0.99) -> float:
    """Certainty of a fault from the chance that a sound channel shows the same pattern.

    chance   0 to 1
    ceiling  the most this check may claim
    Returns 0 to ``ceiling``.
    """
    odds = PRIOR_ODDS * 0.5 / max(chance, 1e-12)
    return min(ceiling, odds / (1.0 + odds))


def in_words(certainty: float) -> str:
    """The grade in words."""
    if certainty >= 0.95:
        return "as good as certain"
    return "very likely" if certainty >= 0.8 else "likely"
