"""Runs the benchmarks and prints ratio tables: `python bench/run.py [NAME …]`, NAME as in bench_NAME.py.

Every bench_*.py beside this file has `tables()`, which yields `measure.Table`. Ratios below 2 prove nothing on a
shared machine; the spread (slowest by fastest round) says how busy it was.
"""

from __future__ import annotations

import importlib
import os
import platform
import sys
from pathlib import Path

HERE = Path(__file__).parent


def main(names: list[str]) -> int:
    """Prints the tables of the named benchmarks, or of all; returns the exit status."""
    sys.path.insert(0, str(HERE))
    there = sorted(path.stem.removeprefix("bench_") for path in HERE.glob("bench_*.py"))
    unknown = [name for name in names if name not in there]
    if unknown:
        print(f"There is no benchmark {', '.join(unknown)}. There are: {', '.join(there)}.", file=sys.stderr)
        return 2
    from measure import show

    print(f"Python {platform.python_version()}, {platform.machine()}, {os.cpu_count()} cores")
    for name in names or there:
        for table in importlib.import_module(f"bench_{name}").tables():
            print(f"\n{show(table)}", flush=True)
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
