"""Where the answers of a command go: the table to people, JSON, CSV and pictures into the files that were named."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path

__all__ = ["Outputs", "say_compiling", "say_search_compiling"]


def say_compiling(needed: bool, what: str = "solver", wait: str = "a minute or two") -> None:
    """Say what the wait is for, where the solver or another part has to be compiled first."""
    if needed:
        print(
            f"Compiling the {what} for this machine. This happens once after an installation or an update and "
            f"can take {wait}.",
            file=sys.stderr,
            flush=True,
        )


def say_search_compiling() -> None:
    """The same for the search for pulls, which other commands on a log use, too."""
    from boostwright.tasks.find_pulls import search_is_compiled

    say_compiling(not search_is_compiled(), "search for pulls", "ten seconds or more")


class Outputs:
    """The files a command was asked to write, and "-" for JSON on standard output."""

    def __init__(self, csv: Path | None, plot: Path | None, json: str | None) -> None:
        """From the options --csv, --plot and --json; refuses places that cannot be written before any work is done.

        Raises OutputError.
        """
        from boostwright.report.files import check_output_file, check_output_folder

        self._csv, self._plot, self._json = csv, plot, json
        if csv is not None:
            check_output_file(csv, "--csv")
        if json is not None and json != "-":
            check_output_file(Path(json), "--json")
        if plot is not None:
            check_output_folder(plot, "--plot")

    def write(
        self,
        text: str,
        as_json: Callable[[], str],
        as_csv: Callable[[], str],
        as_pictures: Callable[[Path, str], Sequence[Path]],
    ) -> None:
        """The table first, since it is there at once; then the files that were asked for."""
        from boostwright.report.files import write_whole

        print(text, end="", file=sys.stderr if self._json == "-" else sys.stdout, flush=True)
        if self._json == "-":
            print(as_json(), end="")
        elif self._json is not None:
            write_whole(Path(self._json), as_json(), "--json")
            print(f"Written: {self._json}", file=sys.stderr)
        if self._csv is not None:
            write_whole(self._csv, as_csv(), "--csv")
            print(f"Written: {self._csv}", file=sys.stderr)
        if self._plot is not None:
            written = as_pictures(self._plot, "--plot")
            print(f"Written: {len(written)} pictures in {self._plot}", file=sys.stderr)
