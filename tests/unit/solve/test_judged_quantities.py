"""The quantities that judging needs are those of a prediction, and there are enough of them for every limit."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.build import read_build
from boostwright.solve.limits import limits_of
from boostwright.solve.problem import assemble
from boostwright.solve.quantities import judged_quantities, quantities_of
from boostwright.solve.run import solve
from boostwright.tasks.fuel_figures import fuel_margins
from boostwright.tasks.power_figures import wheel_figures
from boostwright.tasks.predict import predict_build
from boostwright.tasks.ready import cards_of
from boostwright.tasks.whatif_result import Case
from boostwright.tasks.whatif_run import CaseRunner

EXAMPLES = Path(__file__).resolve().parents[3] / "examples"
EVERY_LIMIT = (
    "limits.torque=330 Nm",
    "limits.torque_basis=crank",
    "limits.driveline_torque=340 Nm",
    "limits.driveline_torque_basis=crank",
    "limits.peak_pressure=8 MPa absolute",
    "limits.egt_reading=850 degC",
    "limits.drive_pressure_ratio=1.2",
    "limits.boost=160 kPa absolute",
    "limits.temperature_im=45 degC",
    "limits.latest_phasing=12 deg",
    "limits.surge_margin=0.2",
    "limits.choke_margin=0.2",
)
BUILDS = (
    ("hill_climb_estate", ()),
    (
        "hill_climb_estate",
        (
            "spark.knock_multiplier=0.9",
            "probe.place=runner",
            "wastegate.kind=none",
            "prediction.mode=gate-shut",
        ),
    ),
    ("hill_climb_estate", ("turbine.choked_flow=0.018 kg/s*sqrt(K)/kPa", "prediction.mode=spring")),
    ("transverse_three", ()),
)


@pytest.mark.parametrize(("example", "settings"), BUILDS)
def test_they_are_those_of_a_prediction(example: str, settings: tuple[str, ...]) -> None:
    build = read_build(EXAMPLES / example, (*settings, *EVERY_LIMIT))
    cards = cards_of(build)
    speeds = np.linspace(1200.0, 6400.0, 40) * np.pi / 30.0
    problem = assemble(build, cards, speeds, build["prediction"].text("mode"))
    states = solve(problem)
    full = quantities_of(build, problem, states, 14000.0)
    judged = judged_quantities(build, problem, states)
    for name, values in judged.items():
        np.testing.assert_array_equal(values, full[name], err_msg=name)
    for q in (full, judged):
        q |= wheel_figures(build, q).quantities
        q |= fuel_margins(build, cards["fuel"], q)
    lowest = problem.compressor.speed_lowest_measured
    both = [limits_of(build, q, lowest, 14000.0, "card") for q in (full, judged)]
    assert len(both[0]) > 12
    for one, other in zip(*both, strict=True):
        assert one.name == other.name
        np.testing.assert_array_equal(one.utilisation, other.utilisation, err_msg=one.name)


def test_a_limit_of_the_users_own_and_cylinders_apart_are_judged_too() -> None:
    build = read_build(EXAMPLES / "hill_climb_estate", EVERY_LIMIT)
    speeds = np.array(build["prediction"].speeds("speeds"))
    runner = CaseRunner(build, speeds, (float(speeds[0]), float(speeds[-1])))
    settings = (
        (),
        ("limits.own.back.quantity=pressure_4_static", "limits.own.back.upper=103 kPa absolute"),
        ("runners.air_share=[1.06, 1.0, 1.0, 1.0, 0.94]",),
    )
    cases = [(number, Case(str(number), own)) for number, own in enumerate(settings)]
    rows = [row for batch in runner.run(cases) for row in batch]
    for row, own in zip(rows, settings, strict=True):
        assert not row.reason, row.reason
        alone = predict_build(read_build(EXAMPLES / "hill_climb_estate", (*EVERY_LIMIT, *own)), speeds=speeds)
        assert set(row.exceeded) == {one.name for one in alone.limits if np.any(one.utilisation > 1.0)}
    assert "own-back" in rows[1].exceeded
