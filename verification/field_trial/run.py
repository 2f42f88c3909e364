"""Runs the trial and writes its tables.

python -m verification.field_trial.run search FIRST LAST FILE [record] [WAY ...]    appends a row a world, as JSON
                                                                        lines. record: worlds where all that spreads it
                                                                        is on record.  WAY: see `trial.ALL`; else all
python -m verification.field_trial.run calibration FIRST LAST KIND FILE        kind: see `reliability.engine`
python -m verification.field_trial.run write DIRECTORY                   tables and plot in docs/, from search*.jsonl,
                                                                        record*.jsonl, and KIND*.jsonl
"""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path

import numpy as np
from verification.field_trial.habits import HABITS
from verification.field_trial.laws import ON_RECORD, TRIAL
from verification.field_trial.plot import draw_reliability
from verification.field_trial.reliability import Given, bands, engine, given, skill, skill_between
from verification.field_trial.trial import ALL, Ratio, asked, best_single, ratio, trial

DOCS = Path(__file__).parents[2] / "docs"
WAYS = ("engine", "engine, rates sampled", "engine, fitted", "rule of thumb", "engine, drive not counted", "prophet")
HELD_OUT = 4500  # the delivered background was chosen on outbreaks with lower seeds, and is judged on the others
KINDS = {
    "delivered": "background 1.6e-5 a day, as delivered", "background=4e-6": "4e-6, delivered before",
    "background=2.5e-5": "2.5e-5", "background=4e-5": "4e-5", "background-sampled": "drawn from 1e-6 to 1.6e-4",
    "sampled": "so too, and touching, apiary and robbing drawn over their ranges",
}  # fmt: skip


def main(words: list[str]) -> None:
    """The three commands above."""
    match words:
        case ["search", first, last, file, *more]:
            with Path(file).open("a") as out:
                record = more[:1] == ["record"]
                ways = more[record:] or (ALL[:4] if record else ALL)
                for seed in range(int(first), int(last)):
                    if chosen := asked(seed, ways):
                        out.write(json.dumps(trial(seed, chosen, ON_RECORD if record else TRIAL)) + "\n")
                        out.flush()
        case ["calibration", first, last, kind, file]:
            with Path(file).open("a") as out:
                for seed in range(int(first), int(last)):
                    found = given(seed, engine(kind))
                    row = {"seed": seed, "p": found.chance.round(4).tolist(), "y": found.infected.astype(int).tolist()}
                    out.write(json.dumps(row) + "\n")
                    out.flush()
        case ["write", directory]:
            write(Path(directory))
        case _:
            print(__doc__)


def rows(directory: Path, name: str) -> list[dict]:
    """All rows of files with a name like that, in order of seed, each seed once; later ways are added to earlier."""
    found: dict[int, dict] = {}
    for row in [json.loads(line) for file in sorted(directory.glob(name)) for line in file.read_text().splitlines()]:
        before = found.setdefault(row["seed"], {})
        found[row["seed"]] = {**before, **row, **{order: {**before.get(order, {}), **row[order]}
                                                  for order in ("one-shot", "renewed") if order in row}}  # fmt: skip
    return [found[seed] for seed in sorted(found)]


def write(directory: Path) -> None:
    """Puts the tables into the pages, between their marks, and draws the plot."""
    searches = rows(directory, "search*.jsonl")
    if searches:
        _put(DOCS / "trial.md", "ratios", ratio_table(searches))
        _put(DOCS / "trial.md", "limits", limit_table(searches))
        _put(DOCS / "trial.md", "worlds", worlds(searches))
    on_record = rows(directory, "record*.jsonl")
    if on_record:
        _put(DOCS / "trial.md", "ratios on record", ratio_table(on_record))
        _put(DOCS / "trial.md", "worlds on record", worlds(on_record))
    every = {kind: read_back(rows(directory, f"{kind}*.jsonl")) for kind in KINDS}
    late = {kind: [g for g in found if g.seed >= HELD_OUT] for kind, found in every.items()}
    for shown, mark in ((late["delivered"], ""), (every["sampled"], " sampled")):
        if shown:
            _put(DOCS / "calibration.md", f"bands{mark}", band_table(shown))
            _put(DOCS / "calibration.md", f"skill{mark}", skill_table(shown))
    if late["delivered"]:
        early = {kind: [g for g in found if g.seed < HELD_OUT] for kind, found in every.items()}
        _put(DOCS / "calibration.md", "kinds chosen on", kinds_table(early))
        _put(DOCS / "calibration.md", "kinds", kinds_table(late))
        drawn = draw_reliability(bands(late["delivered"]), len(late["delivered"]))
        (DOCS / "calibration.svg").write_text(drawn)


def read_back(found: list[dict]) -> list[Given]:
    """What `calibration` wrote, as it was."""
    return [Given(row["seed"], np.array(row["p"]), np.array(row["y"], dtype=bool)) for row in found]


def _put(page: Path, mark: str, table: str) -> None:
    begins, ends = f"<!-- {mark} -->", f"<!-- end {mark} -->"
    text = page.read_text()
    inside = re.compile(re.escape(begins) + ".*?" + re.escape(ends), re.DOTALL)
    if not inside.search(text):
        raise SystemExit(f"{page} has no place for the table {mark}.")
    page.write_text(inside.sub(lambda _: f"{begins}\n{table}\n{ends}", text))


