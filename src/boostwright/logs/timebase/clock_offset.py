"""How far the clocks of two files stand apart, by a quantity that both logged, with its uncertainty; or why not."""

from __future__ import annotations

import numpy as np

from boostwright.logs.timebase.clock_answer import ClockBound, ClockOffset, NoOffset, answered, blur_of
from boostwright.logs.timebase.clock_fit import Fit, place_clock
from boostwright.logs.timebase.clock_lag import Blur
from boostwright.logs.timebase.clock_search import RELATIONS, Candidate, candidates
from boostwright.logs.timebase.sampling import Sampling

__all__ = ["ClockBound", "ClockOffset", "NoOffset", "clock_offset"]

_MOST_UNEXPLAINED = 0.5
_MOST_BY_CHANCE = 0.05  # probability that other records fit as well somewhere
_APART = 5.0  # natural logarithm of how much likelier the best shift must be than any other: 1 in 150
_TWICE = 2.0
_REFINED = 5  # further candidates that are refined
_FEWEST = 12  # samples of the slower record
_FEW = 5.0  # happenings that any two pulls may have alike, own estimate
_SHORT = 40.0  # s: as long as a pull with what goes before and after it
_SLOWEST = 0.5  # s: lag from which a short rise is likelier another pull, own estimate
_NOISE = 0.2  # of the samples that must tell something new where what is left over is noise, own estimate
_UNSURE = 1.0  # periods of the slower record beyond which a standard error is called no answer


def clock_offset(
    first: Sampling,
    second: Sampling,
    relation: str = "same",
    *,
    limits: tuple[float, float] | None = None,
    drift: bool | None = None,
    delay: float = 0.0,
    own_lag: float = 0.0,
    lag: float | None = None,
) -> ClockOffset | ClockBound | NoOffset:
    """How far the clock of the second record stands from the first's.

    relation  key of ``RELATIONS``
    limits    [s]  smallest and largest offset thought possible, None: any with half of the shorter record in common
    drift     look for a difference in pace; None: where they have five minutes in common
    delay     [s]  by which either instrument may be late without blurring anything, as far as is known
    own_lag   [s]  of quick instruments: where no lag shows, as much of it as would not have been seen is in the band
    lag       [s]  how much later the second instrument shows things than the first, where that is known: it is not
              looked for then
    Only fresh samples are compared. Every shift is tried; the best is refined by least squares on the samples of the
    slower record. The standard error allows for errors that hang together in time (Newey and West,
    1987) and for coarse stamps. Where one instrument averages and the other does not, that shows in what they leave
    over, and its delay is taken out; a delay that blurs nothing cannot be told from a difference of clocks and is part
    of the offset. A figure is given only where it is told to half a sample of the slower record, else a bound. Raises
    KeyError for an unknown relation.
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
    blur = None if relation == "similar" or lag is not None else blur_of(first, second, relation, best)
    if best.common < _SHORT and best.happenings < _FEW and _hangs_together(best, blur):
        return NoOffset(
            "nothing-in-common",
            f"in the {best.common:.0f} s of the best shift ({best.offset:.2f} s) little happens but a rise as in any "
            "other pull, and what the records differ by is no noise: nothing shows that it is the same one. Use a "
            "longer stretch, or say about where it lies.",
            (best.offset,),
        )
    return answered(first, second, relation, best, blur, delay, own_lag, lag)


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


def _hangs_together(fit: Fit, blur: Blur | None) -> bool:
    """Whether what is left over is no noise of samples, even with a lag of one instrument taken out."""
    if blur is not None and abs(blur.spread) > _SLOWEST:
        return True
    samples = fit.common / fit.period
    independent = max(fit.independent, 0.0 if blur is None else blur.independent)
    return independent < _NOISE * samples


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
