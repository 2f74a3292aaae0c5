"""How many columns of logs in many habits are taken for the right channel, asked about, missed, or silently wrong.

Run from the top folder: ``python -m benchmarks.log_mapping``. Bound: at least 98 % right or asked, none silently wrong.
Each habit of names and units is written with units in brackets, in a row of their own and without units, with key-on
and idle, with idle only, and as a pull alone, and is read as a file would be. The names are ours, so this shows that
nothing is lost, not what strangers write; ``--file`` judges a log of yours by eye.
"""

from __future__ import annotations

import argparse
import tempfile
from collections import Counter
from pathlib import Path

from boostwright.logs.mapping.proposal import ASKED
from boostwright.tasks.import_log import import_logs
from tests.support.invented_log import Truth, as_text, signals, written
from tests.support.log_habits import HABITS

STRETCHES = {"whole": (True, True), "no key-on": (False, True), "pull only": (False, False)}


def verdict(proposal, truth: Truth) -> str:
    """One of right, asked, missed, WRONG."""
    choice = proposal.choice
    if proposal.status == ASKED:
        return "asked"
    if not proposal.taken:
        return "right" if truth.channel is None else "missed"
    same = choice.channel == truth.channel and choice.unit == truth.unit
    return "right" if same and (choice.basis == truth.basis or not truth.basis) else "WRONG"


def judged():
    """Every (habit, header, stretch, column, verdict, proposal)."""
    with tempfile.TemporaryDirectory() as folder:
        for stretch, (key_on, idle) in STRETCHES.items():
            time, data = signals(key_on=key_on, idle=idle)
            for habit, columns in HABITS.items():
                log = written(columns, time, data)
                for header in ("brackets", "row", "bare"):
                    file = Path(folder) / f"{habit}-{header}-{stretch}.csv"
                    separator, decimal = (";", ",") if habit in ("german", "french", "polish") else (",", ".")
                    file.write_text(
                        as_text(log, separator=separator, decimal=decimal, header=header), encoding="utf-8"
                    )
                    result = import_logs([file], Path(folder) / f"{stretch}-{header}-{habit}")
                    for fail in result.failed:
                        raise SystemExit(f"{file.name}: {fail.faults}")
                    found = {p.column: p for p in result.logs[0].proposals}
                    for name, truth in zip(log.names, log.truth, strict=True):
                        yield habit, header, stretch, name, verdict(found[name], truth), found[name]


def main() -> None:
    """Print the counts and everything that is wrong or missed."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--all", action="store_true", help="print what is asked, too")
    arguments = parser.parse_args()
    counts: Counter[tuple[str, str]] = Counter()
    for habit, header, stretch, name, outcome, proposal in judged():
        counts[header, outcome] += 1
        if outcome in ("WRONG", "missed") or (arguments.all and outcome == "asked"):
            got = proposal.choice.words() if proposal.choice else "-"
            print(f"{outcome:6} {habit}, {header}, {stretch}: {name} -> {got} ({proposal.reason})")
    for header in ("brackets", "row", "bare"):
        total = sum(count for (kind, _), count in counts.items() if kind == header)
        told = ", ".join(
            f"{outcome} {counts[header, outcome]}" for outcome in ("right", "asked", "missed", "WRONG")
        )
        share = (counts[header, "right"] + counts[header, "asked"]) / total
        print(
            f"units {header:9} {told}; right or asked {share:.1%} ({'held' if share >= 0.98 else 'MISSED'}, bound 98 %)"
        )


if __name__ == "__main__":
    main()
