"""How far the clocks of two files stand apart, by a quantity that both logged, with its uncertainty; or why not."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.timebase.clock_fit import Fit, place_clock
from boostwright.logs.timebase.clock_search import RELATIONS, Candidate, candidates
from boostwright.logs.timebase.sampling import Sampling

__all__ = ["ClockOffset", "NoOffset", "clock_offset"]

Array = NDArray[np.float64]

_MOST_UNEXPLAINED = 0.5
_MOST_BY_CHANCE = 0.05  # probability that other records fit as well somewhere
_APART = 5.0  # natural logarithm of how much likelier the best shift must be than any other: 1 in 150
_TWICE = 2.0
_REFINED = 5  # further candidates that are refined
_FEWEST = 12  # samples of the slower record
_UNSURE = 1.0  # periods of the slower record beyond which a standard error is called no answer


@dataclass(frozen=True)
class ClockOffset:
    """Two clocks compared.

    time of the first = time of the second + offset + drift * (time of the second - middle)

    offset          [s]
    standard_error  [s]  of the offset, at the middle of what they have in common
    drift           [-]  seconds a second, 0 where it was not looked for; drift_error its standard error
    middle          [s]  on the second's clock
    common          [s]  length in common
    period          [s]  of the slower record
    unexplained     [-]  share of the variance that the match leaves
    relation        key of ``RELATIONS``
    scale           what one unit of the second is in the first's, 1 for "same"
    words           a sentence for the user
    """

    offset: float
    standard_error: float
    drift: float
    drift_error: float
    middle: float
    common: float
    period: float
    unexplained: float
    relation: str
    scale: float
    words: str

    def to_first(self, time: Array) -> Array:
        """Times on the second's clock as the first's clock shows them, both [s]."""
        return time + self.offset + self.drift * (time - self.middle)


@dataclass(frozen=True)
class NoOffset:
    """Why no offset is given, as a code and a sentence.

    reason   "too-short", "nothing-in-common", "several-fit" or "too-vague"
    shifts   [s]  the best ones where several fit
    """

    reason: str
    words: str
    shifts: tuple[float, ...] = ()


def clock_offset(
    first: Sampling,
    second: Sampling,
    relation: str = "same",
    *,
    limits: tuple[float, float] | None = None,
    drift: bool | None = None,
) -> ClockOffset | NoOffset:
    """How far the clock of the second record stands from the first's.

    relation  key of ``RELATIONS``
    limits    [s]  smallest and largest offset thought possible, None: any with half of the shorter record in common
    drift     look for a difference in pace; None: where they have five minutes in common
    Only fresh samples are compared. Every shift is tried; the best is refined by least squares on the samples of the
    slower record. The standard error allows for errors that hang together in time (Newey and West,
    1987) and for coarse stamps; a delay of one instrument behind the other cannot be told from a difference of clocks
    and is part of the offset. Raises KeyError for an unknown relation.
    """
    told = RELATIONS[relation]
    if min(first.time.size, second.time.size) < _FEWEST:
        return NoOffset(
            "too-short", f"a record of fewer than {_FEWEST} samples cannot be placed on the other."
        )
    found = candidates(first, second, relation, limits)
    if not found or found[0].unexplained > _MOST_UNEXPLAINED:
        return NoOffset("nothing-in-common", _nothing(found, told))
    slow = max(first.period, second.period)
    fits = _placed(first, second, relation, found, drift)
    if not fits:
        return NoOffset("nothing-in-common", "they touch only where one of them has nothing.")
    best = fits[0]
    chance = _chance(best, relation, first, second, limits)
    if chance > _MOST_BY_CHANCE:
        return NoOffset(
            "nothing-in-common",
            f"the best shift ({best.offset:.2f} s) leaves {best.unexplained:.1%} of the variance unexplained, but in "
            f"{best.common:.0f} s so little happens that one of so many shifts may fit so well by chance "
            f"({min(chance, 1.0):.0%}). Use a longer stretch, a quantity logged in both, or say about where it lies.",
            (best.offset,),
        )
    rival = _rivals(fits, slow)
    if rival:
        shifts = (best.offset, *rival)
        listed = ", ".join(f"{s:.2f} s" for s in shifts[:4])
        return NoOffset(
            "several-fit",
            f"several shifts fit about equally well ({listed}): the record repeats itself. Say about where it lies, or "
            "use a quantity or a stretch that happens once.",
            shifts,
        )
    if not best.standard_error < _UNSURE * slow:
        return NoOffset(
            "too-vague",
            f"the shift is known to {best.standard_error:.2g} s only, more than a sample of the slower record "
            f"({slow:.2g} s): what they have in common changes too little.",
        )
    return _answer(best, relation)


def _answer(fit: Fit, relation: str) -> ClockOffset:
    words = (
        f"add {fit.offset:.3f} s to the second file's time (give or take {2.0 * fit.standard_error:.2g} s, two "
        f"standard errors); {fit.common:.0f} s in common, of which {1.0 - fit.unexplained:.1%} of the variance agrees"
    )
    if fit.drift_error > 0.0:
        words += f"; its clock gains {-fit.drift * 1e6:.0f} +- {2e6 * fit.drift_error:.0f} parts in a million"
    return ClockOffset(
        fit.offset,
        fit.standard_error,
        fit.drift,
        fit.drift_error,
        fit.middle,
        fit.common,
        fit.period,
        fit.unexplained,
        relation,
        fit.scale,
        words + ".",
    )


def _nothing(found: list[Candidate], told: str) -> str:
    if not found:
        return "at no shift does half of the shorter record lie on a stretch of the other in which anything happens."
    left = found[0].unexplained
    return (
        f"the best shift ({found[0].shift:.2f} s) leaves {min(left, 9.99):.0%} of the variance unexplained, though "
        f"{told}: nothing shows that they were there together."
    )


def _placed(
    first: Sampling, second: Sampling, relation: str, found: list[Candidate], drift: bool | None
) -> list[Fit]:
    """The best candidates, each refined, the likeliest first."""
    best = place_clock(first, second, relation, found[0].shift, drift)
    fits = [] if best is None else [best]
    apart = max(4.0 * max(first.period, second.period), best.width if best else 0.0)
    tried = [found[0].shift]
    for one in found[1:]:
        if len(tried) > _REFINED or one.unexplained > _MOST_UNEXPLAINED:
            break
        if min(abs(one.shift - shift) for shift in tried) <= apart:
            continue
        tried.append(one.shift)
        fit = place_clock(first, second, relation, one.shift, drift, best.bell if best else None)
        if fit is not None:
            fits.append(fit)
    return sorted(fits, key=_unlikely)


def _chance(
    fit: Fit, relation: str, first: Sampling, second: Sampling, limits: tuple[float, float] | None
) -> float:
    """How likely it is that records of different runs fit so well at one of the shifts that were tried.

    Of records with so many happenings that have nothing to do with each other, a line leaves less than a share Q of the
    variance with probability Q^((n - unknowns)/2); the shifts tried count as many as there are lengths of a happening
    in them. Source: distribution of the correlation of normal samples.
    """
    freedom = max(fit.happenings - {"same": 0.0, "proportional": 1.0, "similar": 2.0}[relation], 0.2)
    longest = max(first.time[-1] - first.time[0], second.time[-1] - second.time[0])
    span = longest if limits is None else min(limits[1] - limits[0], longest)
    shifts = max(span * fit.happenings / max(fit.common, 1e-9), 1.0)
    return float(shifts * min(max(fit.unexplained, 1e-12), 1.0) ** (0.5 * freedom))


def _unlikely(fit: Fit) -> float:
    """Falls as a fit becomes likelier: logarithm of what it leaves over, by the length it stands on."""
    return fit.common * float(np.log(max(fit.unexplained, 1e-12)))


def _rivals(fits: list[Fit], slow: float) -> tuple[float, ...]:
    """Offsets apart from the best that are not clearly worse.

    A record that repeats itself leaves about as much over at each of its places, however little that is: a fit with
    less than twice the remainder counts as a rival too.
    """
    best = fits[0]
    out = []
    for one in fits[1:]:
        if abs(one.offset - best.offset) <= max(4.0 * slow, 6.0 * best.standard_error):
            continue
        ratio = max(one.unexplained, 1e-12) / max(best.unexplained, 1e-12)
        worse = 0.5 * min(best.independent, one.independent) * np.log(max(ratio, 1e-12))
        if (worse < _APART or ratio < _TWICE) and one.common > 0.5 * best.common:
            out.append(one.offset)
    return tuple(out)
