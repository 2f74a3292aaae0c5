"""Channels in memory answer as a stored log does."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.logs.records import LogError
from boostwright.logs.series import ChannelsInMemory, Series


def test_what_was_put_in_comes_out_and_what_is_not_there_is_said() -> None:
    """A name that is not there names those that are."""
    one = Series(np.array([0.0, 1.0]), np.array([2.0, 3.0]))
    channels = ChannelsInMemory({"engine_speed": one}, "made.csv")
    assert channels.names == ("engine_speed",)
    assert channels.read("engine_speed") is one
    with pytest.raises(LogError, match=r"(?s)made\.csv.*boost.*engine_speed"):
        channels.read("boost")
