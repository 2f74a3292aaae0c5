"""Following a line in a picture from a place on it, by its colour and its direction.

A walker steps along the line. At each step it looks across: the middle of what has the line's colour there is the
next place, and the direction turns towards it a little at a time. Where other lines cross, what is found across is too
wide to be the line; there, and over gaps of a dashed line, it goes straight on. So a line of one colour is followed
through others of the same colour as long as they do not run along with it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.errors import Fault, FaultyInput

__all__ = ["Trace", "TraceError", "thinned", "trace_line"]

Array = NDArray[np.float64]

_STEP = 1.5
_TURN = 0.28
"""Share of the found change of direction that is taken up at each step."""
_FULL = 0.9
"""Share of the line's colour that counts as all of it: thin lines never reach it."""
_OTHER = 0.2
"""Departure another way, over that of the line, at which a pixel counts half."""
_CORNER = np.deg2rad(50.0)
_LOOK_BACK = 9
"""Steps over which a turn by more than ``_CORNER`` is a corner: the line ends on another one there."""
_MOST_STEPS = 12_000
_GAP, _LONGEST_GAP = 9.0, 30.0
"""Pixels without the line that are walked over: of a line without gaps so far, and at most, where it is dashed."""
_ROUGH = 0.9
"""Mean distance [pixels] of what is found from where it was expected above which it is no line but letters."""
_SEEK = 6
_CLEAR = 130.0
"""Distance of colours from the paper above which a pixel counts as the middle of a line."""
_CENTRE = 0.5
"""Places are counted from the picture's upper left corner, colours stand at the middles of pixels."""


class TraceError(FaultyInput):
    """No line can be followed from there."""


@dataclass(frozen=True)
class Trace:
    """A line as followed.

    points  (n, 2) [pixels] along its middle
    closed  True when it came back to where it began
    width   [pixels] of the line
    ended   why it ended, at its start and at its end: in words
    """

    points: Array
    closed: bool
    width: float
    ended: tuple[str, str]


def trace_line(
    colours: NDArray[np.uint8], start: tuple[float, float], stop: tuple[float, float] | None = None
) -> Trace:
    """The line that passes through a place.

    colours  (height, width, 3) of the picture, 0 to 255
    start    (x, y) [pixels] on the line, to within some pixels
    stop     where to end; None = as far as it goes in both directions
    Returns a Trace, thinned to what its shape needs. Raises TraceError where there is no line.
    """
    seed, paper = _seed(colours, (start[0] - _CENTRE, start[1] - _CENTRE))
    stop = None if stop is None else (stop[0] - _CENTRE, stop[1] - _CENTRE)
    share = _Ink(colours, colours[round(seed[1]), round(seed[0])].astype(float), paper)
    width = _width(share, seed)
    heading = _heading(share, seed)
    if heading is None:
        raise TraceError([_no_line(start)])
    forward, why_forward = _walk(share, seed, heading, width, stop)
    closed = why_forward == "came round"
    if closed or why_forward == "reached":
        points, ended = forward, ("start", why_forward)
        if why_forward == "reached":
            points = np.vstack([seed, forward])
    else:
        back, why_back = _walk(share, seed, -heading, width, stop)
        if why_back == "reached":
            points, ended = np.vstack([seed, back]), ("start", why_back)
        else:
            points, ended = np.vstack([back[::-1], seed, forward]), (why_back, why_forward)
    if len(points) < 4:
        raise TraceError([_no_line(start)])
    return Trace(thinned(points, closed) + _CENTRE, closed, width, ended)


class _Ink:
    """How much of the line's colour is in the picture at any place, 0 to 1 and a little more.

    A pixel is paper with some share of the line's colour laid over it: the share is its departure from the paper along
    the line's own; what departs another way is another colour, also where a dark line fades into the paper.
    """

    def __init__(self, colours: NDArray[np.uint8], line: Array, paper: Array) -> None:
        self._colours, self._paper = colours, paper
        departure = paper - line
        self._size = float(np.linalg.norm(departure))
        self._way = departure / self._size
        self.height, self.width = colours.shape[:2]

    def at(self, points: Array) -> Array:
        """At points (n, 2), straight between pixels; 0 outside the picture."""
        x, y = points[:, 0], points[:, 1]
        inside = (x >= 0) & (y >= 0) & (x <= self.width - 1) & (y <= self.height - 1)
        i, j = np.clip(x.astype(int), 0, self.width - 2), np.clip(y.astype(int), 0, self.height - 2)
        fx, fy = (x - i)[:, None], (y - j)[:, None]
        c = self._colours
        mixed = (c[j, i] * (1 - fx) + c[j, i + 1] * fx) * (1 - fy)
        mixed = mixed + (c[j + 1, i] * (1 - fx) + c[j + 1, i + 1] * fx) * fy
        departure = (self._paper - mixed) / self._size
        share = departure @ self._way
        other = np.linalg.norm(departure - share[:, None] * self._way, axis=1)
        seen = np.clip(share / _FULL, 0.0, 1.0) / (1.0 + (other / _OTHER) ** 4)
        return np.asarray(np.where(inside, seen, 0.0))


