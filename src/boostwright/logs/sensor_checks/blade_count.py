"""Shaft speed against what the compressor needs for its pressure ratio: blades or pulses counted wrongly."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.sensor_checks.air_routes import plain_routes
from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.facts import SpeedLines
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.view import LogView, Mask

__all__ = ["check_blades", "likely_counts", "speed_demanded"]

Array = NDArray[np.float64]
_BLADES = range(5, 15)
_TITLE = "shaft speed against the compressor's pressure ratio"

_PRESSED, _CALM = 1.15, 12e3  # over the air's pressure; Pa/s
_MOSTLY = 0.8  # of the rows in which the flow must be known


def speed_demanded(lines: SpeedLines, flow: Array, pressure_ratio: Array) -> Array:
    """Corrected shaft speed [rad/s] a map needs; NaN outside its lines.

    flow            (n,) corrected [kg/s]; NaN: the middle of each line is taken
    pressure_ratio  (n,) total to total
    """
    levels = np.unique(lines.speed)
    at_flow = np.full((levels.size, flow.size), np.nan)
    for k, level in enumerate(levels):
        here = lines.speed == level
        order = np.argsort(lines.flow[here])
        m, p = lines.flow[here][order], lines.pressure_ratio[here][order]
        middle = float(np.interp(0.5 * (m[0] + m[-1]), m, p))
        at_flow[k] = np.where(np.isfinite(flow), np.interp(flow, m, p), middle)
    found = np.full(flow.size, np.nan)
    for n in range(flow.size):
        p = np.maximum.accumulate(at_flow[:, n]) + 1e-9 * np.arange(levels.size)
        if p[0] <= pressure_ratio[n] <= p[-1]:
            # head goes with the square of speed: between lines it is straight in speed squared
            found[n] = np.sqrt(np.interp(pressure_ratio[n], p, levels**2))
    return found


def likely_counts(ratio: float, told: int | None, within: float = 0.035) -> list[tuple[int, int]]:
    """(blades there, blades the logger was told) whose quotient is the ratio, nearest first.

    ratio  logged speed over the true one
    told   what it was told, None where not known
    """
    pairs = [(n, m) for m in ((told,) if told else _BLADES) for n in _BLADES if n != m and m]
    near = [(abs(np.log(n / m / ratio)), n, m) for n, m in pairs if abs(np.log(n / m / ratio)) < within]
    return [(n, m) for _, n, m in sorted(near)][:4]


def check_blades(view: LogView) -> None:
    """Find it."""
    if "shaft_speed" not in view.signals:
        view.could_not(_TITLE, ("shaft_speed",), "it is not logged")
        return
    lines = view.facts.speed_lines
    if lines is None:
        view.could_not(
            _TITLE,
            ("the compressor's map (--build)",),
            "the build's map says which speed a pressure ratio needs",
        )
        return
    outlet = _outlet(view)
    if not outlet:
        view.could_not(_TITLE, ("pressure_2_static",), "no pressure behind the compressor is logged")
        return
    mask = (view.boosted | _beyond_the_manifold(view, outlet)) & np.isfinite(
        view.on("shaft_speed") + view.on(outlet)
    )
    if mask.sum() * view.step < 1.0 or mask.sum() < 8:
        view.could_not(_TITLE, (), "the log has no steady stretch on boost")
        return
    share, flow_known = _shares(view, lines, outlet, mask)
    if share.size < 8:
        view.could_not(_TITLE, (), "what the log has on boost lies outside the map")
        return
    view.did(_TITLE)
    middle = float(np.median(share))
    scatter = float(np.percentile(share, 84) - np.percentile(share, 16)) / 2
    allowed = float(np.hypot(lines.allowance + (0.0 if flow_known else 0.05), 0.02))
    z = abs(middle) / allowed
    if certainty_of_deviation(z) >= LEAST and scatter < 0.12:
        _say(view, float(np.exp(middle)), z, (scatter, flow_known), mask)


def _outlet(view: LogView) -> str:
    """The pressure nearest to the compressor that is there on boost: one that is clipped is not."""
    names = [n for n in ("pressure_2_static", "pressure_bp_static", "pressure_im") if n in view.signals]
    on_boost = view.boosted
    there = (n for n in names if on_boost.any() and np.isfinite(view.on(n)[on_boost]).mean() > _MOSTLY)
    return next(there, names[0] if names else "")


def _beyond_the_manifold(view: LogView, outlet: str) -> Mask:
    """The outlet is pressed and calm where the manifold's pressure is not to be had, as beyond its full scale."""
    lost = ~np.isfinite(view.load)
    if not lost.any() or view.grid.size < 3:
        return lost & False
    pressure = view.absolute(outlet)
    with np.errstate(invalid="ignore"):
        calm = np.abs(np.gradient(pressure, view.step)) < _CALM
        pressed = lost & calm & (pressure > _PRESSED * view.barometer[0]) & view.running
    return view.lasting(pressed, 1.0, 0.3)


