"""What-if: the same build with other parts or other numbers, many at a time, ranked and laid side by side."""

from __future__ import annotations

import re
from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, read_build, with_settings
from boostwright.cards.look_up import cards_as_first_read
from boostwright.errors import Fault, UnitError
from boostwright.solve.native import is_compiled
from boostwright.solve.operating_point import Prediction
from boostwright.solve.problem import Problem, assemble
from boostwright.solve.threshold import threshold
from boostwright.tasks.known_curve import filling_of_known_curve
from boostwright.tasks.predict import predict_build
from boostwright.tasks.ready import cards_of
from boostwright.tasks.whatif_cases import MOST_CASES, CaseList, cases_of
from boostwright.tasks.whatif_file import WHATIF_FILE, WrittenWhatIf, read_whatif_file
from boostwright.tasks.whatif_result import FIGURES, Case, Row, WhatIf
from boostwright.tasks.whatif_run import BATCH, CaseRunner
from boostwright.tasks.whatif_spec import WhatIfError
from boostwright.tasks.whatif_store import RowStore, key_of_run
from boostwright.tasks.whatif_verdict import cures_of, levers_of, ranked_rows, told, troubles_of
from boostwright.units import parse_quantity, to_si

__all__ = ["Asked", "needs_compiling", "whatif", "whatif_build"]

Array = NDArray[np.float64]
Progress = Callable[[int, int], None]

_RANGE = re.compile(r"\s*(?P<low>[0-9.]+)\s*(?:to|:|,)\s*(?P<high>[0-9.]+)\s*(?P<unit>[A-Za-z/]+)\s*")
_MOST_BESIDE = 5
_RANK_BY = "mean_torque"


@dataclass(frozen=True)
class Asked:
    """What a what-if is asked for; empty means what the file says, and after that the default.

    vary, cards    as ``whatif_spec`` reads them
    file           of choices and cases; None takes whatif.toml in the build's folder where nothing else is named
    rank_by        name of a figure of merit
    between        speeds the torque is summed between, "2000 to 6000 rpm"
    creep_floor    boost that must be held, "150 kPa absolute"
    compare        numbers or names of two to five cases to lay side by side
    speeds         engine speeds [rad/s]; None takes the build's
    resume         go on with a run that was stopped; anew begins it again
    most           how many cases may be run
    """

    vary: tuple[str, ...] = ()
    cards: tuple[str, ...] = ()
    file: Path | None = None
    one_at_a_time: bool = False
    rank_by: str = ""
    between: str = ""
    creep_floor: str = ""
    compare: tuple[str, ...] = ()
    speeds: Sequence[float] | None = None
    resume: bool = False
    anew: bool = False
    most: int = MOST_CASES


def needs_compiling() -> bool:
    """True when the next what-if will first compile the solver."""
    return not is_compiled()


def whatif(
    folder: Path, asked: Asked, *, settings: Sequence[str] = (), progress: Progress | None = None
) -> WhatIf:
    """Run a what-if of a build folder.

    settings  'section.key=value' laid over the build for every case
    progress  called with cases done and cases in all, after every batch
    Returns a WhatIf. Raises BuildError, CardError or WhatIfError with every fault found.
    """
    return whatif_build(read_build(folder, settings), asked, progress=progress)


def whatif_build(
    build: Build, asked: Asked, *, progress: Progress | None = None, workers: int | None = None
) -> WhatIf:
    """Run a what-if of a build that was read already; see ``whatif``. ``workers`` are threads to solve with."""
    with cards_as_first_read():
        return _whatif(build, asked, progress, workers)


