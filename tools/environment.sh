#!/usr/bin/env bash
# Makes .venv if there is none and installs the packages of one lock file and the project itself.
set -euo pipefail
lock=$1
python=.venv/bin/python

suits() { "$1" -c 'import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; }

if ! [ -x "$python" ] || ! suits "$python"; then
    for candidate in python3.11 python3.12 python3.13 python3.14 python3 python; do
        if suits "$candidate"; then
            "$candidate" -m venv --clear .venv
            break
        fi
    done
    if ! [ -x "$python" ]; then
        echo "Python 3.11 or newer with its venv module was not found. Install it (Debian: python3 and python3-venv)" \
             "and run make again." >&2
        exit 1
    fi
fi

if ! [ -x .venv/bin/uv ]; then
    "$python" -m pip install -qq --disable-pip-version-check "uv>=0.5" \
        || echo "uv could not be installed; pip does the same, more slowly." >&2
fi

by_uv() { [ -x .venv/bin/uv ] && .venv/bin/uv pip install --quiet --python "$python" "$@"; }
by_pip() { "$python" -m pip install -qq --disable-pip-version-check "$@"; }

echo "Installing $lock …"
by_uv --require-hashes -r "$lock" || by_pip --require-hashes -r "$lock" || {
    echo "The packages of $lock could not be installed. Is the package registry reachable?" >&2
    exit 1
}
if [ "$lock" = requirements.lock ]; then
    by_uv --no-deps -e . || by_pip --no-deps -e .
fi
