"""Draws the pictures of docs/night-fire-pit.md: `python docs/pictures_fire.py DEMO`, DEMO made by `ashcomb demo`.

The night, the pit and the burn day of the invented demo under three code profiles, beside one another. The demo itself
is only copied; each copy gets another profile. Needs Chromium, as the tests of pages do.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from collections.abc import Sequence
from datetime import UTC, datetime, time
from html import escape
from pathlib import Path

from playwright.sync_api import sync_playwright

from ashcomb.casework.case import DEMO_CLOCK, STORE_FILE, Case, choose_profile, open_case
from ashcomb.casework.fires import BurnAsk, Site, burn_report, burning, pit
from ashcomb.casework.hand import Hand, fixed_hand
from ashcomb.casework.nights import NightAsk, tonight
from ashcomb.casework.sites import DrawAsk, chosen_order, drawing, pit_pictures
from ashcomb.plans.pit import PitOrder
from ashcomb.science.cautions import DIGGING, FIRE, FUEL, NIGHT
from ashcomb.sources.profile import load_profile

PROFILES = ("nz", "england", "california")
GROUND = Site(well_m=120.0, watercourse_m=20.0, field_drain_m=12.0, building_m=12.0, dry_m=2.2, slope_percent=1.0,
              services_searched=True)  # fmt: skip
HERE = Path(__file__).parent
WIDE = 420  # of one column, in pixels
CHROMIUM = shutil.which("chromium") or "chromium"
FLAGS = ["--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking"]
STYLE = f"""body {{ margin: 0; padding: 8px; display: grid; grid-template-columns: repeat(3, {WIDE}px); gap: 12px;
  font: 11.5px/1.35 sans-serif; background: #fff; color: #000; align-items: start; }}
footer {{ grid-column: 1 / -1; border-top: 2px solid #000; }}
section {{ border: 1px solid #000; padding: 6px; }} svg {{ width: 100%; height: auto; }}
h1 {{ font-size: 15px; margin: 0; }} h2 {{ font-size: 13px; margin: 8px 0 2px; border-bottom: 1px solid #000; }}
p {{ margin: 2px 0; }} table {{ border-collapse: collapse; }} td {{ vertical-align: top; padding: 1px 8px 1px 0; }}"""
UNCHECKED = "Invented yard; profiles are collections of citations that no authority has checked: never for real hives."
SHOWN = ("Reasons", "Fire danger and smoke", "Clearance", "Store plan instead of the fire", "Latest day")


def main(demo: Path) -> None:
    """Writes night-profiles.png, pit-profiles.png and burnday-profiles.png beside this file."""
    columns: dict[str, list[str]] = {"night": [], "pit": [], "burnday": []}
    with tempfile.TemporaryDirectory() as room:
        for name in PROFILES:
            folder = Path(room) / name
            folder.mkdir()
            for file in (STORE_FILE, DEMO_CLOCK):
                shutil.copy(demo / file, folder / file)
            with open_case(folder, _hand(), write=True) as case:
                choose_profile(case, name, "to show where profiles differ")
                for what, column in columns.items():
                    head = f"<h1>{escape(load_profile(name).name)}</h1>"
                    column.append(f"<section>{head}{_DRAWN[what][0](case)}</section>")
    _photograph(columns)


def _hand() -> Hand:
    return fixed_hand("NV", datetime(2031, 5, 14, 11, tzinfo=UTC))


def _night(case: Case) -> str:
    ask = NightAsk(agent="petrol", teams=2)
    plan = tonight(case, ask)
    unmet = [f"{gate.name.upper()}: {gate.why}" for gate in plan.unmet]
    said = _lines("Not met", unmet) + _lines("Fuel", [plan.fuel.words] if plan.fuel else [])
    return drawing(case, "night", DrawAsk(night=ask)) + said


def _pit(case: Case) -> str:
    order = chosen_order(case, PitOrder(hives=(), length_m=0, width_m=0, depth_m=0, site=GROUND))
    if order is None:
        return "<p>No pit fits.</p>"
    return pit_pictures(case, order) + _lines(
        "Check on the ground", pit(case, order).warnings or ["Nothing is too near."]
    )


def _burnday(case: Case) -> str:
    report = burn_report(burning(case, BurnAsk(begins=time(18), ends=time(22))))
    parts = [f"<p><b>{escape(report.title)}</b></p>"]
    for section in report.sections:
        if section.heading in SHOWN:
            rows = section.table.rows if section.table else ()
            cells = "".join(f"<tr>{''.join(f'<td>{escape(cell)}</td>' for cell in row)}</tr>" for row in rows)
            parts.append(f"{_lines(section.heading, section.lines)}<table>{cells}</table>")
    return "".join(parts)


def _lines(heading: str, lines: Sequence[str]) -> str:
    return f"<h2>{escape(heading)}</h2>{''.join(f'<p>{escape(line)}</p>' for line in lines)}"


_DRAWN = {"night": (_night, (NIGHT, FUEL)), "pit": (_pit, (DIGGING, FIRE)), "burnday": (_burnday, (FIRE, FUEL))}


def _photograph(columns: dict[str, list[str]]) -> None:
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = browser.new_page(viewport={"width": 3 * WIDE + 40, "height": 400})
        for what, column in columns.items():
            # ids of hatches repeat between columns with the same content, which draws the same
            words = " ".join((UNCHECKED, *_DRAWN[what][1]))
            page.set_content(f"<!doctype html><style>{STYLE}</style>{''.join(column)}<footer>{escape(words)}</footer>")
            file = HERE / f"{what}-profiles.png"
            page.screenshot(path=str(file), full_page=True)
            print(file.name, file.stat().st_size // 1000, "kB")
        browser.close()


if __name__ == "__main__":
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    main(Path(sys.argv[1]))