def _whatif(build: Build, asked: Asked, progress: Progress | None, workers: int | None) -> WhatIf:
    mode = build["prediction"].text("mode")
    if mode == "no-turbo":
        raise _refuse(
            "prediction.mode", mode, "has no turbo whose parts could be compared.", "Choose another mode."
        )
    written = _written(build, asked)
    cases = cases_of(build, asked.vary, asked.cards, written, asked.one_at_a_time, asked.most)
    chosen = build["prediction"].speeds("speeds") if asked.speeds is None else asked.speeds
    speeds = np.array(chosen, dtype=float)
    between = _between(asked.between or written.between, speeds)
    figure = _figure(asked.rank_by or written.rank_by or _RANK_BY)
    floor = _pressure(asked.creep_floor or written.creep_floor, build)
    beside = _numbers(asked.compare or written.compare, cases.cases)
    rows, remarks, runner = _rows(build, cases, speeds, between, asked, progress, workers)
    possible = [row for row in rows if not row.reason]
    troubles = tuple(troubles_of(build, rows[0], floor)) if not rows[0].reason else ()
    return WhatIf(
        name=build.name,
        mode=mode,
        speeds=speeds,
        between=between,
        rows=rows,
        ranked_by=figure,
        ranked=ranked_rows(possible, figure),
        levers=levers_of(cases, rows),
        cures=cures_of(troubles, rows) if not cases.steps else (),
        beside=tuple(
            (rows[n].case.name, _predicted(build, rows[n].case, speeds)) for n in beside if not rows[n].reason
        ),
        axes=cases.axes,
        settings=build.source.settings,
        known=_known(build, speeds, runner) if not rows[0].reason else "",
        warnings=(*remarks, *told(build, cases), *(str(warning) for warning in build.warnings)),
    )


def _written(build: Build, asked: Asked) -> WrittenWhatIf:
    """What the file says: the one named, else that of the build unless the command line says what to vary."""
    own = build.folder / WHATIF_FILE
    if asked.file is not None:
        return read_whatif_file(asked.file)
    if not own.is_file():
        return WrittenWhatIf()
    written = read_whatif_file(own)
    if asked.vary or asked.cards:
        return replace(written, vary=(), cards=(), one_at_a_time=(), choices=(), cases=(), compare=())
    return written


def _rows(
    build: Build,
    cases: CaseList,
    speeds: Array,
    between: tuple[float, float],
    asked: Asked,
    progress: Progress | None,
    workers: int | None,
) -> tuple[tuple[Row, ...], tuple[str, ...], CaseRunner | None]:
    """Every row, those of a run that was stopped taken from the disk; what must be said of that; what ran the rest."""
    every = list(enumerate(cases.cases))
    rows: list[Row] = []
    remarks: list[str] = []
    store = None
    if len(every) > BATCH:
        store = RowStore(build.folder, key_of_run(build, speeds, between, cases.cases), cases.cases)
        rows, remarks = _begun(store, asked)
    if progress is not None and rows:
        progress(len(rows), len(every))
    runner = None
    if len(rows) < len(every):
        runner = CaseRunner(build, speeds, between)
        with closing(_kept(store, runner.run(every[len(rows) :], workers))) as batches:
            for batch in batches:
                rows += batch
                if progress is not None:
                    progress(len(rows), len(every))
    return tuple(rows), tuple(remarks), runner


def _kept(store: RowStore | None, batches: Iterator[list[Row]]) -> Generator[list[Row], None, None]:
    """The batches, each once it is on the disk; while one is written the next one is worked out."""
    if store is None:
        yield from batches
        return
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(1) as writer:
        writing, written = None, []
        for batch in batches:
            if writing is not None:
                writing.result()
                yield written
            writing, written = writer.submit(store.add, batch), batch
        if writing is not None:
            writing.result()
            yield written


def _begun(store: RowStore, asked: Asked) -> tuple[list[Row], list[str]]:
    """Rows that are there already; a run that was stopped is neither gone on with nor thrown away unasked."""
    if not store.exists or asked.anew:
        store.begin()
        return [], []
    kept = store.read()
    remarks = []
    if kept.cut_off:
        remarks.append(
            f"The end of {store.path.name} was damaged, as a killed run leaves it: {kept.cut_off} bytes were cut "
            f"off, and {len(kept.rows)} cases were whole."
        )
    if kept.rows and not asked.resume:
        message = f"{len(kept.rows)} of these cases are there already, in {store.path}."
        remedy = "Go on with them: --resume. Begin again: --anew."
        raise WhatIfError([Fault("what-if", "", "", message, remedy=remedy)])
    return list(kept.rows), remarks


