"""Which rises are pulls, and in words why the others are not."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.pulls.grid import true_samples
from boostwright.logs.pulls.grid_kernel import fill_shares, held_time
from boostwright.logs.pulls.motion import middle, runs
from boostwright.logs.pulls.pieces import Piece, Scene, between_samples
from boostwright.logs.pulls.records import NotTaken, Pull
from boostwright.logs.pulls.rules import RPM
from boostwright.logs.pulls.throttle import GUESS, SURE
from boostwright.logs.series import Channels
from boostwright.numerics.stretches import ends_of

__all__ = ["Judge"]

_EVEN = 0.12
_LEAST_FULL_TIME = 0.7
_LEAST_FULL_RISE = 200 * RPM
_LEAST_TELLING = 300 * RPM
_WALKING = 1.5
_ROUNDLY = 0.98
"""A bound is a round number: 1480 of 1500 rpm will do, and as much again for what rises between two samples."""
_SLOW = 0.2
_LEAST_TOLD = 100 * RPM
_FIRM = 0.6
_BROKEN = ("wheel-slip", "fuel-cut", "speed-falls", "data-gap")
_TELLING = (
    "fuel-cut",
    "wheel-slip",
    "gear-change",
    "limiter",
    "speed-falls",
    "lifted",
    "data-gap",
    "speed-held",
)
_THEN = {
    "gear-change": "then a gear change, down to {low} rpm",
    "wheel-slip": "{ahead} ahead of the road: wheels or clutch slip",
    "fuel-cut": "then the engine was cut",
    "limiter": "then the limiter at {last} rpm",
    "lifted": "then the throttle was closed",
    "data-gap": "then a hole in the log",
    "speed-falls": "then speed {stalls} at full throttle: a cut, or grip lost",
    "speed-held": "then speed was held",
    "log-ends": "the log ends there",
}
"""What ended a rise, in words."""
_BEFORE = {
    "gear-change": "a gear change before",
    "wheel-slip": "{ahead} ahead of the road before: wheels or clutch slip",
    "fuel-cut": "after a cut",
    "data-gap": "a hole in the log before",
    "speed-falls": "speed stalled or fell before at full throttle",
    "speed-held": "held before",
    "log-ends": "the log begins there",
}
"""What it began with."""


class Judge:
    """Judges the rises of one log."""

    def __init__(self, scene: Scene, channels: Channels) -> None:
        """For a scene; coolant and the car's own speed are read from the channels."""
        self.scene = scene
        self._flat = max(30 * RPM, 3.0 * scene.motion.error)
        self._foot_is_known = bool(np.isfinite(scene.full.pedal).any())
        self._gear = true_samples(channels.read("gear"))[:2] if "gear" in channels.names else None
        self._coolant = None
        if "temperature_coolant" in channels.names:
            self._coolant = true_samples(channels.read("temperature_coolant"))[:2]

    # -- pulls ---------------------------------------------------------------------------------------------------

    def full_stretches(self, pieces: list[Piece]) -> tuple[list[Pull], list[NotTaken]]:
        """Pulls among the rises at full throttle, and each stretch of full throttle without one, with its reason."""
        troubles = [self._trouble(piece) for piece in pieces]
        if self.scene.full.certainty == GUESS:
            troubles = self._too_slow(pieces, troubles)
        pulls = [self._pull(p) for p, trouble in zip(pieces, troubles, strict=True) if not trouble]
        not_taken = []
        spans = runs(self.scene.full.full, self.scene.grid.chunks)
        places = np.searchsorted(np.array([p.a for p in pieces], dtype=np.intp), spans).tolist()
        figures = self._figures(spans)
        for (a, b), (first, last), (highest, held) in zip(spans.tolist(), places, figures, strict=True):
            if last == first + 1 and not troubles[first]:
                continue
            inside = list(zip(pieces[first:last], troubles[first:last], strict=True))
            not_taken += self._untaken(a, b, inside, highest, held)
        return pulls, not_taken

    def _figures(self, spans: NDArray[np.intp]) -> list[tuple[float, float]]:
        """For each span its highest level [rad/s] and for how long in all speed is held for a second or more [s]."""
        motion = self.scene.motion
        out = np.empty(spans.shape)
        held_time(self.scene.grid.time, motion.slope, motion.level, self._flat, spans, out)
        rows: Any = out.tolist()
        return [(highest, held) for highest, held in rows]

    def _trouble(self, piece: Piece) -> str:
        """Why a rise at full throttle is no pull, '' where it is one."""
        scene, rules = self.scene, self.scene.rules
        ramp = piece.ramp
        if ramp > rules.fastest_ramp or (self._stands(piece) and ramp > 700 * RPM):
            return "no-load"
        unseen = min(scene.grid.step * ramp, (1.0 - _ROUNDLY) * rules.least_rise)
        if piece.rise + unseen < _ROUNDLY * rules.least_rise or piece.end - piece.start < rules.least_time:
            return "too-short"
        if piece.samples < rules.least_samples:
            return "too-few-samples"
        if self._coolant_at(piece) < rules.coldest_coolant:
            return "engine-cold"
        return ""

    def _stands(self, piece: Piece) -> bool:
        """True where the car has a speed channel and hardly moves through the whole rise."""
        if self.scene.road is None:
            return False
        return piece.fastest_road < _WALKING  # False for NaN

    def _coolant_at(self, piece: Piece) -> float:
        """Coolant temperature at the start of a rise [K]; NaN where it is not known within half a minute."""
        if self._coolant is None or not self._coolant[0].size:
            return float("nan")
        time, value = self._coolant
        start = piece.start
        k = max(0, int(np.searchsorted(time, start, side="right")) - 1)
        return float(value[k]) if abs(time[k] - start) < 30.0 else float("nan")

    def _too_slow(self, pieces: list[Piece], troubles: list[str]) -> list[str]:
        """Without throttle and pressure: only the fastest rises of a gear can have been at full throttle."""
        fastest: dict[str, float] = {}
        for piece, trouble in zip(pieces, troubles, strict=True):
            if not trouble:
                key = piece.gear.label if piece.gear else ""
                fastest[key] = max(fastest.get(key, 0.0), piece.ramp)
        out = []
        for piece, trouble in zip(pieces, troubles, strict=True):
            key = piece.gear.label if piece.gear else ""
            slow = not trouble and piece.ramp < _FIRM * fastest[key]
            out.append("too-slow" if slow else trouble)
        return out

    def _pull(self, piece: Piece) -> Pull:
        scene = self.scene
        start, end, low, high = piece.start, piece.end, piece.low, piece.high
        if scene.grid.step >= _SLOW:
            (start, low), (end, high) = between_samples(scene.grid, piece)
        even = piece.fastest - piece.slowest < 2 * _EVEN * piece.slope + 2.0 * scene.motion.error
        load = "even ramp" if even else "own torque"
        ratio = math.exp(piece.ratio) if math.isfinite(piece.ratio) else float("nan")
        error = scene.motion.noise / math.sqrt(piece.squares)
        samples, step = piece.samples, scene.grid.samples.step
        certainty, doubts = self._doubts(piece)
        gear, other = self._label(piece, start, end)
        doubts += other
        # by place, in the order of the record: so many names cost as much again as the rest of the call
        return Pull(
            start, end, low, high, gear, ratio, piece.spread, load, piece.slope, error, piece.slowest, piece.fastest,
            samples, step, certainty, doubts, piece.began, piece.ended,
        )  # fmt: skip

    def _label(self, piece: Piece, start: float, end: float) -> tuple[str, tuple[str, ...]]:
        """The gear by the ratio, where that has no number by the log's own channel; and what speaks against it."""
        label = piece.gear.label if piece.gear else ""
        if self._gear is None or not self._gear[0].size:
            return label, ()
        a, b = np.searchsorted(self._gear[0], (start, end))
        inside = self._gear[1][a:b] if b > a else self._gear[1][max(0, a - 1) : a]
        if not inside.size or inside.min() != inside.max() or inside[0] != round(inside[0]) or inside[0] < 1:
            return label, ()
        told = f"{inside[0]:.0f}"
        if not label.isdigit():
            return told, ()
        return label, () if label == told else (f"the log's own gear channel says {told}",)

    def _doubts(self, piece: Piece) -> tuple[str, tuple[str, ...]]:
        scene = self.scene
        certainty = scene.full.certainty
        doubts = [] if certainty == SURE else [scene.full.words]
        if scene.gears.source and piece.gear is None:
            doubts.append("the ratio of engine to road speed is that of no gear that was driven for long")
        if scene.full.step > 0.3 and scene.full.source:
            doubts.append(
                f"the throttle is read every {scene.full.step:.2g} s; a shorter lift would not show"
            )
        if piece.samples < 12:
            doubts.append(f"only {piece.samples} readings of engine speed")
        coolant = self._coolant_at(piece)
        if coolant < scene.rules.warm_coolant:
            cold = f"coolant at {coolant - 273.15:.0f} degC"
            doubts.append(f"the engine was cold at its start, {cold}: no pull to compare warm ones with")
        if piece.began in _BROKEN:
            doubts.append(f"it begins where another rise broke off ({piece.began})")
        if self._coolant is not None and not math.isfinite(coolant):
            doubts.append("no coolant temperature at its start")
        return certainty, tuple(doubts)

    # -- what was not taken --------------------------------------------------------------------------------------

    def _untaken(
        self, a: int, b: int, inside: list[tuple[Piece, str]], highest: float, held_for: float
    ) -> list[NotTaken]:
        """One entry for a stretch of full throttle without a pull; beside pulls the other rises that nearly are one."""
        scene = self.scene
        guess = scene.full.certainty != SURE and scene.full.source in ("engine_speed", "pressure_im", "boost")
        nearly = scene.rules.nearly * scene.rules.least_rise
        if any(not trouble for _, trouble in inside):
            return [
                self._entry(p.a, p.b, p, trouble)
                for p, trouble in inside
                if trouble and (p.rise >= nearly or trouble == "engine-cold")
            ]
        time = scene.grid.time
        best = self._telling(inside)
        rise = best[0].rise if best else 0.0
        if guess and rise < nearly:
            return []
        if time[b - 1] - time[a] < _LEAST_FULL_TIME and rise < _LEAST_FULL_RISE:
            return []
        if highest < 300 * RPM:
            return []
        held = self._held(a, b) if held_for >= 0.5 * (time[b - 1] - time[a]) else None
        if held is not None and (best is None or best[1] == "too-short"):
            return [held]
        if best is None or (best[1] == "too-short" and best[0].rise < _LEAST_TOLD):
            return [self._without_rise(a, b)]
        return [self._entry(a, b, best[0], best[1])]

    def _telling(self, inside: list[tuple[Piece, str]]) -> tuple[Piece, str] | None:
        """The rise that says best why a stretch holds no pull: one refused for more than its length, else the longest
        of those that something cut off, else the longest."""
        if len(inside) < 2:
            return inside[0] if inside else None
        long = [one for one in inside if one[0].rise >= _LEAST_TELLING]
        group = [one for one in long if one[1] != "too-short"]
        for code in _TELLING[:5]:
            group = group or [one for one in long if code in (one[0].ended, one[0].began)]
        return max(group or inside, key=lambda one: one[0].rise)

    def _held(self, a: int, b: int) -> NotTaken:
        """A stretch that is mostly holds: one speed, or steps from one to the next."""
        scene = self.scene
        time, level = scene.grid.time, scene.motion.level
        flat = np.abs(scene.motion.slope[a:b]) < self._flat
        holds = [(x + a, y + a) for x, y in runs(flat) if time[y + a - 1] - time[x + a] >= 1.0]
        seconds = sum(float(time[y - 1] - time[x]) for x, y in holds)
        speeds = [middle(level[x:y]) for x, y in holds]
        distinct = [s for k, s in enumerate(speeds) if k == 0 or abs(s - speeds[k - 1]) > 100 * RPM]
        low, high = min(speeds), max(speeds)
        if len(distinct) >= 3:
            words = f"{len(distinct)} holds from {_rpm(low)} to {_rpm(high)} rpm: steady points, no pull"
            return self._made(a, b, low, high, high - low, "stepped", words)
        if low > 0.965 * scene.top and scene.cut[a:b].any():
            return self._made(
                a, b, low, high, 0.0, "limiter", f"{seconds:.1f} s at the limiter, {_rpm(high)} rpm"
            )
        words = f"{seconds:.1f} s held at {' and '.join(_rpm(s) for s in distinct)} rpm"
        return self._made(a, b, low, high, high - low, "speed-held", words)

    def _without_rise(self, a: int, b: int) -> NotTaken:
        time = self.scene.grid.time
        first, last = map(float, ends_of(self.scene.grid.speed, a, b))
        if last < first - 100 * RPM:
            words = f"speed fell from {_rpm(first)} to {_rpm(last)} rpm"
            return self._made(a, b, first, last, last - first, "speed-falls", words)
        words = (
            f"{time[b - 1] - time[a]:.1f} s of full throttle, speed rose {_rpm(max(0.0, last - first))} rpm"
        )
        return self._made(a, b, first, last, last - first, "too-short", words)

    def _entry(self, a: int, b: int, piece: Piece, trouble: str) -> NotTaken:
        """A stretch with its longest rise: the code is what kept it from being a pull."""
        code = trouble
        if trouble == "too-short":
            code = next((c for c in (piece.ended, piece.began) if c in _TELLING), "")
            code = code or ("log-ends" if "log-ends" in (piece.ended, piece.began) else "too-short")
        low, high = piece.low, piece.high
        return self._made(a, b, low, high, high - low, code, self._words(piece, trouble, code))

    def _words(self, piece: Piece, trouble: str, code: str) -> str:
        rules = self.scene.rules
        rose = _rose(piece)
        if trouble == "no-load":
            return f"{rose}, faster than with a car to move: clutch open or no gear"
        if trouble == "too-few-samples":
            few = f"{piece.samples} readings in it; {rules.least_samples} needed"
            return f"{rose}, but engine speed has only {few}"
        if trouble == "engine-cold":
            cold = self._coolant_at(piece) - 273.15
            return f"{rose}, but coolant was at {cold:.0f} degC; {rules.coldest_coolant - 273.15:.0f} needed"
        if trouble == "too-slow":
            return f"{rose}, below {100 * _FIRM:.0f} % of the fastest rise in this gear: hardly full throttle"
        needed = f"{_rpm(rules.least_rise)} needed"
        if piece.rise >= rules.least_rise:
            needed = f"{rules.least_time:.1f} s needed"
        return f"{rose}, {needed}{self._then(piece, code)}"

    def _then(self, piece: Piece, code: str) -> str:
        told = (_THEN if code == piece.ended else _BEFORE).get(code, "")
        if not told:
            return ""
        if "{" not in told:
            return "; " + told
        b, level = piece.b, self.scene.motion.level
        far = b + max(3, round(2.0 / self.scene.grid.step))
        last, low = float(level[b - 1]), float(level[b - 1 : far].min())
        return "; " + told.format(
            low=_rpm(low),
            last=_rpm(last),
            stalls=f"fell to {_rpm(low)} rpm" if low < last - 30 * RPM else "stalled",
            ahead=f"engine {100 * math.expm1(piece.off):.0f} %" if piece.off > 0 else "engine",
        )

    def other_rises(self, pieces: list[Piece]) -> list[NotTaken]:
        """Rises at less than full throttle: told where they are long enough and at half throttle at least."""
        rules, full = self.scene.rules, self.scene.full
        enough = rules.nearly * rules.least_rise
        long = [p for p in pieces if not (p.rise < enough or p.ramp > rules.fastest_ramp or self._stands(p))]
        least = 0.5 * min(1.0, (full.highest - full.closed) / max(full.top - full.closed, 0.05))
        told = []
        for piece, (low, opening, high) in zip(long, self._openings(long), strict=True):
            if not opening >= least:  # nor where no reading tells
                continue
            words = _rose(piece) + self._read(low, high)
            if (
                self._foot_is_known
                and float(np.nanmedian(full.pedal[piece.a : piece.b])) > rules.full_throttle
            ):
                words += " though the pedal was down: the controller held it back"
            ends = (piece.start, piece.end, piece.low, piece.high, piece.rise)
            told.append(NotTaken(*ends, "throttle-not-full", _sentence(words), full=False))
        return told

    def _openings(self, pieces: list[Piece]) -> list[tuple[float, float, float]]:
        """How far the throttle is open in each rise as a share of its travel: the values with a tenth, half and nine
        tenths of the others below them; NaN where it has no reading."""
        if not pieces:
            return []
        spans = np.array([(p.a, p.b) for p in pieces], dtype=np.intp)
        out = np.empty((len(pieces), 3))
        room = np.empty(int((spans[:, 1] - spans[:, 0]).max()))
        fill_shares(np.ascontiguousarray(self.scene.full.opening), spans, room, out)
        rows: Any = out.tolist()
        return [(low, middle, high) for low, middle, high in rows]

    def _read(self, low: float, high: float) -> str:
        """How far the throttle was open, as it reads; from shares of its travel."""
        full = self.scene.full
        low, high = (share * (full.top - full.closed) + full.closed for share in (low, high))
        at = f"{100 * low:.0f} to {100 * high:.0f} %" if high - low > 0.015 else f"{50 * (low + high):.0f} %"
        most = f" and no more than {100 * full.highest:.0f} % in the whole log" if full.highest < 0.9 else ""
        return f", but {full.source} read {at}{most}"

    def _made(self, a: int, b: int, low: float, high: float, rise: float, code: str, words: str) -> NotTaken:
        """A stretch of full throttle, cells a to b, that is no pull."""
        grid = self.scene.grid
        stamps = grid.samples.time
        start, end = float(stamps[grid.first[a]]), float(stamps[grid.behind[b - 1] - 1])
        return NotTaken(start, end, low, high, rise, code, _sentence(words), True)


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:] + "."


def _rose(piece: Piece) -> str:
    """By how much, from where to where and for how long engine speed rose."""
    span = f"{_rpm(piece.low)} to {_rpm(piece.high)}"
    return f"rose {_rpm(piece.rise)} rpm ({span}) in {piece.end - piece.start:.1f} s"


def _rpm(speed: float) -> str:
    return f"{speed / RPM:.0f}"
