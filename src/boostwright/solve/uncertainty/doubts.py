"""What is not known exactly of a build: every value with a band, every default nobody confirmed, every model."""

from __future__ import annotations

from dataclasses import dataclass

from boostwright.solve.uncertainty.distribution import Distribution

__all__ = ["Doubt"]


@dataclass(frozen=True)
class Doubt:
    """One uncertain input.

    name          dotted key of build.toml, or 'model.' and what is in doubt of the model
    words         what it is, for people
    distribution  spread of its shift, in widths of the band
    status        'stated' in the build, 'default' that nobody has confirmed, or 'model'
    nominal       what it is without a shift, in words with its unit
    band          the band in words with its unit
    source        where the band is from
    measure       what to measure or find out to make it narrower
    widths        SI width of the band at each point of a curve, one for a single value; empty for a model
    """

    name: str
    words: str
    distribution: Distribution
    status: str
    nominal: str = ""
    band: str = ""
    source: str = ""
    measure: str = ""
    widths: tuple[float, ...] = ()
