"""Channels of a stored log in SI: the raw column, its unit and basis put right."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from boostwright.logs.mapping.kept import read_mapping
from boostwright.logs.mapping.missing import without_codes
from boostwright.logs.mapping.names import channel_of
from boostwright.logs.mapping.proposal import Proposal
from boostwright.logs.mapping.units_by_value import in_si
from boostwright.logs.records import LogError
from boostwright.logs.series import Series
from boostwright.logs.store.reader import StoredLog, open_log

__all__ = ["LogChannels", "Series", "open_channels"]


class LogChannels:
    """The channels of one part of a log; each on the time base it was logged on."""

    def __init__(self, log: StoredLog, proposals: tuple[Proposal, ...], part: int) -> None:
        """For a log and what its columns were settled to."""
        self.log = log
        self._taken = {
            p.choice.channel: p for p in proposals if p.taken and p.choice is not None and p.part == part
        }

    @property
    def names(self) -> tuple[str, ...]:
        """The channels that are there."""
        return tuple(self._taken)

    def read(self, name: str) -> Series:
        """A channel by our name; raises LogError where the log has none of that name."""
        if name not in self._taken:
            raise LogError.of(
                self.log.entry.file_name,
                f"has no channel {name}.",
                f"it has {', '.join(self._taken) or 'none'}",
            )
        proposal = self._taken[name]
        found, choice = channel_of(name), proposal.choice
        if found is None or choice is None:
            raise LogError.of(name, "is no channel known here.", "see docs/reference/names.md")
        table = next(
            t for t in self.log.tables if (t.table.part, t.table.group) == (proposal.part, proposal.group)
        )
        time, columns = self.log.read(table, [proposal.column])
        values, _ = without_codes(np.asarray(columns[proposal.column], dtype=np.float64))
        scale = in_si(1.0, found[0].kind, choice.unit) - in_si(0.0, found[0].kind, choice.unit)
        return Series(time, values * scale + in_si(0.0, found[0].kind, choice.unit), choice.basis, proposal)


def open_channels(folder: Path | str, part: int = 1) -> LogChannels:
    """The channels of a stored log. Raises LogError."""
    proposals, _ = read_mapping(Path(folder))
    return LogChannels(open_log(folder), proposals, part)
