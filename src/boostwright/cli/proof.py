"""``boostwright proof``: the program's own physics beside published values."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from boostwright.cli.common import output_width
from boostwright.cli.exit_codes import ExitCode

__all__ = ["proof"]


def proof(
    subjects: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="SUBJECT", help="Subjects to run; all of them where none is named.", show_default=False
        ),
    ] = None,
    json: Annotated[
        str | None,
        typer.Option(
            metavar="FILE",
            help='Write every case as JSON; "-" writes it to standard output and all else to standard error.',
            show_default=False,
        ),
    ] = None,
    docs: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write the proof sheet as a page of the docs.", show_default=False),
    ] = None,
) -> None:
    """Run the physics against published values.

    Prints how many cases there are by status of their source, and the largest deviations.

    Exit code 0: every value lies within its tolerance; 1: at least one does not; 2: an option cannot be used.
    """
    from boostwright.report.files import check_output_file, write_whole

    if json is not None and json != "-":
        check_output_file(Path(json), "--json")
    if docs is not None:
        check_output_file(docs, "--docs")

    from boostwright.report.proof_sheet import proof_json, proof_text
    from boostwright.tasks.prove import prove

    result = prove(subjects or None)
    print(
        proof_text(result, output_width()), end="", file=sys.stderr if json == "-" else sys.stdout, flush=True
    )
    if json == "-":
        print(proof_json(result), end="")
    elif json is not None:
        write_whole(Path(json), proof_json(result), "--json")
        print(f"Written: {json}", file=sys.stderr)
    if docs is not None:
        from boostwright.report.proof_page import proof_page

        write_whole(docs, proof_page(result), "--docs")
        print(f"Written: {docs}", file=sys.stderr)
    if not result.passed:
        raise typer.Exit(ExitCode.DEVIATES)