def _seed(colours: NDArray[np.uint8], start: tuple[float, float]) -> tuple[Array, Array]:
    """The place near the click that differs most from the paper, and the colour of the paper there."""
    height, width = colours.shape[:2]
    x, y = round(start[0]), round(start[1])
    if not (0 <= x < width and 0 <= y < height):
        message = f"({start[0] + _CENTRE:.0f}, {start[1] + _CENTRE:.0f}) lies outside the picture."
        raise TraceError([Fault("trace", "start", "", message)])
    left, top = max(x - 24, 0), max(y - 24, 0)
    around = colours[top : y + 25, left : x + 25].reshape(-1, 3).astype(float)
    paper = _commonest(around)
    left, top = max(x - _SEEK, 0), max(y - _SEEK, 0)
    near = colours[top : y + _SEEK + 1, left : x + _SEEK + 1].astype(float)
    rows, columns = np.mgrid[0 : near.shape[0], 0 : near.shape[1]]
    away = np.hypot(columns + left - start[0], rows + top - start[1])
    # enough contrast is enough: a pale line under the click comes before a dark one beside it
    contrast = np.minimum(np.linalg.norm(near - paper, axis=2), _CLEAR) * np.exp(-((away / 3.0) ** 2))
    best = np.unravel_index(int(np.argmax(contrast)), contrast.shape)
    if float(np.linalg.norm(near[best] - paper)) < 40.0:
        raise TraceError([_no_line(start)])
    return np.array([best[1] + left, best[0] + top], dtype=float), paper


