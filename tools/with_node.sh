#!/bin/sh
# Run a command with Node (20.19 or newer) and npm on the path: the machine's own, else one that pip installs into .venv.
# Only who changes frontend/ needs it, and the check that the committed files are what the source builds.
set -eu
top=$(cd "$(dirname "$0")/.." && pwd)
new_enough='const [a, b] = process.versions.node.split(".").map(Number); process.exit(a > 20 || (a === 20 && b >= 19) ? 0 : 1)'
if ! { command -v npm >/dev/null 2>&1 && node -e "$new_enough" >/dev/null 2>&1; }; then
  if ! [ -e "$top/.venv/bin/npm" ]; then
    echo "No Node 20.19 or newer here: installing one into .venv ..."
    "$top/.venv/bin/python" -m pip install --quiet --require-hashes --only-binary :all: -r "$top/requirements-node.lock"
  fi
  PATH="$top/.venv/bin:$PATH"; export PATH
fi
exec "$@"
