"""How steep the road was: as stated, from the height logged, else level."""

from __future__ import annotations

import numpy as np

from boostwright.logs.derived.facts import Number
from boostwright.logs.derived.rows import Missing, Need, Quantity, Rows
from boostwright.logs.derived.slopes import slope_of
from boostwright.logs.derived.uncertain import Uncertain, through

__all__ = ["LEVEL", "QUANTITIES", "uphill"]

LEVEL = Number(0.0, 0.02, "level road assumed")
"""What a road is where nothing tells it; what the eye takes for level rises or falls by so much (own estimate)."""
_WINDOW = 3.0  # s of heights behind a slope
_DRIFT = 0.3  # m/s by which a satellite's height can wander for a while; own estimate
_LEAST_SPEED = 5.0  # m/s; below, the wander of the height would be more than 5 % of slope


def _stated(rows: Rows) -> Uncertain:
    if rows.facts.vehicle is None or rows.facts.vehicle.slope is None:
        raise Missing(Need("the slope of the road", "--slope"))
    slope = rows.facts.vehicle.slope
    return rows.fact("slope of the road", slope).with_flag(
        "road", f"still air; slope of the road {100 * slope.value:.3g} %, {slope.words or 'as stated'}"
    )


def _by_height(rows: Rows) -> Uncertain:
    """Rise over way: rate of change of the height over road speed."""
    climb = slope_of(rows, "altitude", 0.0, _WINDOW)
    name = next((one for one in ("vehicle_speed_gps", "vehicle_speed") if rows.has(one)), "vehicle_speed")
    along = rows.channel(name)
    moving = through(lambda v: np.where(v > _LEAST_SPEED, v, np.nan), along)
    found = through(np.divide, climb, moving)
    with np.errstate(invalid="ignore"):
        drift = _DRIFT / np.sqrt(3.0) / moving.value
    return found.with_error("wander of the height", np.nan_to_num(drift)).with_flag(
        "road", "still air; slope of the road from the height logged"
    )


def _level(rows: Rows) -> Uncertain:
    words = (
        "still air and a road level within 2 % assumed: 1 % of slope is worth as much as 0.1 m/s2; "
        "--slope or a logged altitude would tell"
    )
    return rows.fact("slope of the road", LEVEL).with_flag("road", words)


def _road_slope(rows: Rows) -> Uncertain:
    if rows.facts.load == "roller":
        raise Missing()  # a log of the other kind: nothing is lacking
    return rows.first(lambda: _stated(rows), lambda: _by_height(rows))


def uphill(rows: Rows) -> Uncertain:
    """Slope of the road [-], level where nothing tells it; its flag ``road`` says which."""
    return rows.first(lambda: _stated(rows), lambda: _by_height(rows), lambda: _level(rows))


QUANTITIES = (
    Quantity(
        "road_slope",
        "1",
        "slope of the road",
        "rise over way, positive uphill",
        "as stated; (dh/dt)/v, least-squares line over 3 s of the height",
        _road_slope,
    ),
)
"""The slope of the road."""
