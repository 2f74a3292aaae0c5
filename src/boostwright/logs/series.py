"""A channel over time in SI, and what can be asked for one: a stored log, or channels in memory."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.mapping.proposal import Proposal
from boostwright.logs.records import LogError

__all__ = ["Channels", "ChannelsInMemory", "Series"]


@dataclass(frozen=True, eq=False)
class Series:
    """A channel over time.

    time   [s], value in SI, both (n,) float64; NaN where nothing stands
    basis  "absolute", "gauge" (a pressure over the air's, not yet added) or ""
    raw    the column it comes from and what was settled of it; None where it was made here
    """

    time: NDArray[np.float64]
    value: NDArray[np.float64]
    basis: str = ""
    raw: Proposal | None = None


class Channels(Protocol):
    """Channels by our names, each on the time base it was logged on."""

    @property
    def names(self) -> tuple[str, ...]:
        """The channels that are there."""

    def read(self, name: str) -> Series:
        """A channel by our name; raises LogError where there is none of that name."""


class ChannelsInMemory:
    """Channels that were made or changed here."""

    def __init__(self, series: Mapping[str, Series], file_name: str = "channels") -> None:
        """For series by channel name; ``file_name`` is what an error calls them."""
        self._series = dict(series)
        self._file_name = file_name

    @property
    def names(self) -> tuple[str, ...]:
        """The channels that are there."""
        return tuple(self._series)

    def read(self, name: str) -> Series:
        """A channel by our name; raises LogError where there is none of that name."""
        if name not in self._series:
            raise LogError.of(
                self._file_name, f"has no channel {name}.", f"it has {', '.join(self._series) or 'none'}"
            )
        return self._series[name]
