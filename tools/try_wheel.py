"""Install the program as a user does, and open its screen: a fresh environment, the locked packages, the wheel.

Run from the top folder: ``python tools/try_wheel.py``. Nothing of the source is on the path of what is tried: it builds
the wheel, installs it with the locked versions into an environment of its own, copies an example with the installed
command, serves it, and asks for the page and for the build.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
import urllib.request
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
LINK = re.compile(r"(http://127\.0\.0\.1:\d+)/#token=(\S+)")


def run(*command: str | Path, where: Path) -> str:
    """Run a command outside the source; its output."""
    kept = {k: v for k, v in os.environ.items() if k not in ("PYTHONPATH", "VIRTUAL_ENV")}
    done = subprocess.run(
        [str(part) for part in command], cwd=where, env=kept, capture_output=True, text=True
    )
    if done.returncode:
        raise SystemExit(f"{command}\n{done.stdout}{done.stderr}")
    return done.stdout


def got(address: str, token: str = "") -> bytes:
    """What the server answers."""
    request = urllib.request.Request(address, headers={"Authorization": f"Bearer {token}"} if token else {})
    with urllib.request.urlopen(request, timeout=60) as answer:
        data: bytes = answer.read()
        return data


def main() -> None:
    """Build, install, serve, ask."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        pip = [
            sys.executable,
            "-m",
            "pip",
            "wheel",
            "--quiet",
            "--no-deps",
            "--no-build-isolation",
            "--no-index",
        ]
        run(*pip, "--wheel-dir", place, ROOT, where=place)
        (wheel,) = place.glob("*.whl")
        run(sys.executable, "-m", "venv", place / "fresh", where=place)
        python = place / "fresh" / "bin" / "python"
        install = [python, "-m", "pip", "install", "--quiet"]
        run(
            *install,
            "--require-hashes",
            "--only-binary",
            ":all:",
            "-r",
            ROOT / "requirements.lock",
            where=place,
        )
        run(*install, "--no-deps", "--no-index", wheel, where=place)
        program = place / "fresh" / "bin" / "boostwright"
        run(program, "new", "my-car", "--example", "hill-climb-estate", where=place)
        command = [str(program), "serve", "my-car", "--no-browser"]
        server = subprocess.Popen(command, cwd=place, stdout=subprocess.PIPE, text=True)
        try:
            assert server.stdout is not None
            found = LINK.search(server.stdout.readline())
            if found is None:
                raise SystemExit("the installed program printed no link")
            address, token = found.groups()
            page = got(f"{address}/")
            sizes = {name: len(got(f"{address}/{name}")) for name in ("app.js", "app.css")}
            build = got(f"{address}/api/build", token)
        finally:
            server.terminate()
            server.communicate(timeout=30)
        if b"app.js" not in page or b"sections" not in build:
            raise SystemExit("the installed program serves no page, or no build")
    sys.stdout.write(f"{wheel.name} in a fresh environment serves its page ({sizes}) and a new build.\n")


if __name__ == "__main__":
    main()
