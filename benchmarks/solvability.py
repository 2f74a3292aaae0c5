"""Random plausible points, every one from cold: solved, or a typed reason why there is no steady state. No NaN.

Run from the top folder: ``python -m benchmarks.solvability [COUNT] [--seed N] [--page FILE]``. It checks

- that every number of every state is finite, and that every balance of a solved point closes;
- that the quick ways to a solution end where the full climb from rest in shaft speed ends;
- that a general-purpose root finder, from eight starts, finds no admissible root where we say there is none.

Ends with exit code 1 when one of these fails. ``--page`` writes the table as a page of the documentation.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from benchmarks import peer
from benchmarks.batches import Batch, random_batch
from boostwright.solve.kernel.layout import MODES, NO_TURBO, OUTCOMES, SOLVED, SPRING, STATE, TARGET
from boostwright.solve.kernel.match import climb
from boostwright.solve.native import line_flows

CLOSED = 1e-7
AGREE = 1e-6  # of the logarithms of shaft speed, air flow and p_em
NO_END = 1e30
PAGE = Path(__file__).resolve().parent.parent / "docs" / "proof" / "solvability.md"


@dataclass
class Findings:
    """What the run found; the lists hold indices of points that broke a rule."""

    count: int
    seed: int
    outcomes: np.ndarray  # (modes, outcomes)
    left_of_surge: np.ndarray  # (modes,)
    worst_residual: np.ndarray  # (modes,)
    evaluations: np.ndarray  # (modes, 4) median, 90 %, 99 %, most
    not_finite: list[int] = field(default_factory=list)
    open_balance: list[int] = field(default_factory=list)
    compared: int = 0
    elsewhere: list[int] = field(default_factory=list)
    asked: int = 0
    missed: list[int] = field(default_factory=list)

    @property
    def broken(self) -> int:
        """Points that broke a rule."""
        return len(self.not_finite) + len(self.open_balance) + len(self.elsewhere) + len(self.missed)


def _left_of_surge(batch: Batch, states: np.ndarray) -> np.ndarray:
    """(n,) solved points that ``predict`` reports as compressor surge, were the whole map measured."""
    found = np.zeros(states.size, dtype=bool)
    for k in np.unique(batch.points["compressor_index"]):
        here = batch.points["compressor_index"] == k
        surge, _, _ = line_flows(batch.maps[k], states["corrected_speed"][here])
        flow = states["corrected_flow"][here]
        found[here] = (flow > 0.0) & (flow < surge)
    return found & (states["outcome"] == SOLVED) & (batch.points["mode"] != NO_TURBO)


def _climbed(batch: Batch, states: np.ndarray, chosen: np.ndarray) -> list[int]:
    """Points whose state is not where the climb from rest ends, the actuator held at the signal that was found."""
    elsewhere = []
    for i in chosen:
        state = states[i]
        mode = SPRING if state["mode_held"] == TARGET else state["mode_held"]
        outcome, _, z, x, y, _ = climb(
            batch.points[i], batch.maps, batch.turbines, mode, float(state["signal_share"]), NO_END
        )
        ours = np.log([state["shaft_speed"], state["mass_flow_air"], state["pressure_em"]])
        if outcome != SOLVED or np.abs(ours - [z, x, y]).max() > AGREE:
            elsewhere.append(int(i))
    return elsewhere


def _missed(batch: Batch, states: np.ndarray, chosen: np.ndarray) -> list[int]:
    """Points without a steady state at which the peer finds one all the same."""
    starts = peer.starts(batch.points[chosen])
    found = []
    for i, (begin, top) in zip(chosen, starts, strict=True):
        mode, share = int(states["mode_held"][i]), float(states["signal_share"][i])
        if peer.solve(batch.points[i], begin, top, batch.maps, batch.turbines, mode, share).unknowns:
            found.append(int(i))
    return found


def run(count: int, seed: int, *, climbs: int = 20_000, asked: int = 5_000) -> Findings:
    """Solve ``count`` points and check them; ``climbs`` and ``asked`` bound how many are checked the slow ways."""
    batch = random_batch(count, seed)
    states = batch.solve()
    solved = states["outcome"] == SOLVED
    mode = batch.points["mode"]
    each = [mode == k for k in range(len(MODES))]
    floats = [name for name in STATE.names if STATE[name].kind == "f"]
    finite = np.all([np.isfinite(states[name]) for name in floats], axis=0)
    by_a_quick_way = np.flatnonzero(solved & (mode != NO_TURBO) & (states["shaft_speed"] > 2.0))
    without = np.flatnonzero(~solved)
    surge = _left_of_surge(batch, states)
    return Findings(
        count,
        seed,
        np.array([np.bincount(states["outcome"][w], minlength=len(OUTCOMES)) for w in each]),
        np.array([surge[w].sum() for w in each]),
        np.array([states["residual"][w & solved].max() for w in each]),
        np.array([np.percentile(states["evaluations"][w], [50, 90, 99, 100]) for w in each]),
        np.flatnonzero(~finite).tolist(),
        np.flatnonzero(solved & ~(states["residual"] < CLOSED)).tolist(),
        min(climbs, by_a_quick_way.size),
        _climbed(batch, states, by_a_quick_way[:climbs]),
        min(asked, without.size),
        _missed(batch, states, without[:asked]),
    )


def table(f: Findings) -> list[str]:
    """Rows of the table of outcomes, as Markdown."""
    rows = [
        "| mode | points | solved | of these left of surge | runs away | not reached | no balance | worst residual "
        "| evaluations: median | 90 % | 99 % | most |",
        "|---|" + "---:|" * 11,
    ]
    names = [*MODES, "all"]
    for k, name in enumerate(names):
        one = k < len(MODES)
        out = f.outcomes[k] if one else f.outcomes.sum(axis=0)
        surge = f.left_of_surge[k] if one else f.left_of_surge.sum()
        worst = f.worst_residual[k] if one else f.worst_residual.max()
        effort = " | ".join(f"{e:.0f}" for e in f.evaluations[k]) if one else " |  |  | "
        rows.append(
            f"| {name} | {out.sum()} | {out[0]} | {surge} | {out[1]} | {out[2]} | {out[3]} | {worst:.1e} | {effort} |"
        )
    return rows


def _listed(points: list[int]) -> str:
    more = ", ..." if len(points) > 8 else ""
    return f" (points {', '.join(map(str, points[:8]))}{more})" if points else ""


def summary(f: Findings) -> list[str]:
    """What was checked and what broke a rule, a line each."""
    solved = int(f.outcomes[:, SOLVED].sum())
    return [
        f"{f.count} random points, seed {f.seed}: {solved} solved, {f.count - solved} with a typed reason.",
        f"Not finite somewhere: {len(f.not_finite)}{_listed(f.not_finite)}.",
        f"Called solved with a balance open by more than {CLOSED:g}: {len(f.open_balance)}{_listed(f.open_balance)}.",
        f"Quick solution elsewhere than the full climb from rest, of {f.compared} compared: "
        f"{len(f.elsewhere)}{_listed(f.elsewhere)}.",
        f"Called without a steady state where the peer finds one, of {f.asked} asked: "
        f"{len(f.missed)}{_listed(f.missed)}.",
    ]


ABOUT = """# Solvability