def _commonest(colours: Array) -> Array:
    """The colour that most of the pixels have, to within a step of 16."""
    steps = (colours // 16).astype(int)
    keys = steps[:, 0] * 256 + steps[:, 1] * 16 + steps[:, 2]
    values, counts = np.unique(keys, return_counts=True)
    return np.asarray(colours[keys == values[np.argmax(counts)]].mean(axis=0))


def _width(share: _Ink, seed: Array) -> float:
    """Width [pixels] of the line: the shortest way across it at the seed."""
    reach = np.arange(-12.0, 12.01, 0.25)
    widths = []
    for angle in np.linspace(0.0, np.pi, 24, endpoint=False):
        ink = share.at(seed + reach[:, None] * np.array([np.cos(angle), np.sin(angle)])) > 0.5
        middle = len(reach) // 2
        after = int(np.argmin(np.append(ink[middle:], False)))
        before = int(np.argmin(np.append(ink[middle::-1], False)))
        widths.append(0.25 * (after + before))
    return float(max(min(widths), 1.0))


def _heading(share: _Ink, seed: Array) -> Array | None:
    """Direction in which the line leaves the seed; None where there is none."""
    reach = np.concatenate([np.arange(-11.0, 0.0), np.arange(1.0, 12.0)])
    best, most = None, 0.4
    for angle in np.linspace(0.0, np.pi, 72, endpoint=False):
        along = np.array([np.cos(angle), np.sin(angle)])
        ink = float(np.mean(share.at(seed + reach[:, None] * along)))
        if ink > most:
            best, most = along, ink
    return best


def _walk(
    share: _Ink, seed: Array, heading: Array, width: float, stop: tuple[float, float] | None
) -> tuple[Array, str]:
    """Places along the line from the seed in one direction, and why the walk ended."""
    reach = np.arange(-(width + 2.5), width + 2.51, 0.25)
    here, along, gap, turn = seed.copy(), heading / np.linalg.norm(heading), 0.0, 0.0
    places: list[Array] = []
    ways: list[Array] = []
    dash, rough = _GAP, 0.0
    certain = 0
    for count in range(_MOST_STEPS):
        there = here + _STEP * along
        across = np.array([-along[1], along[0]])
        ink = share.at(there + reach[:, None] * across)
        found = _middle(reach, ink, width)
        if found is not None and gap > 0.0 and _crosses(share, there + found * across, along):
            found = None
        if found is None:
            # nothing, or too much: go on as before, bending on as the line did
            gap += _STEP
            clear = float(np.mean(share.at(there[None]))) < 0.5
            if gap > (dash if clear else 3.0 * _LONGEST_GAP):
                return np.array(places[:certain]).reshape(-1, 2), "line ends"
            angle = turn
        else:
            if gap > 0.0:
                dash = min(max(_GAP, dash, 1.8 * gap), _LONGEST_GAP)
            gap = 0.0
            rough = 0.85 * rough + 0.15 * abs(found)
            if rough > _ROUGH:
                return np.array(places[: max(len(places) - _LOOK_BACK, 0)]).reshape(
                    -1, 2
                ), "lost among others"
            there = there + found * across
            wanted = float(np.arctan2(found, _STEP))
            angle = float(np.clip(_TURN * wanted, -0.25, 0.25))
            turn = 0.85 * turn + 0.15 * angle
        c, s = np.cos(angle), np.sin(angle)
        along = np.array([c * along[0] - s * along[1], s * along[0] + c * along[1]])
        here = there
        places.append(here)
        ways.append(along)
        if count > _LOOK_BACK and float(ways[-_LOOK_BACK] @ along) < np.cos(_CORNER):
            return np.array(places[: max(len(places) - _LOOK_BACK, 0)]).reshape(-1, 2), "meets another line"
        if found is not None:
            certain = len(places)
        if stop is not None and np.hypot(*(here - np.array(stop))) < 4.0:
            return np.array([*places, np.array(stop, dtype=float)]), "reached"
        if count > 30 and np.hypot(*(here - seed)) < 1.2 * _STEP:
            return np.array(places), "came round"
        if not (0 <= here[0] < share.width and 0 <= here[1] < share.height):
            return np.array(places[:certain]).reshape(-1, 2), "edge of the picture"
    return np.array(places), "too long"


def _middle(reach: Array, ink: Array, width: float) -> float | None:
    """Middle of the line across, counted from where it was expected; None for nothing or for too much."""
    strong = ink > 0.5
    if not np.any(strong):
        return None
    starts = np.flatnonzero(np.diff(np.concatenate([[0], strong.view(np.int8)])) == 1)
    ends = np.flatnonzero(np.diff(np.concatenate([strong.view(np.int8), [0]])) == -1)
    middles = 0.5 * (reach[starts] + reach[ends])
    nearest = int(np.argmin(np.abs(middles)))
    wide = 0.25 * (ends[nearest] - starts[nearest] + 1)
    if wide > 1.7 * width + 1.0:
        return None
    piece = slice(starts[nearest], ends[nearest] + 1)
    return float(np.sum(reach[piece] * ink[piece]) / np.sum(ink[piece]))


def _crosses(share: _Ink, place: Array, along: Array) -> bool:
    """True where what was found after a gap runs across the walk and not along it."""
    heading = np.arctan2(along[1], along[0])
    angles = heading + np.linspace(-0.5, 0.5, 36, endpoint=False) * np.pi
    ways = np.column_stack([np.cos(angles), np.sin(angles)])
    reach = np.concatenate([np.arange(-5.0, 0.0), np.arange(1.0, 6.0)])
    ink = share.at((place + reach[:, None, None] * ways).reshape(-1, 2)).reshape(len(reach), -1).mean(axis=0)
    best = int(np.argmax(ink))
    return abs(best - 18) > 7 and ink[18] < 0.75 * ink[best]


def _no_line(start: tuple[float, float]) -> Fault:
    message = f"there is no line to follow at ({start[0]:.0f}, {start[1]:.0f})."
    return Fault(
        "trace",
        "start",
        "",
        message,
        "",
        "Start nearer to its middle, away from others, or click it by hand.",
    )


def thinned(points: Array, closed: bool = False, room: float = 0.35, longest: float = 30.0) -> Array:
    """Fewer points for the same shape.

    points   (n, 2) [pixels] along a line, smoothed here over a few of them first
    closed   whether the last joins the first
    room     [pixels] by how much a left-out point may lie off the chord
    longest  [pixels] between two points kept
    Returns (m, 2); the first and the last are kept. The rule of Douglas and Peucker, from memory.
    """
    smooth = _smoothed(points, closed)
    keep = np.zeros(len(smooth), dtype=bool)
    keep[[0, -1]] = True
    stack = [(0, len(smooth) - 1)]
    while stack:
        first, last = stack.pop()
        if last - first < 2:
            continue
        chord = smooth[last] - smooth[first]
        length = float(np.hypot(*chord))
        inner = smooth[first + 1 : last] - smooth[first]
        if length > 1e-9:
            off = np.abs(inner[:, 0] * chord[1] - inner[:, 1] * chord[0]) / length
        else:
            off = np.hypot(inner[:, 0], inner[:, 1])
        middle = first + 1 + int(np.argmax(off))
        if off.max() <= room:
            if length <= longest:
                continue
            middle = (first + last) // 2
        keep[middle] = True
        stack += [(first, middle), (middle, last)]
    return np.asarray(smooth[keep])


def _smoothed(points: Array, closed: bool, half: int = 4) -> Array:
    """Each point moved onto the parabola through its neighbours, ends kept to their own."""
    n = len(points)
    if n < 2 * half + 3:
        return points
    offsets = np.arange(-half, half + 1)
    powers = np.vander(offsets, 3, increasing=True)
    weights = np.linalg.pinv(powers)[0]
    if closed:
        padded = np.vstack([points[-half:], points, points[:half]])
    else:
        padded = np.vstack(
            [2 * points[0] - points[half:0:-1], points, 2 * points[-1] - points[-2 : -half - 2 : -1]]
        )
    return np.column_stack([np.convolve(padded[:, i], weights[::-1], mode="valid") for i in (0, 1)])