def _between(text: str, speeds: Array) -> tuple[float, float]:
    """Speeds the torque is summed between; all of them where nothing is said."""
    first, last = float(speeds[0]), float(speeds[-1])
    if not text:
        return first, last
    match = _RANGE.fullmatch(text)
    if match is None:
        raise _refuse("between", text, "is no range of speeds.", 'Write "2000 to 6000 rpm".')
    try:
        low, high = (to_si(float(match[end]), "rotational_speed", match["unit"]) for end in ("low", "high"))
    except (UnitError, ValueError) as error:
        raise _refuse("between", text, f"{error}", 'Write "2000 to 6000 rpm".') from error
    if not first * (1.0 - 1e-9) <= low < high <= last * (1.0 + 1e-9):
        here = f"{first * 30.0 / np.pi:.0f} to {last * 30.0 / np.pi:.0f} rpm"
        raise _refuse("between", text, f"does not lie within the speeds that are predicted, {here}.", "")
    return max(low, first), min(high, last)


def _figure(name: str) -> str:
    if name.replace("-", "_") in FIGURES:
        return name.replace("-", "_")
    raise _refuse("rank_by", name, "is no figure of merit.", f"Take one of {', '.join(FIGURES)}.")


def _pressure(text: str, build: Build) -> float | None:
    """A pressure that must be held, absolute [Pa]; None where none is named."""
    if not text:
        return None
    try:
        found = parse_quantity(text, "pressure")
    except UnitError as error:
        raise _refuse("creep_floor", text, f"{error}", 'Write "150 kPa absolute".') from error
    if found.basis == "gauge":
        return found.value_si + build["ambient"].si("pressure")
    if found.basis != "absolute":
        raise _refuse(
            "creep_floor", text, "does not say whether it is absolute or gauge.", f'Write "{text} absolute".'
        )
    return found.value_si


def _numbers(names: Sequence[str], cases: Sequence[Case]) -> tuple[int, ...]:
    """Numbers of the cases that are to lie side by side; with few cases in all, all of them."""
    if not names:
        return tuple(range(len(cases))) if len(cases) <= _MOST_BESIDE else ()
    by_name = {case.name: number for number, case in enumerate(cases)}
    found = []
    for name in (name.strip() for name in names):
        number = int(name) if name.isdigit() else by_name.get(name, -1)
        if not 0 <= number < len(cases):
            raise _refuse(
                "compare", name, "is no case.", f"Name a number from 0 to {len(cases) - 1}, or a case's name."
            )
        found.append(number)
    if not 2 <= len(set(found)) <= _MOST_BESIDE:
        raise _refuse("compare", ", ".join(names), f"names {len(set(found))} cases.", "Name two to five.")
    return tuple(dict.fromkeys(found))


def _predicted(build: Build, case: Case, speeds: Array) -> Prediction:
    these = with_settings(build, case.settings) if case.settings else build
    return predict_build(these, speeds=speeds.tolist(), settings=these.source.settings)


def _known(build: Build, speeds: Array, runner: CaseRunner | None) -> str:
    """What the build's own threshold is worth."""

    def assembled(these: Array, mode: str) -> Problem:
        if runner is not None and (ready := runner.as_it_stands(these)) is not None:
            return ready
        cards = cards_of(build)
        return assemble(build, cards, these, mode, filling_of_known_curve(build, cards, speeds))

    return threshold(build, assembled).message


def _refuse(key: str, value: str, message: str, remedy: str) -> WhatIfError:
    return WhatIfError([Fault("what-if", key, f'"{value}"', message, remedy=remedy)])
