"""Fill the tutorials: run every command that stands in them, in order, and put what it printed below it.

A page is written by hand but for its ``console`` blocks, in which each line that starts with ``$`` is a command; what
stands below it is replaced. All commands of a page run in one empty folder, on a terminal of 118 columns. A comment
just before a block chooses what is shown of long output::

    <!-- show: first 12 -->               its first lines
    <!-- show: from "what binds" 6 -->     six lines from the one that holds these words on
    <!-- show: none -->                    nothing

Several, divided by ``;``, stand one after the other with a line of dots between. ``<!-- files: FOLDER -->`` puts a copy
of a folder of the project into the empty one. Run from the top folder:
``python tools/make_tutorials.py [PAGE ...]``. A test runs the pages again.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / "docs" / "tutorial"
COLUMNS = "118"
_BLOCK = re.compile(
    r"(?P<show><!-- show: (?P<what>.*?) -->\n)?(?P<open>```console\n)(?P<body>.*?)(?P<close>^```$)",
    re.S | re.M,
)
_FILES = re.compile(r"<!-- files: (.+?) -->")
_DOTS = "..."


def pages() -> list[Path]:
    """The tutorials that hold commands with their output, in order."""
    return sorted(page for page in FOLDER.glob("*.md") if "```console" in page.read_text(encoding="utf-8"))


def run(command: str, folder: Path) -> str:
    """What a command prints, errors and all, in a folder of its own."""
    words = shlex.split(command)
    if words[0] != "boostwright":
        raise SystemExit(f"a tutorial runs boostwright and nothing else, not: {command}")
    done = subprocess.run(
        [sys.executable, "-c", "from boostwright.cli.main import run; run()", *words[1:]],
        cwd=folder,
        capture_output=True,
        text=True,
        env={**os.environ, "COLUMNS": COLUMNS, "MPLBACKEND": "Agg", "NO_COLOR": "1"},
    )
    if "Traceback" in done.stderr or done.returncode == 4:
        raise SystemExit(f"{command}\n{done.stderr}")
    return said(done.stdout, done.stderr)


def said(output: str, errors: str) -> str:
    """What of the two streams belongs on the page."""
    kept = output + "".join(line for line in errors.splitlines(keepends=True) if _kept(line))
    return "\n".join(line.rstrip() for line in kept.splitlines())


def _kept(line: str) -> bool:
    """Whether a line of standard error belongs on the page: what hangs on the machine does not."""
    return not line.startswith(("Compiling the solver", "  %"))


def shown(output: str, what: str | None) -> str:
    """The chosen part of an output."""
    lines = output.splitlines()
    if what is None:
        return output
    parts = []
    for one in what.split(";"):
        words = one.strip()
        if words == "none":
            continue
        if match := re.fullmatch(r"first (\d+)", words):
            parts.append(lines[: int(match[1])])
            continue
        match = re.fullmatch(r'from "(.*)" (\d+)', words)
        if match is None:
            raise SystemExit(f'show: {words} is neither first N, nor from "..." N, nor none')
        at = [i for i, line in enumerate(lines) if match[1] in line]
        if not at:
            raise SystemExit(f'no line holds "{match[1]}" in:\n{output}')
        parts.append(lines[at[0] : at[0] + int(match[2])])
    return f"\n{_DOTS}\n".join("\n".join(part) for part in parts)


def filled(text: str, folder: Path) -> str:
    """The page with every block's output as the program prints it today."""

    for source in map(Path, _FILES.findall(text)):
        shutil.copytree(ROOT / source, folder / source.name)
    printed: dict[str, str] = {}

    def output_of(command: str) -> str:
        if command not in printed:  # one that stands there twice is shown twice and run once
            printed[command] = run(command, folder)
        return printed[command]

    def again(match: re.Match[str]) -> str:
        commands = [line for line in match["body"].splitlines() if line.startswith("$ ")]
        body = []
        for command in commands:
            body.append(command)
            output = shown(output_of(command[2:]), match["what"])
            if output:
                body.append(output)
        return (match["show"] or "") + match["open"] + "\n".join(body) + "\n" + match["close"]

    return _BLOCK.sub(again, text)


def main(names: Sequence[str]) -> None:
    """Write the pages named, else all."""
    for page in [Path(name).resolve() for name in names] or pages():
        with tempfile.TemporaryDirectory() as folder:
            page.write_text(filled(page.read_text(encoding="utf-8"), Path(folder)), encoding="utf-8")
        sys.stdout.write(f"{page.relative_to(ROOT)}\n")


if __name__ == "__main__":
    main(sys.argv[1:])
