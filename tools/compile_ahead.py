"""Compile what the tests compile besides the solver, so that their processes do not do it side by side.

`make test` runs it while the first prediction compiles the solver.
"""

from __future__ import annotations

import numpy as np

from boostwright.logs.pulls.search import find_pulls_in
from boostwright.logs.series import ChannelsInMemory, Series
from boostwright.solve.transient_native import compile_now


def main() -> None:
    """The transient kernel, and the search for pulls on a small log."""
    compile_now()
    time = np.arange(0.0, 40.0, 0.02)
    speed = np.interp(time, [0.0, 10.0, 20.0, 25.0, 40.0], [100.0, 200.0, 600.0, 200.0, 100.0])
    opening = np.where((time > 10.0) & (time < 20.0), 1.0, 0.1)
    channels = {"engine_speed": speed, "throttle_position": opening, "vehicle_speed": speed / 15.0}
    find_pulls_in(ChannelsInMemory({name: Series(time, value) for name, value in channels.items()}))


if __name__ == "__main__":
    main()
