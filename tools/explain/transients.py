"""Picture about transients: pulls at three ramps beside the steady state, and lift-off on the compressor's map."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from boostwright.build import read_build
from boostwright.tasks.predict import predict_build
from boostwright.tasks.transient_figures import lift_off, pull_threshold
from tools.explain.sheet import Sheet

__all__ = ["transient_picture"]

_RPM = np.pi / 30.0
_EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "hill_climb_estate"


def transient_picture() -> Sheet:
    """Boost over engine speed by ramp; flow and pressure ratio after lift-off with and without a relief valve."""
    sheet = Sheet(2)
    build = read_build(_EXAMPLE)
    speeds = np.arange(1500.0, 6501.0, 250.0)
    steady = predict_build(build, speeds=list(speeds * _RPM))
    sheet.line(0, 0, speeds, steady["boost"] / 1e3, "steady", linewidth=0.9)
    for index, ramp in enumerate((100.0, 350.0, 800.0)):
        run = pull_threshold(build, ramp=ramp * _RPM).run
        here = np.flatnonzero(run.phase == 1)[::20]
        sheet.line(0, index, run["engine_speed"][here] / _RPM, run["boost"][here] / 1e3, f"{ramp:.0f} rpm/s")
    sheet.finish(0, "engine speed, rpm (hub brake, hill-climb example)", "boost, kPa gauge")
    for index, valve in enumerate(("recirculation", "none")):
        run = lift_off(build, 4500.0 * _RPM, settings=[f"transient.relief_valve={valve}"]).run
        here = np.flatnonzero(run.phase == 1)[:800]
        ratio = run["pressure_2"][here] / run["pressure_1"][here]
        sheet.line(1, index, run["corrected_flow"][here], ratio, f"relief valve: {valve}", linewidth=0.9)
    sheet.finish(1, "corrected flow, kg/s (lift-off at 4500 rpm)", "pressure ratio")
    return sheet
