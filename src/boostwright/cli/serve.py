"""``boostwright serve``: the page in the browser, on this machine only."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from boostwright.cli.common import BUILD_FILE, build_folder

__all__ = ["serve"]

_NOT_LISTED = ("cards", "node_modules", "site-packages", "__pycache__")  # as tasks/builds_here.py has it


def serve(
    build: Annotated[
        Path | None,
        typer.Argument(
            metavar="[BUILD]",
            help="Folder of the build; without it the page lists the builds below this folder.",
            show_default=False,
        ),
    ] = None,
    port: Annotated[int, typer.Option(min=0, max=65535, help="Port to serve on; 0 takes a free one.")] = 0,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Only print the link; open no browser.")
    ] = False,
) -> None:
    """Decide in the browser: the build as a form, and curves that follow while a value is dragged.

    Serves on this machine only (127.0.0.1), needs no network, and prints one link with a secret in it.

    Nothing is written until you save. Stop it with Ctrl-C.

    Exit code 0: stopped; 2: the folder or the port cannot be used.
    """
    from boostwright.web.server import Served

    root, name = _place(build)
    served = Served(root, name, port)

    def ready(link: str) -> None:
        print(f"Open {link}\nStop with Ctrl-C.", flush=True)
        if not no_browser:
            import webbrowser

            webbrowser.open(link)

    served.run(ready)


def _place(build: Path | None) -> tuple[Path, str | None]:
    """Folder that builds are looked for in, and the name of the one that is opened."""
    if build is None:
        return Path.cwd(), None
    from boostwright.errors import BuildError, Fault

    folder = build_folder(build).resolve()
    if not (folder / BUILD_FILE).is_file():
        message = f"has no {BUILD_FILE}."
        remedy = f"Begin one with: boostwright new {folder.name}"
        raise BuildError([Fault(str(build), "", "", message, "a folder with a build.toml", remedy)])
    if (folder / BUILD_FILE).is_symlink():
        message = f"has a {BUILD_FILE} that is a link, and the page follows none."
        raise BuildError(
            [Fault(str(build), "", "", message, "", "Name the folder in which the file itself lies.")]
        )
    here = Path.cwd().resolve()
    if folder == here:
        return folder, "."
    top = here if folder.is_relative_to(here) and len(folder.relative_to(here).parts) <= 3 else folder.parent
    inside = folder.relative_to(top).parts
    if any(part.startswith(".") or part in _NOT_LISTED for part in inside):
        return folder, "."
    return top, "/".join(inside)
