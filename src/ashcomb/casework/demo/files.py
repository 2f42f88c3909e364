"""Writes the demo: the invented outbreak of Orrow Vale as the spreadsheets that a firm would have."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from random import Random

from ashcomb.casework.demo import crew, looks, moves, places, stock, supers
from ashcomb.casework.demo.faults import Planted, planted
from ashcomb.casework.demo.weather import weather
from ashcomb.casework.demo.workbook import Sheet, write_csv, write_workbook

FIRM_APIARIES = len(places.FIRM_YARDS)
FIRM_HIVES = sum(yard.hives for yard in places.FIRM_YARDS)
CASE: dict[str, str | float] = {
    "mark": "OV-2031-01",
    "title": "Orrow Vale, Fennick & Dole",
    "timezone": "Etc/GMT-5",  # five hours ahead of UTC: the sign in this name is turned round
    "index": places.INDEX,
    "infectious_from": "2030-04-10",
    "keeper": places.FIRM,
    "officer": "Nell Varga",
    "authority": "Orrow Vale bee health office",
    "grid_lat": 46.0,
    "grid_lon": 66.5,
}


@dataclass(frozen=True, slots=True)
class DemoFiles:
    """Where the demo was written, in the order in which it is read.

    planted: the faults that were put in on purpose, with sheet and row; empty in the good demo.
    """

    apiaries: Path
    hives: Path
    moves: Path
    inspections: Path
    duties: Path
    weather: Path
    pieces: Path
    planted: tuple[Planted, ...] = ()

    @property
    def all(self) -> tuple[Path, ...]:
        """All seven files."""
        return self.apiaries, self.hives, self.moves, self.inspections, self.duties, self.weather, self.pieces


def write_demo(folder: Path, seed: int = 2031) -> DemoFiles:
    """Writes the demo into `folder` and says where; the same seed gives the same cells.

    The firm Fennick & Dole has 28 apiaries (A01 to A28) and 1,200 hives: the rows of the sheet Hives whose yard belongs
    to the firm. Ada Crome's two hives at H01 come on top of them; the abandoned N01 has no numbered hive.
    """
    return _write(folder, _sheets(seed), ())


def write_faulty_demo(folder: Path, seed: int = 2031) -> DemoFiles:
    """Writes the demo with seven faulty rows more; the good rows are those of `write_demo`."""
    return _write(folder, *planted(_sheets(seed)))


def _sheets(seed: int) -> dict[str, Sheet]:
    def rng(part: str) -> Random:
        return Random(f"{seed}:{part}")

    hives = stock.all_hives(rng("stock"))
    sheets = (
        places.apiaries(rng("places")), places.premises(), places.keepers(), crew.crew(),
        stock.hive_list(rng("hives"), hives), stock.component_list(rng("components")),
        *moves.movement_sheets(rng("moves"), hives),
        looks.inspections(rng("looks"), hives), looks.samples(), looks.results(), looks.milestones(), looks.notices(),
        crew.duties(), weather(rng("weather")),
    )  # fmt: skip
    return {sheet.title: sheet for sheet in sheets}


_BOOKS = {
    "apiaries": ("Apiaries", "Premises", "Keepers", "Crew"),
    "hives": ("Hives", "Components"),
    "moves": ("Moves", "Extraction lots", "Cleanings"),
    "inspections": ("Inspections", "Samples", "Results", "Milestones", "Notices"),
}


def _write(folder: Path, sheets: dict[str, Sheet], faults: tuple[Planted, ...]) -> DemoFiles:
    folder.mkdir(parents=True, exist_ok=True)

    def book(name: str) -> Path:
        return write_workbook(folder / f"orrow-vale-{name}.xlsx", [sheets[title] for title in _BOOKS[name]])

    return DemoFiles(
        book("apiaries"),
        book("hives"),
        book("moves"),
        book("inspections"),
        duties=write_csv(folder / "orrow-vale-night-duties.csv", sheets["Night duties"]),
        weather=write_csv(folder / "orrow-vale-weather.csv", sheets["Weather"]),
        pieces=write_workbook(
            folder / "orrow-vale-pieces.xlsx", [supers.supers(), supers.prices(), supers.insurance()]
        ),
        planted=faults,
    )
