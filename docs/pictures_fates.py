"""Makes the pictures of docs/fates.md from the demo: `python docs/pictures_fates.py DEMO`.

DEMO is a folder that `ashcomb demo DEMO` made. It is copied; in the copy the fourteen hives are burned three days
later, their metal goes into the hold store, and one frame and one excluder are lost. Needs pdftoppm (poppler-utils).
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from ashcomb.casework.case import DEMO_CLOCK, Case, open_case
from ashcomb.casework.hand import fixed_hand
from ashcomb.casework.pieces import mass_balance
from ashcomb.casework.recording import record_text
from ashcomb.kernel.time import from_utc_ms
from ashcomb.papers.write import write_papers

HERE = Path(__file__).parent
BEFORE = {"fate": 1, "prepare": 1, "consignment": 1, "labels": 1}  # paper: page that is shown
AFTER = {"balance": 1, "stocktake": 1, "claim": 1}
STORE, BURNED = "HH", "2031-05-17T12:00:00+05:00"


def main(demo: Path) -> None:
    """Writes every picture beside this script."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "case"
        shutil.copytree(demo, copy)
        _pictures(copy, BEFORE)
        (copy / DEMO_CLOCK).write_text(BURNED)
        with open_case(copy, fixed_hand("NV", from_utc_ms(0)), write=True) as case:
            _burn(case)
        _pictures(copy, AFTER)


def _burn(case: Case) -> None:
    lines = [line for line in mass_balance(case).lines if line.missing]
    metal = [line for line in lines if line.component == "excluder"]
    strayed, unseen = metal[-1], metal[-2]
    for line in lines:
        short = int(line.component == "frame" and line.owner == metal[0].owner)
        what = [f"hive={line.owner}", f"component={line.component}"]
        burned = f"count={line.missing - short}"
        if line not in metal:
            record_text(case, "burn", [*what, burned, "pit=P1"])
        elif line is not strayed:
            record_text(
                case, "hold", [*what, burned, "direction=in", f"store={STORE}", "spot=shelf 2", "bee_proof=yes"]
            )
            counted = f"count={0 if line is unseen else line.missing}"
            record_text(case, "stock_take", [*what, counted, f"store={STORE}", "person=RF"])


def _pictures(folder: Path, wanted: dict[str, int]) -> None:
    with open_case(folder, fixed_hand("NV", from_utc_ms(0))) as case:
        files = write_papers(case, folder / "shown", names=tuple(wanted))
    for (name, page), file in zip(wanted.items(), files, strict=True):
        target = HERE / f"fates-{name}"
        subprocess.run(
            ["pdftoppm", "-r", "72", "-gray", "-png", "-f", str(page), "-singlefile", file, target], check=True
        )


if __name__ == "__main__":
    main(Path(sys.argv[1]))