Every point of a random cloud of plausible engines, turbochargers and gates, each from a cold start: it has a stable
steady state that closes every balance, or a reason why there is none. This page is made by
`python -m benchmarks.solvability --page docs/proof/solvability.md`; nothing on it is typed by hand.

## The cloud

Each field of a point is drawn by itself: engines of 0.6 to 6 litres at 800 to 9 000 rpm, compression ratio 7.5 to
12.5, volumetric efficiency 0.60 to 1.08, lambda 0.72 to 1.15, ambient pressure 55 to 104 kPa (to about 4 500 m) and
-20 to 45 degC at any humidity; every shipped compressor that comes near the size; turbines that swallow 0.4 to 2.0
times what would fit; no gate, one or two, 18 to 62 mm (scaled with the engine), recirculated or open to the air,
take-off from in line to back-facing, springs of 0.2 to 1.6 bar, signal from compressor or plenum; targets of 0.1 to
1.6 bar; the five modes alike. The fields are independent, so the cloud holds much that nobody would build. That is
its purpose.

## What came out
"""

MEANING = """
*Solved*: the largest relative error of the balances of air, exhaust gas and shaft power is below 1e-7, and the wheel
would return to the point when pushed. *Left of surge*: of these, the ones that a prediction reports as
`compressor-surge` where the speed lies on the measured map. *Runs away*: the wheel still gains speed where the
compressor card ends (a little above its highest line). *Not reached*: the target is not reached before that.
*No balance*: the power margin jumps across zero, so no steady state lies between. An evaluation is one pass through all
components at a trial state.

## What was checked
"""

COUNT = """
Why so many points: where none of n independent points fails, the share that would fail is below 3/n with 95 %
confidence, so {count} points bound it at {bound:.1e}.
"""


def page(f: Findings) -> str:
    """The page of the documentation."""
    checks = "\n".join(f"- {sentence}" for sentence in summary(f))
    bound = 3.0 / f.count
    return (
        ABOUT
        + "\n"
        + "\n".join(table(f))
        + "\n"
        + MEANING
        + "\n"
        + checks
        + "\n"
        + COUNT.format(count=f.count, bound=bound)
    )


def main() -> int:
    """Print the table and the summary."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("count", type=int, nargs="?", default=100_000)
    parser.add_argument("--seed", type=int, default=2)
    parser.add_argument("--page", type=Path)
    arguments = parser.parse_args()
    findings = run(arguments.count, arguments.seed)
    print("\n".join(table(findings)))
    print()
    print("\n".join(summary(findings)))
    if arguments.page is not None:
        arguments.page.write_text(page(findings), encoding="utf-8")
    return 1 if findings.broken else 0


if __name__ == "__main__":
    sys.exit(main())
