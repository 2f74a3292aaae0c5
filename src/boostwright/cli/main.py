"""The entry point: the list of commands, and the one place where errors turn into messages and exit codes.

Nothing here or in the command files imports a task, numpy or a plotting library before the command runs, so
that help and completion stay instant.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence
from typing import Annotated

import typer

from boostwright import __version__
from boostwright.cli.align import align
from boostwright.cli.check import check
from boostwright.cli.derive import derive
from boostwright.cli.digitise import digitise
from boostwright.cli.exit_codes import ExitCode
from boostwright.cli.import_logs import import_logs
from boostwright.cli.new import new
from boostwright.cli.plan import plan
from boostwright.cli.predict import predict
from boostwright.cli.proof import proof
from boostwright.cli.pulls import pulls
from boostwright.cli.sensors import sensors
from boostwright.cli.serve import serve
from boostwright.cli.simulate import simulate
from boostwright.cli.whatif import whatif
from boostwright.errors import BoostwrightError

__all__ = ["TRACEBACK_VARIABLE", "app", "main", "run"]

TRACEBACK_VARIABLE = "BOOSTWRIGHT_TRACEBACK"
"""Environment variable that, set to anything, shows the traceback of an internal error."""

_LONGEST_MESSAGE = 160

# no markup: the styled help of the command-line library doubles the time `--help` takes
app = typer.Typer(
    name="boostwright",
    help="Plan a one-off turbocharged engine conversion on one physical model: one folder holds one build.",
    epilog=f"An error inside the program is one line; set {TRACEBACK_VARIABLE}=1 to see where it came from.",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    no_args_is_help=True,
    context_settings={"help_option_names": ["-h", "--help"]},
)
for _command in (new, check, predict, plan, whatif, serve, digitise, proof):
    app.command()(_command)
app.command("import")(import_logs)
app.command()(simulate)
app.command()(align)
app.command()(sensors)
app.command()(pulls)
app.command()(derive)


def _print_version(wanted: bool) -> None:
    if wanted:
        print(f"boostwright {__version__}")
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool,
        typer.Option("--version", help="Print the version and stop.", callback=_print_version, is_eager=True),
    ] = False,
) -> None:
    """Options that stand before the command; the help text stands at the top of this file."""


def _report_internal_error(error: Exception) -> None:
    if os.environ.get(TRACEBACK_VARIABLE):
        import traceback

        traceback.print_exc()
        return
    import textwrap

    text = textwrap.shorten(str(error) or "no message", _LONGEST_MESSAGE, placeholder=" ...")
    print(
        f"boostwright: an error inside the program, not in your input: {type(error).__name__}: {text}\n"
        f"  No input was changed. To see where it came from, run again with {TRACEBACK_VARIABLE}=1 set.",
        file=sys.stderr,
    )


def main(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code; every message of an error goes to standard error.

    arguments  what stands behind the program's name
    """
    try:
        app(args=list(arguments), prog_name="boostwright")
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else int(ExitCode.DONE)
    except BoostwrightError as error:
        print(f"boostwright: {error}", file=sys.stderr)
        return ExitCode.BAD_INPUT
    except Exception as error:  # noqa: BLE001  the last line of defence: nobody but a developer reads a traceback
        _report_internal_error(error)
        return ExitCode.INTERNAL
    return ExitCode.DONE


def _flush() -> None:
    """Empty the buffers; a reader that went away (``| head``) is no error of ours."""
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except BrokenPipeError:
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def run() -> None:
    """What the installed command calls."""
    # a command lives for a second, most of it spent importing; the collector would walk all of that a dozen times
    # and free nothing. A command that stays has to switch it on again.
    gc.disable()
    # matrices here are small; a thread more of the algebra library brings nothing and spins a tenth of a second of
    # processor time away in every process, beside the browser of `serve` among others. Read when numpy is imported.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for stream in (sys.stdout, sys.stderr):
        # a name with an accent must not stop a prediction on a terminal that knows only ASCII
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    code = main(sys.argv[1:])
    _flush()
    sys.exit(code)
