"""Pedal and throttle: two tracks of one pedal, and the plate beside the pedal at both ends of its travel."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.signal import runs_of
from boostwright.logs.sensor_checks.view import LogView, Mask

__all__ = ["check_pedals"]

Array = NDArray[np.float64]
_TRACKS = "the two tracks of the pedal against each other"
_ENDS = "throttle against pedal at both ends"
_TRACK_HALF = 0.04
"""95 % half-width of one track over the line through the other (common practice)."""
_FULL_HALF = 0.08
"""95 % half-width of a plate's or a pedal's reading at its stop (common practice)."""
_FLAT = 0.02


def check_pedals(view: LogView) -> None:
    """Find a track that leaves the other, and a stop that is read far from 100 %."""
    blamed = {c for f in view.faults for c in f.channels}
    tracks = [n for n in view.numbered("pedal_position") if n not in blamed]
    if len(tracks) >= 2:
        _two_tracks(view, tracks[0], tracks[1])
    pedal = tracks[0] if tracks else ""
    if not pedal or "throttle_position" not in view.signals or "throttle_position" in blamed:
        if not blamed & {"pedal_position", "pedal_position_1", "throttle_position"}:
            missing = ("pedal_position",) if not pedal else ("throttle_position",)
            view.could_not(_ENDS, missing, "it is not logged")
        return
    _ends(view, pedal, "throttle_position")


def _two_tracks(view: LogView, one: str, two: str) -> None:
    """A line through both, whichever way the second one runs and however steep it is."""
    a, b = view.on(one), view.on(two)
    good = np.isfinite(a + b)
    if good.sum() < 50 or float(np.ptp(a[good])) < 0.4:
        view.could_not(_TRACKS, (), "the pedal is not pressed far enough")
        return
    view.did(_TRACKS)
    low, high = np.percentile(a[good], [10, 90])
    ends = [float(np.median(b[good & (a <= low)])), float(np.median(b[good & (a >= high)]))]
    at = [float(np.median(a[good & (a <= low)])), float(np.median(a[good & (a >= high)]))]
    slope = (ends[1] - ends[0]) / max(at[1] - at[0], 1e-6)
    # tracks that are read in turn are read of another pedal where it moves between the two: only what lasts counts,
    # and only where neither moved from one reading to the next
    steep = max(abs(slope), 0.3)
    rest = np.abs(b - ends[0] - slope * (a - at[0])) / steep
    apart = max(view.signals[one].interval, view.signals[two].interval)
    moving = (_travel(a, apart / view.step) > _FLAT) | (_travel(b, apart / view.step) / steep > _FLAT)
    least = max(0.5, 2.0 * apart)
    bad = view.lasting(good & ~moving & (rest > 1.8 * _TRACK_HALF), least, 0.0)
    if bad.sum() * view.step < least:
        return
    size = float(np.median(rest[bad]))
    sure = certainty_of_deviation(size / _TRACK_HALF, 0.9)
    if sure < LEAST:
        return
    view.faults.append(
        SensorFault(
            "impossible",
            (one, two),
            f"{one} and {two} leave each other by {size:.0%} of the travel: one of the two tracks is off.",
            sure,
            view.where(bad),
            (
                Evidence(f"median {one} there", float(np.median(a[bad]))),
                Evidence(f"median {two} there", float(np.median(b[bad]))),
            ),
            "Both tracks sit on one shaft, so that one is a straight line of the other.",
            ("a worn spot of a track", "a plug with one pin that opens", "two supplies that differ"),
            "Press the pedal slowly with the key on and look at both; a controller that sees this cuts power.",
        )
    )


def _travel(values: Array, reach: float) -> Array:
    """How far a channel goes within ``reach`` common times on either side of each, a tenth of a second at least."""
    from numpy.lib.stride_tricks import sliding_window_view

    half = max(2, int(np.ceil(reach)))
    padded = np.pad(values, half, mode="edge")
    windows = sliding_window_view(padded, 2 * half + 1)
    return np.asarray(np.nanmax(windows, axis=1) - np.nanmin(windows, axis=1))


def _ends(view: LogView, pedal: str, plate: str) -> None:
    """Where the one stands still at its stop, the other stands at one and the same reading: that is its stop too."""
    a, b = view.on(pedal), view.on(plate)
    good = np.isfinite(a + b) & view.running
    if good.sum() < 50:
        return
    shut = view.idle & good
    pedal_top, plate_top = (float(np.percentile(x[good], 99)) for x in (a, b))
    if not shut.any() or float(np.median(b[shut])) > plate_top - 0.3 or pedal_top < 0.3:
        view.could_not(_ENDS, (), "it takes an idle and a pull")
        return
    stops = _stop(view, (a > pedal_top - 0.03) & (b > plate_top - 0.03) & good)
    if stops.sum() * view.step < 2.0:
        view.could_not(_ENDS, (), "pedal and throttle are never both at a stop for two seconds")
        return
    view.did(_ENDS)
    top = {pedal: float(np.median(a[stops])), plate: float(np.median(b[stops]))}
    foot = {pedal: float(np.median(a[shut])), plate: float(np.median(b[shut]))}
    for name, other in ((plate, pedal), (pedal, plate)):
        if abs(top[other] - 1.0) < _FULL_HALF and foot[other] < 0.15:
            _judge(view, name, other, (foot[name], top[name]), stops)


def _stop(view: LogView, mask: Mask) -> Mask:
    """Stretches of half a second and more in which neither moves."""
    taken = np.zeros(mask.size, dtype=bool)
    for first, last in runs_of(mask):
        if (last - first) * view.step > 1.0:
            skip = round(0.5 / view.step)
            taken[first + skip : last] = True
    return taken


def _judge(view: LogView, name: str, other: str, ends: tuple[float, float], mask: Mask) -> None:
    foot, top = ends
    values = view.on(name)[mask]
    spread = float(np.percentile(values, 90) - np.percentile(values, 10))
    open_wide = _nothing_lost(view, mask)
    if spread > _FLAT + 2.0 * view.signals[name].quantum or open_wide is False:
        return
    ceiling = 0.85 if open_wide and name == "throttle_position" else 0.7
    sure = certainty_of_deviation(abs(top - 1.0) / _FULL_HALF, ceiling)
    if sure < LEAST:
        return
    offset = abs((top - 1.0) - foot) < _FULL_HALF and abs(foot) > 0.5 * abs(top - 1.0)
    view.faults.append(
        SensorFault(
            "offset" if offset else "scale",
            (name,),
            f"{name} stops at {top:.0%} whenever {other} is at its own stop.",
            sure,
            view.where(mask),
            (
                Evidence(f"{name} at idle", foot),
                Evidence(f"{name} at the stop", top),
                Evidence(f"{other} at its stop", float(np.median(view.on(other)[mask]))),
            ),
            "A plate that passes the pipe's pressure on is open, and a pedal that opens it fully is at its stop: "
            "both read about 100 %.",
            (
                "a controller that opens the plate no further, for torque or a gear",
                "a mat or a cable that ends the travel",
                "a pedal map that opens the plate early",
            ),
            "Key on, engine off: press the pedal to its stop, look at the plate, and teach both ends anew.",
        )
    )


def _nothing_lost(view: LogView, mask: Mask) -> bool | None:
    """Whether the manifold has the pipe's pressure; None where that is not logged."""
    if "pressure_im" not in view.signals or "pressure_bp_static" not in view.signals:
        return None
    share = (view.absolute("pressure_im") / view.absolute("pressure_bp_static"))[mask]
    share = share[np.isfinite(share)]
    return None if share.size < 5 else bool(np.median(share) > 0.95)