def _shown(found: Ratio) -> str:
    return f"{found.median:.2f} ({found.between[0]:.2f}–{found.between[1]:.2f})"


def ratio_table(searches: list[dict]) -> str:
    """Median ratios with intervals, one-shot and renewed apart."""
    lines = ["| order | until | way | to the best habit of each outbreak, in hindsight | to the best single habit "
             "| outbreaks |", "|---|---|---|---|---|---|"]  # fmt: skip
    for order in ("one-shot", "renewed"):
        for share, name in enumerate(("80 %", "95 %")):
            single = best_single(searches, order, share)
            for way in WAYS:
                if any(way in row[order] for row in searches):
                    best, one = ratio(searches, order, way, share), ratio(searches, order, way, share, single)
                    lines.append(f"| {order} | {name} | {way} | {_shown(best)} | {_shown(one)}, {single} | {best.n} |")
    return "\n".join(lines)


def limit_table(searches: list[dict]) -> str:
    """The same with the true record, and with the true record and laws, on the outbreaks where these were run."""
    some = [row for row in searches if "true record" in row["renewed"]]
    if not some:
        return "Not run."
    lines = ["| the engine is given | until 80 % | until 95 % | outbreaks |", "|---|---|---|---|"]
    names = {"engine": "the record as the officer has it", "true record": "every contact, move, look and true date",
             "true record and laws": "that, with the true rates, laws and chances of a look"}  # fmt: skip
    for way, said in names.items():
        found = [ratio(some, "renewed", way, share) for share in (0, 1)]
        lines.append(f"| {said} | {_shown(found[0])} | {_shown(found[1])} | {found[0].n} |")
    return "\n".join(lines)


def worlds(searches: list[dict]) -> str:
    """What the worlds were like, and what the work was in the ways that searched all of them."""
    middle = {key: np.median([row[key] for row in searches])
              for key in ("hives", "apiaries", "signs", "apiaries with signs")}  # fmt: skip
    lines = [f"{len(searches)} outbreaks. Medians: {middle['hives']:.0f} hives in {middle['apiaries']:.0f} apiaries, "
             f"{middle['signs']:.0f} with visible signs beside the first case, in {middle['apiaries with signs']:.0f} "
             "apiaries.", "", "| median work until 80 % / 95 % | one-shot | renewed |", "|---|---|---|"]  # fmt: skip
    for way in [way for way in (*HABITS, *WAYS[:4]) if all(way in row["renewed"] for row in searches)]:
        cells = [" / ".join(f"{np.nanmedian([row[order][way][k] for row in searches]):.0f}" for k in (0, 1))
                 for order in ("one-shot", "renewed")]  # fmt: skip
        lines.append(f"| {way} | {cells[0]} | {cells[1]} |")
    return "\n".join(lines)


def band_table(every: list[Given]) -> str:
    """The table by bands."""
    lines = [
        "| chance given | hives | mean given | infected in truth | 95 % interval | within |",
        "|---|---|---|---|---|---|",
    ]
    for band in bands(every):
        ends = f"{band.between[0]:.1%} to {band.between[1]:.1%}"
        given_between, said = f"{band.low:.1%} to {band.high:.1%}", "yes" if band.true else "no"
        lines.append(f"| {given_between} | {band.hives} | {band.mean:.2%} | {band.share:.2%} | {ends} | {said} |")
    return "\n".join(lines)


def skill_table(every: list[Given]) -> str:
    """The skill in words."""
    found = skill(every)
    return "\n".join([
        f"- {len(every)} outbreaks, {sum(len(g.chance) for g in every)} hives, {found.base:.2%} of them infected.",
        f"- Brier skill against that base rate: {found.brier:.3f}; logarithmic skill: {found.log:.3f}; that is "
        f"{found.gain:.2f} bits for each infected hive (0: no better than the base rate).",
        f"- The engine expects {found.expected:.2f} infected hives for each that is.",
        f"- The tenth of the hives with the highest chance holds {found.top:.0%} of the infected ones.",
    ])  # fmt: skip


def kinds_table(every: dict[str, list[Given]]) -> str:
    """Kinds of rates side by side, each also against the delivered ones on the outbreaks that both had."""
    lines = [
        "| rates | outbreaks | expects infected hives for each that is | logarithmic skill "
        "| less that of the delivered | Brier skill | bands within |",
        "|---|---|---|---|---|---|---|",
    ]
    for kind, words in KINDS.items():
        usual = {g.seed: g for g in every["delivered"]}
        both = [g for g in every[kind] if g.seed in usual]
        if not both:
            continue
        said, (low, high), table = skill(both), skill_between(both), bands(both)
        less, more = skill_between(both, [usual[g.seed] for g in both])
        above = "" if kind == "delivered" else f"{less.log:+.3f} to {more.log:+.3f}"
        lines.append(
            f"| {words} | {len(both)} | {said.expected:.2f} ({low.expected:.2f} to {high.expected:.2f}) "
            f"| {said.log:.3f} ({low.log:.3f} to {high.log:.3f}) | {above} "
            f"| {said.brier:.3f} ({low.brier:.3f} to {high.brier:.3f}) | {sum(b.true for b in table)} of {len(table)} |"
        )
    return "\n".join(lines)


if __name__ == "__main__":
    main(sys.argv[1:])
