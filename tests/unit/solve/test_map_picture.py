"""The map as a picture: points stand on it only where somebody measured them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from boostwright.cards.look_up import find_card
from boostwright.components.compressor import compressor_surface
from boostwright.solve.map_picture import map_picture


def test_an_estimate_shows_no_measured_points(tmp_path: Path) -> None:
    surface = compressor_surface(find_card("compressor", "scaled-cc3-60mm", tmp_path))
    measured = map_picture(surface, "card")
    assert measured.measured_flow.size == sum(line.flow.size for line in surface.lines)
    guess = replace(surface, known=replace(surface.known, estimate="estimate"))
    estimated = map_picture(guess, "wheel")
    for name in ("flow", "pressure_ratio", "efficiency", "speed"):
        assert getattr(estimated, f"measured_{name}").size == 0
    assert (estimated.flow == measured.flow).all()
