"""Writes what people read about the profiles: docs/profiles.md and the blank profile.

`python -m ashcomb.sources.tables docs` writes them anew after a change of the data files.
"""

from __future__ import annotations

import sys
from importlib import resources
from pathlib import Path

from ashcomb.sources.library import profile_keys
from ashcomb.sources.model import Sourced
from ashcomb.sources.profile import CLOCK_EVENTS, CLOCK_UNITS, PERMISSIONS, load_profile, profile_ids
from ashcomb.sources.rules import ClockRule, CodeProfile

REMAKE = "<!-- Written by `python -m ashcomb.sources.tables docs`; change the data files, not this page. -->"


def profiles_page() -> str:
    """Side by side: what the shipped profiles say, as Markdown; numbers that only fill a gap stand in brackets."""
    shown = [load_profile(name) for name in profile_ids() if name != "blank"]
    head = ["", *(p.id for p in shown)]
    numbers = [[f"`{key}` [{entry['unit']}]", *(_number(p, key) for p in shown)] for key, entry in _value_keys()]
    clocks = [[f"`{key}`", *(_clock(p.clock(key)) for p in shown)] for key in profile_keys()["clocks"]]
    agents = [[agent, *(p.agents.get(agent, "–") for p in shown)] for agent in profile_keys()["agents"]]
    lines = [
        "# Code profiles side by side",
        REMAKE,
        "A profile is a collection of citations, not legal advice. It stays unconfirmed until an officer confirms\n"
        "it by name in a case. Where a place sets nothing that was found, a cautious stand-in may fill the gap: it\n"
        "stands in brackets. A dash: nothing set and nothing filled in. A star: from memory. Orrow Vale is invented.",
        "## Numbers on which places disagree",
        _table(head, [row for row in numbers if _disagree(row[1:])]),
        "## Numbers that no shipped profile disputes",
        _table(head, [row for row in numbers if not _disagree(row[1:])]),
        "## Time limits",
        _table(head, clocks),
        "## Agents",
        _table(head, agents),
        "## Fate of components",
        *(_fate(profile) for profile in shown),
        "## Citations",
        *(_citations(profile) for profile in shown),
    ]
    return "\n\n".join(lines) + "\n"


def blank_profile() -> str:
    """The text of the blank profile: sets nothing, and names every key with its unit and what it drives."""
    known = profile_keys()
    lines = [
        "# Blank code profile. Copy it to profiles/yourplace.toml in the case folder; take the # off what you fill in.",
        "# It sets no number. Every number, clock and rule needs a status: published or derived (both with source and",
        "# place), common practice, project choice or from memory. Sources of your own go under [sources].",
        "",
        "[profile]",
        'name = "Blank"',
        'checked_on = ""         # day on which you compared it with the law, like 2031-05-06',
        'checked_by = ""         # who did',
        "fill_gaps = false       # true: cautious stand-ins fill what you leave out, and are shown as such",
        'working_day_ends = "24:00"',
        "rest_days = [5, 6]      # weekdays without work, Monday is 0",
        'holiday_region = ""     # NZ, DE, US-CA …: public holidays rest; holidays = ["2031-05-06"] adds others',
        'note = "Nothing is set."',
        "",
        "[sources]",
        '# my-law = { title = "", authors = "", year = "", locator = "", seen = "whole" }',
        "",
        "[values]",
    ]
    for key, entry in known["values"].items():
        tail = f'unit = "{entry["unit"]}", source = "my-law", place = "", status = "published", reason = ""'
        lines += [f"# {entry['drives']} Unit: {entry['unit']}", f"# {key} = {{ value = , low = , high = , {tail} }}"]
    lines += [
        "",
        "[clocks]",
        f"# unit: {', '.join(CLOCK_UNITS)}. starts: {', '.join(CLOCK_EVENTS)}. meaning: due or earliest.",
        "# until closes a window; slides = true moves a rest day to the next working day; amount = 0 means at once.",
    ]
    clock = (
        'title = "", starts = "", amount = , unit = "", meaning = "", text = "", source = "", place = "", status = ""'
    )
    for key, drives in known["clocks"].items():
        lines += [f"# {drives}", f"# {key} = {{ {clock} }}"]
    lines += ["", "[rules]", "# A rule or clock of another name is printed, but no plan waits for it."]
    for key, drives in known["rules"].items():
        lines += [f"# {drives}", f'# {key} = {{ text = "", source = "", place = "", status = "" }}']
    leave = ", ".join(PERMISSIONS)
    lines += ["", "[agents]", f"# {leave}. An agent that is not named is not offered."]
    lines += [f'# "{agent}" = ""' for agent in known["agents"]]
    lines += ["", "[fate]", f"# {leave}. What is not stated needs leave. Methods: {', '.join(known['methods'])}."]
    lines += [f'# {part} = {{ burn = "" }}' for part in known["components"]]
    return "\n".join(lines) + "\n"


def _value_keys() -> list[tuple[str, dict[str, str]]]:
    return list(profile_keys()["values"].items())


def _number(profile: CodeProfile, key: str) -> str:
    value: Sourced | None = profile.optional(key)
    if value is None:
        return "–"
    text = f"{value.value:g}" + ("*" if value.status == "from memory" else "")
    return f"({text})" if key in profile.filled else text


def _disagree(cells: list[str]) -> bool:
    return len({cell.strip("*") for cell in cells if cell[0] not in "(–"}) > 1


def _clock(clock: ClockRule | None) -> str:
    if clock is None:
        return "–"
    until = f" to {clock.until}" if clock.until else ""
    span = f"{clock.amount}{until} {clock.unit}" if clock.amount else "at once"
    return f"{clock.meaning}: {span} from {clock.starts}" + ("*" if clock.status == "from memory" else "")


def _fate(profile: CodeProfile) -> str:
    parts, methods = profile_keys()["components"], profile_keys()["methods"]
    rows = [[part, *(profile.permission(part, method) for method in methods)] for part in parts]
    return f"### {profile.name}\n\n{_table(['', *methods], rows)}"


def _citations(profile: CodeProfile) -> str:
    own = [value for key, value in profile.values.items() if key not in profile.filled]
    lines = [f"- `{v.key}` = {v.value:g} {v.unit}: {_origin(v.source, v.place, v.status)}. {v.reason}" for v in own]
    lines += [f"- {c.title}: {_origin(c.source, c.place, c.status)}. {c.text}" for c in profile.clocks]
    lines += [f"- `{r.key}`: {_origin(r.source, r.place, r.status)}. {r.text}" for r in profile.rules.values()]
    checked = f"Compiled {profile.checked_on}; {profile.checked_by}. {profile.note}"
    return f"### {profile.name}\n\n{checked}\n\n" + "\n".join(lines)


def _origin(source: str, place: str, status: str) -> str:
    return f"{status}, `{source}`, {place}" if source else status


def _table(head: list[str], rows: list[list[str]]) -> str:
    return "\n".join("| " + " | ".join(row) + " |" for row in [head, ["---"] * len(head), *rows])


def main(docs: Path) -> None:
    """Writes profiles.md into the folder `docs`, and the blank profile into the package."""
    blank = resources.files("ashcomb.sources") / "data" / "profiles" / "blank.toml"
    Path(str(blank)).write_text(blank_profile(), "utf-8")
    profile_ids.cache_clear()
    (docs / "profiles.md").write_text(profiles_page(), "utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
