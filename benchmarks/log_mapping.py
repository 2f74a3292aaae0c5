"""How many columns of logs in many habits are taken for the right channel, asked about, missed, or silently wrong.

Run from the top folder: ``python -m benchmarks.log_mapping``. Bound: at least 98 % right or asked, none silently wrong.
Each habit of names and units is written with units in brackets, in a row of their own and without units, with key-on
and idle, with idle only, and as a pull alone, and is read as a file would be. The names are ours, so this shows that
nothing is lost, not what strangers write. The sets of names in ``tests/data/logs/names`` were written as strangers
would, each before the code had seen it; what they showed was mended since (docs/explain/log-import.md has the first
counts). Last comes the processor time of mapping 40 columns, beside that of reading them.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections import Counter
from pathlib import Path
from unittest.mock import patch

import numpy as np

from boostwright.logs.mapping import compounds, rules, words
from boostwright.logs.mapping.proposal import ASKED
from boostwright.logs.mapping.propose import propose
from boostwright.tasks import import_log
from boostwright.tasks.import_log import import_logs
from tests.support import named_columns
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


def strangers() -> None:
    """Print the counts over the sets of names and what of them is missed."""
    for file in sorted(named_columns.NAMES.glob("set_*.txt")):
        lines = named_columns.read_names(file)
        found = {line.name: named_columns.verdict(line, named_columns.judged(line)) for line in lines}
        counts = Counter(found.values())
        told = ", ".join(f"{outcome} {counts[outcome]}" for outcome in ("right", "asked", "missed", "WRONG"))
        left = [name for name, outcome in found.items() if outcome in ("missed", "WRONG")]
        print(f"{file.stem}: {told}" + (f" ({', '.join(left)})" if left else ""))


def pace(columns: int = 40, rows: int = 50_000) -> None:
    """Print the processor time of the mapping of a log, its names met for the first time, beside the whole import."""
    lines = named_columns.read_names(named_columns.NAMES / "set_b.txt")[:columns]
    values = [np.resize(named_columns.numbers_of(line), rows) for line in lines]
    names = [f"{line.name} [{line.header}]" if line.header else line.name for line in lines]
    table = np.column_stack([np.arange(rows) / 100.0, *values])
    spent: list[float] = []

    def timed(raws):
        for cached in (words.spoken, compounds.notions_of, rules.candidates, rules.near):
            cached.cache_clear()
        begin = time.process_time()
        found = propose(raws)
        spent.append(time.process_time() - begin)
        return found

    with tempfile.TemporaryDirectory() as folder, patch.object(import_log, "propose", timed):
        file = Path(folder) / "wide.csv"
        head = ",".join(["Time [s]", *names])
        np.savetxt(file, table, "%.5g", ",", header=head, comments="", encoding="utf-8")
        whole = []
        for turn in range(6):
            begin = time.process_time()
            import_logs([file], Path(folder) / str(turn))
            whole.append(time.process_time() - begin)
    mapping, all_of_it = sorted(spent[1:])[2], sorted(whole[1:])[2]  # the first compiles
    share = mapping / all_of_it
    print(
        f"mapping {columns} columns: {1e3 * mapping:.0f} ms of processor time, {share:.1%} of an import of {rows} rows"
    )


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
    strangers()
    pace()


if __name__ == "__main__":
    main()
