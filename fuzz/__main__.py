"""``python -m fuzz text 3600``: throw broken logs at one importer for some seconds, from the project's top folder.

With ``atheris`` installed the fuzzer follows which branches of the reading code were met; without it inputs are
mutated blindly. An input that fails is kept in ``fuzz/found`` and named; run it again with ``--again FILE``.
"""

from __future__ import annotations

import argparse
import faulthandler
import hashlib
import random
import resource
import sys
import time
from pathlib import Path

from fuzz.mutate import mutated

FOUND = Path(__file__).resolve().parent / "found"
SLOW = 20.0  # s for one input, beyond which it counts as hung
MEMORY = 1_000_000_000  # bytes


def kept(data: bytes, target: str) -> Path:
    """Where a failing input lies from now on."""
    FOUND.mkdir(exist_ok=True)
    path = FOUND / f"{target}-{hashlib.sha256(data).hexdigest()[:12]}"
    path.write_bytes(data)
    return path


def blindly(target: str, seconds: float, seed: int) -> int:
    """Mutated inputs one after the other; the number of those that failed."""
    from fuzz.targets import SEEDS, TARGETS

    run, seeds = TARGETS[target], SEEDS[target]()
    begin, count, failed, slowest = time.monotonic(), 0, 0, 0.0
    while time.monotonic() - begin < seconds:
        data = mutated(seeds, seed + count)
        count += 1
        started = time.process_time()
        now = kept(data, target)  # before the run: one that hangs ends the process
        faulthandler.dump_traceback_later(SLOW, exit=True)
        try:
            run(data)
        except Exception as reason:
            failed += 1
            print(f"{now}: {type(reason).__name__}: {reason}", flush=True)
        else:
            now.unlink()
        faulthandler.cancel_dump_traceback_later()
        slowest = max(slowest, time.process_time() - started)
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{target}: {count} inputs, {failed} failed, slowest {slowest:.2f} s, most memory {most:.0f} MB")
    return failed


def guided(target: str, seconds: float, slow: float) -> None:
    """The same by atheris, which ends the process by itself."""
    import atheris

    import boostwright.numerics.delimited  # what is compiled must not be followed
    import boostwright.numerics.min_max  # noqa: F401

    with atheris.instrument_imports(include=["boostwright.logs", "boostwright.units"]):
        from fuzz.targets import SEEDS, TARGETS
    corpus = FOUND.parent / "corpus" / target
    corpus.mkdir(parents=True, exist_ok=True)
    for data in SEEDS[target]():
        (corpus / hashlib.sha256(data).hexdigest()[:16]).write_bytes(data)
    FOUND.mkdir(exist_ok=True)
    limits = [
        f"-max_total_time={seconds:.0f}",
        f"-timeout={slow:.0f}",
        "-rss_limit_mb=2048",
        "-print_final_stats=1",
    ]
    atheris.Setup(
        ["fuzz", str(corpus), f"-artifact_prefix={FOUND}/{target}-", "-max_len=60000", *limits],
        TARGETS[target],
    )
    atheris.Fuzz()


def main() -> None:
    """Run one target."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("target", choices=("text", "mdf", "database", "answers"))
    parser.add_argument("seconds", type=float, nargs="?", default=60.0)
    parser.add_argument("--again", type=Path, help="one kept input")
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(1 << 40))
    parser.add_argument(
        "--slow", type=float, default=SLOW, help="s by the clock for one input; more on a busy machine"
    )
    parser.add_argument("--blind", action="store_true", help="without atheris")
    arguments = parser.parse_args()
    if arguments.again:
        from fuzz.targets import TARGETS

        TARGETS[arguments.target](arguments.again.read_bytes())
        return
    try:
        if arguments.blind:
            raise ImportError
        guided(arguments.target, arguments.seconds, arguments.slow)
    except ImportError:
        sys.exit(1 if blindly(arguments.target, arguments.seconds, arguments.seed) else 0)


if __name__ == "__main__":
    main()
