"""The rods in the report: the sums that explain them, and both torque curves on a picture."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from made_up_prediction import made_up_prediction

from boostwright.report.prediction_figures import speed_pictures
from boostwright.report.prediction_text import prediction_text
from boostwright.report.rods_text import allowed_force, rod_sums
from boostwright.solve.operating_point import Limit, Prediction, Values

N = 21
FORCES = {
    "rod_force_gas": 58.1e3,
    "rod_force_inertia": 3.0e3,
    "rod_force_angle": np.radians(14.0),
    "rod_force_compression": 55.4e3,
    "rod_force_believed": 60.0e3,
    "rod_force_tension": 3.4e3,
    "rod_bolt_pull": 4.9e3,
}


def with_rods() -> Prediction:
    """The made-up prediction with rods that bear 60 kN by belief and 57 kN by their section, 5 % kept."""
    plain = made_up_prediction()
    found = {name: Values(name, "N", np.full(N, value)) for name, value in FORCES.items()}
    found["rod_force_angle"] = replace(found["rod_force_angle"], unit="rad")
    found["torque_rods"] = Values("torque_rods", "Nm", np.full(N, 391.0))

    def limit(name: str, quantity: str, value: float, margin: float) -> Limit:
        used = np.full(N, 0.9)
        return Limit(name, name, "N", np.full(N, value), used, "a test", quantity, margin, "share", "stated")

    limits = (
        limit("rod-torque", "torque", 400.0, 0.0),
        limit("rod-force", "rod_force_compression", 60e3, 0.05),
        limit("rod-column", "rod_force_compression", 59e3, 0.05),
    )
    return replace(plain, quantities={**plain.quantities, **found}, limits=(*plain.limits, *limits))


def test_each_sum_adds_up_and_names_the_lower_of_what_is_allowed() -> None:
    text = " ".join(rod_sums(with_rods(), 110).split())
    assert (
        "at 3000 rpm: 58.1 kN gas - 3.0 kN inertia = 55.1 kN at 14 deg, 55.4 kN along the rod; allowed 56.0 kN. Torque "
        in text  # 59 kN less 5 %
    )
    assert "the force allows 391 Nm. Pull at overlap 3.4 kN, on the cap bolts 4.9 kN." in text
    assert "strong cycle" in text
    assert rod_sums(with_rods(), 110) in prediction_text(with_rods(), 110)
    assert "nan" not in text
    speeds = re.findall(r"at (\d+) rpm:", text)
    assert speeds == ["1500", "2000", "3000", "4000", "5000", "6000", "6250"]  # 6500 rpm has no steady state


def test_allowed_is_the_lower_of_both_with_margins_taken_off() -> None:
    assert allowed_force(with_rods()) == pytest.approx(np.full(N, 0.95 * 59e3))
    assert allowed_force(made_up_prediction()) is None


def test_without_rods_there_is_no_sum_and_no_picture() -> None:
    assert rod_sums(made_up_prediction(), 110) == ""
    assert "rods" not in [picture.name for picture in speed_pictures(made_up_prediction())]


def test_the_picture_has_both_curves_of_torque_and_the_force_split() -> None:
    picture = next(one for one in speed_pictures(with_rods()) if one.name == "rods")
    torque, force, pull = picture.panels
    assert torque.curves[0].label == "predicted"
    assert torque.curves[1].values == pytest.approx(np.full(N, 391.0))
    assert [(level.label, level.value) for level in torque.levels] == [("believed", 400.0)]
    assert [curve.label.split(":")[0] for curve in force.curves] == ["gas", "inertia", "along the rod"]
    assert [level.value for level in force.levels] == pytest.approx([57.0, 56.05])
    assert "kN" in force.vertical
    assert len(pull.curves) == 2


def test_a_margin_is_said_with_its_limit() -> None:
    text = " ".join(prediction_text(with_rods(), 140).split())
    assert "5 % kept as margin" in text
