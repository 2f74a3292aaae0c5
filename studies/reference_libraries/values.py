"""Values of general-purpose libraries that the proof compares with: writes proof/cases/reference_libraries.toml.

None of the values calls this project. Run it as ``python -m studies.reference_libraries.values`` in an environment that
has the libraries of README.md.
"""

from __future__ import annotations

from pathlib import Path

from studies.reference_libraries.elsewhere import ELSEWHERE
from studies.reference_libraries.in_the_lock import IN_THE_LOCK
from studies.reference_libraries.value import entry

CASES = Path(__file__).resolve().parents[2] / "src" / "boostwright" / "proof" / "cases"
HEAD = """# Values of general-purpose libraries beside ours. Made by studies/reference_libraries/values.py.
# Inputs are SI numbers or text with a unit; expected and tolerance stand in `unit` ("" is a pure number or SI).
"""

if __name__ == "__main__":
    values = [value for part in (*IN_THE_LOCK, *ELSEWHERE) for value in part()]
    text = HEAD + "".join(entry(value) for value in values)
    (CASES / "reference_libraries.toml").write_text(text, encoding="utf-8", newline="\n")
