"""Limits of the connecting rods: believed torque, implied force, columns, tension and cap bolts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.components.rods import Belief, Rods
from boostwright.solve.operating_point import Limit
from boostwright.solve.rods import rods_of_build

__all__ = ["rod_limits", "strongest_rod"]

Array = NDArray[np.float64]


def rod_limits(build: Build, q: Mapping[str, Array]) -> Iterator[Limit]:
    """Limits of [rods]; none where the build does not watch them.

    q  quantities along the points (n,) as ``rod_quantities`` leaves them, SI
    """
    rods = rods_of_build(build)
    if rods is None:
        return
    if rods.belief is not None:
        yield from _believed(build, rods.belief, q)
    yield from _strength(build, rods, q)


def strongest_rod(build: Build, q: Mapping[str, Array]) -> tuple[Limit, ...]:
    """The compression that belief and shank allow, the lower of the two, on the cylinder that presses its rod most.

    q  quantities along the points (n,), SI, with 'rod_force_compression_highest'
    """
    both = [one for one in rod_limits(build, q) if one.name in ("rod-force", "rod-column")]
    if not both:
        return ()
    limit = np.minimum.reduce([one.limit for one in both])
    words = "compression of the strongest cylinder's rod by a strong cycle"
    of = ("rod-strongest-cylinder", words, "rod_force_compression_highest")
    source = "the lower of " + " and ".join(one.name for one in both) if len(both) > 1 else both[0].source
    return (_force(build, q, of, limit, source, both[0].status),)


def _believed(build: Build, belief: Belief, q: Mapping[str, Array]) -> Iterator[Limit]:
    """The torque believed, unless the build lets it be passed, and the force it implies."""
    if not belief.above_allowed:
        margin = build["rods"].si("torque_margin")
        yield Limit(
            "rod-torque",
            "torque the rods are believed to hold",
            "Nm",
            np.full(q["torque"].shape, belief.torque),
            q["torque"] / (belief.torque * (1.0 - margin)),
            f"build, rods.believed_torque, {belief.written}",
            "torque",
            margin,
            "share",
            "believed",
        )
    words = "compression of the rods by a strong cycle, against what the believed torque implies"
    source = f"implied by {belief.written}"
    limit = q["rod_force_believed"]
    yield _force(build, q, ("rod-force", words, "rod_force_compression"), limit, source, "believed")


def _strength(build: Build, rods: Rods, q: Mapping[str, Array]) -> Iterator[Limit]:
    """What section, material and bolts may carry."""
    shape, keys = q["rod_force_compression"].shape, build["rods"]
    if rods.shank is not None:
        by = f"{rods.shank.material}, safety factor {keys.si('safety_factor'):g}"
        status = "stated" if keys.written("safety_factor") else "own estimate"
        for name, words, quantity, allowed in (
            (
                "rod-column",
                "compression of the rods by a strong cycle, against buckling",
                "rod_force_compression",
                rods.shank.compression_allowed,
            ),
            (
                "rod-tension",
                "pull on the rods at overlap with the throttle shut, against yield",
                "rod_force_tension",
                rods.shank.tension_allowed,
            ),
        ):
            yield _force(build, q, (name, words, quantity), np.full(shape, allowed), by, status)
    if rods.bolts is not None:
        words = f"pull on the cap bolts at overlap, at which {rods.bolts.first}"
        known = keys.has("bolt_preload") or keys.has("bolt_torque")
        source = f"{rods.bolts.count} bolts, preload {rods.bolts.preload / 1e3:.1f} kN each"
        limit = np.full(shape, rods.bolts.pull_allowed)
        of = ("rod-bolts", words, "rod_bolt_pull")
        yield _force(build, q, of, limit, source, "stated" if known else "from memory")


def _force(
    build: Build, q: Mapping[str, Array], of: tuple[str, str, str], limit: Array, source: str, status: str
) -> Limit:
    """A limit on a force, ``of`` name, words and quantity; a pull of zero allowed is passed by any."""
    name, words, quantity = of
    margin = build["rods"].si("force_margin")
    used = q[quantity] / np.maximum(limit * (1.0 - margin), 1.0)
    return Limit(name, words, "N", limit, used, source, quantity, margin, "share", status)
