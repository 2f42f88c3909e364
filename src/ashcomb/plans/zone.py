"""Who is inside the zone: every apiary by its distance from the nearest case, the edge included.

A place on the line, to within the larger of a stated least error and the error of either position, must be confirmed.
A place without a usable position is unplaced and must be confirmed; it is never outside.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from ashcomb.kernel.errors import UserError
from ashcomb.plans.figures import Figures
from ashcomb.plans.positions import Position, anchor_of, distance_m, position_of
from ashcomb.plans.result import Plan
from ashcomb.records.movements import Move
from ashcomb.records.places import Apiary
from ashcomb.records.situation import Situation
from ashcomb.sources.profile import CodeProfile


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """One apiary against the zone. distance_m: from the nearest centre.  line_m: how near the line counts as on it.

    inside, on_line: the radii (km) within which it lies, edge included, and those whose line it lies on.
    """

    apiary: str
    keeper: str
    state: str
    centre: str
    distance_m: float
    line_m: float
    inside: tuple[float, ...]
    on_line: tuple[float, ...]
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ZonePlan(Plan):
    """The zone around some centres. placed: by distance.  unplaced: (apiary, what to confirm).  reasons: for people."""

    centres: tuple[str, ...]
    former: tuple[str, ...]
    radii_km: tuple[float, ...]
    placed: tuple[Placed, ...]
    unplaced: tuple[tuple[str, str], ...]
    reasons: tuple[str, ...]

    def within(self, radius_km: float) -> tuple[str, ...]:
        """Apiaries inside that radius, edge included, in order of distance; raises KeyError for another radius."""
        if radius_km not in self.radii_km:
            raise KeyError(f"the zone was drawn for {self.radii_km} km")
        return tuple(place.apiary for place in self.placed if radius_km in place.inside)

    def on_line(self, radius_km: float) -> tuple[str, ...]:
        """Apiaries on that line, inside or outside by a hair: confirm the position."""
        return tuple(place.apiary for place in self.placed if radius_km in place.on_line)


def zone(
    situation: Situation,
    profile: CodeProfile,
    centres: Sequence[str] = (),
    radii_km: Sequence[float] = (),
    former_since: date | None = None,
) -> ZonePlan:
    """Every apiary against the rings around the centres.

    centres: apiaries with a case; none means the index apiary.  radii_km: above 0; none means those of the profile.
    former_since: also draw the rings around the sites from which hives came to a centre since that day.
    Raises UserError when there is no centre, a centre is unknown or unplaced, or no radius is set.
    """
    apiaries, anchor = situation.by_mark(Apiary), anchor_of(situation.case)
    marks = tuple(centres) or tuple(filter(None, [situation.case.index if situation.case else ""]))
    former = former_sites(situation, marks, former_since) if former_since else ()
    middles = {mark: _centre(mark, apiaries) for mark in marks}
    middles |= {mark: place for mark in former if mark in apiaries and (place := position_of(apiaries[mark]))}
    if not middles:
        raise UserError("The zone has no centre.", "Name the index apiary in the case, or the apiaries with a case.")
    figures = Figures(profile)
    figures.rule("zone_shape")
    radii = _radii(figures, radii_km)
    least = float(figures.ours("plans.line_m"))
    placed, unplaced = [], []
    for mark, apiary in apiaries.items():
        if mark in middles:
            continue
        found = _place(apiary, middles, anchor, radii, least)
        if isinstance(found, Placed):
            placed.append(found)
        else:
            unplaced.append((mark, found))
    unplaced += [(mark, "former site without position: confirm") for mark in former if mark not in middles]
    placed.sort(key=lambda place: (place.distance_m, place.apiary))
    return ZonePlan(
        centres=marks,
        former=former,
        radii_km=radii,
        placed=tuple(placed),
        unplaced=tuple(sorted(unplaced)),
        reasons=_reasons(placed, unplaced, radii),
        uses=figures.taken,
        rules=figures.rules,
        assumptions=_assumptions(anchor is not None),
    )


def former_sites(situation: Situation, centres: Iterable[str], since: date) -> tuple[str, ...]:
    """Places from which hives or nuclei came to a centre on or after that day, by the moves; each once."""
    wanted = set(centres)
    moves = [m for m in situation.rows(Move) if m.target in wanted and m.what in ("hives", "nucleus")]
    return tuple(dict.fromkeys(m.source for m in moves if m.happened.last >= since and m.source not in wanted))


def _centre(mark: str, apiaries: Mapping[str, Apiary]) -> Position:
    if mark not in apiaries:
        raise UserError(f"{mark} is not a known apiary.", "Add it to the sheet Apiaries first.")
    position = position_of(apiaries[mark])
    if position is None:
        raise UserError(f"{mark} has no position, so no zone can be drawn around it.", "Add its position first.")
    return position


def _radii(figures: Figures, wanted: Sequence[float]) -> tuple[float, ...]:
    if any(radius <= 0 for radius in wanted):
        raise UserError("A radius must be above 0 km.", "Correct the radius.")
    found = wanted or [
        float(radius) for key in ("zone.radius_km", "zone.outer_km") if (radius := figures.maybe(key)) is not None
    ]
    if not found:
        name = figures.profile.id
        raise UserError(f"Profile “{name}” sets no radius of a zone.", "Give the radius that the order names.")
    return tuple(sorted(set(found)))


def _place(
    apiary: Apiary,
    middles: Mapping[str, Position],
    anchor: tuple[float, float] | None,
    radii: tuple[float, ...],
    least_line_m: float,
) -> Placed | str:
    """The apiary against its nearest centre, or what is to be confirmed about its position."""
    position = position_of(apiary)
    if position is None:
        return "no position: confirm"
    reach = [(distance_m(position, middle, anchor), mark, middle.error_m) for mark, middle in middles.items()]
    if any(metres is None for metres, _, _ in reach):
        return "its position and the centre's are of two kinds, and the case does not place the grid's zero: confirm"
    known = [(m, mark, max(least_line_m, position.error_m, error)) for m, mark, error in reach if m is not None]
    metres, centre, line = min(known)
    on_line = tuple(r for r in radii if _on_line(1000 * r, [(away, near) for away, _, near in known]))
    confirm = f", on the line of {', '.join(f'{r:g}' for r in on_line)} km: confirm position" if on_line else ""
    return Placed(
        apiary=apiary.mark,
        keeper=apiary.keeper,
        state=apiary.state,
        centre=centre,
        distance_m=metres,
        line_m=line,
        inside=tuple(r for r in radii if metres <= round(1000 * r, 3)),
        on_line=on_line,
        words=f"{apiary.mark}: {metres / 1000:.2f} km from {centre}{confirm}.",
    )


def _on_line(radius_m: float, known: list[tuple[float, float]]) -> bool:
    """Whether the place lies on some centre's line and well inside no other centre's."""
    well_inside = any(away < radius_m - near for away, near in known)
    return not well_inside and any(away <= radius_m + near for away, near in known)


def _reasons(placed: Sequence[Placed], unplaced: Sequence[tuple[str, str]], radii: Sequence[float]) -> tuple[str, ...]:
    found = [
        f"Within {radius:g} km: {', '.join(p.apiary for p in placed if radius in p.inside) or 'no other known apiary'}."
        for radius in radii
    ]
    lines = sorted({p.apiary for p in placed if p.on_line})
    if lines:
        found.append(f"On a line: {', '.join(lines)}. Confirm these positions; until then treat them as inside.")
    if unplaced:
        names = ", ".join(mark for mark, _ in unplaced)
        found.append(f"Unplaced: {names}. They are not outside; confirm where they are.")
    return tuple(found)


def _assumptions(anchored: bool) -> tuple[str, ...]:
    found = [
        "The edge belongs to the zone.",
        "Distances are plane on the local grid and geodesic on WGS84 for geographic positions.",
        "Only apiaries that are in the records are listed; ask the register and look for others.",
    ]
    return (*found, "Grid north is taken as true north.") if anchored else tuple(found)