def _shares(view: LogView, lines: SpeedLines, outlet: str, mask: Mask) -> tuple[Array, bool]:
    """Logarithm of logged over demanded speed, and whether an air flow was known."""
    air = view.barometer[0]
    inlet = (
        view.absolute("pressure_1_static")
        if "pressure_1_static" in view.signals
        else np.full(view.grid.shape, 0.985 * air)
    )
    lost = {"pressure_2_static": 1.0, "pressure_bp_static": 1.03, "pressure_im": 1.05}[outlet]
    ratio = lost * view.absolute(outlet) / inlet
    cold = next((n for n in ("temperature_1", "temperature_amb") if n in view.signals), "")
    t1 = view.on(cold) if cold else np.full(view.grid.shape, 295.0)
    at = np.flatnonzero(mask & np.isfinite(ratio + t1))
    at = at[:: max(1, at.size // 400)]
    routes, _ = plain_routes(view)
    flow = next(iter(routes.values()))[0] if routes else np.full(view.grid.shape, np.nan)
    corrected = flow * np.sqrt(t1 / lines.temperature) * lines.pressure / inlet
    demanded = speed_demanded(lines, corrected[at], ratio[at]) * np.sqrt(t1[at] / lines.temperature)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.log(view.on("shaft_speed")[at] / demanded)
    return share[np.isfinite(share)], bool(routes) and bool(np.isfinite(corrected[at]).mean() > _MOSTLY)


def _say(view: LogView, ratio: float, z: float, how_well: tuple[float, bool], mask: Mask) -> None:
    """Name it; without the air flow a line's middle is taken, too far off to tell one count of blades from another."""
    scatter, flow_known = how_well
    counts = likely_counts(ratio, view.facts.blades) if flow_known or view.facts.blades else []
    words = ", or ".join(f"{n} blades counted as {m}" for n, m in counts)
    whole = next((f"{f:g}" for f in (2.0, 0.5, 8.0, 0.125, 60.0, 10.0) if abs(np.log(ratio / f)) < 0.06), "")
    if whole and not words:
        words = f"a factor of {whole}, as by pulses counted twice, or a divider"
    known = bool(words)
    view.faults.append(
        SensorFault(
            "blade-count" if known else "scale",
            ("shaft_speed",),
            f"shaft_speed is {ratio:.2f} times what the compressor needs for its pressure ratio"
            + (f": {words}." if known else "."),
            certainty_of_deviation(z, 0.96 if known and scatter < 0.06 else 0.85),
            view.where(mask),
            (
                Evidence("logged over needed speed", ratio),
                Evidence("scatter of that over the boosted stretches", scatter),
            ),
            "Pressure ratio goes with the square of tip speed: the map says which shaft speed makes this boost "
            "at this flow.",
            (
                "another wheel than the build's card",
                "a pressure behind the compressor that is off",
                "a map that does not hold for this wheel",
            ),
            "Count the blades at the place the sensor looks at: where splitters end before it, only full blades "
            "count. Look at its divider.",
        )
    )
