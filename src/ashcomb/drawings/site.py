"""The fire site from above, to scale: pit, hives, what keeps how far from them, wind, slope, access, a scale bar."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, degrees, radians, sin

from ashcomb.drawings.axes import Scale
from ashcomb.drawings.pit import scale_bar
from ashcomb.drawings.svg import DASH_DOT, DASHED, DOTTED, EDGE, INK, LONG, PAPER, SMALL, WIDTH, Drawing, Point
from ashcomb.plans.fire_heat import Distance
from ashcomb.plans.fire_site import FireSitePlan

TALLEST = 470.0
BEYOND_M = 3.0  # what stands outside a distance is drawn so much further
ACCESS_M = 10.0  # length of the way in that is drawn
LABEL = 16.0  # of a label from its line, in units of the drawing
HIVE_M, ROW = 0.5, 7  # side of a hive and hives in a row, as drawn
GAP_M = 0.5
SOUTH_WEST = 225.0  # where the hives are drawn when nobody said


@dataclass(frozen=True, slots=True)
class _Block:
    """A rectangle on the ground: middle in metres east and south of the pit, half its sides."""

    x: float
    y: float
    half_x: float
    half_y: float

    def grown(self, by: float) -> tuple[float, float, float, float]:
        """West, north, east, south of the rounded rectangle that lies `by` metres around."""
        return (
            self.x - self.half_x - by,
            self.y - self.half_y - by,
            self.x + self.half_x + by,
            self.y + self.half_y + by,
        )


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Carries metres to the drawing."""

    x: Scale
    y: Scale
    per_m: float

    def at(self, x: float, y: float) -> Point:
        return self.x(x), self.y(y)


def site_plan(plan: FireSitePlan) -> str:
    """The site of one fire. What nobody measured is drawn where it would have to stand, and says so."""
    order, stage = plan.order, plan.stage
    title = f"Fire site at {order.apiary}"
    drawing = Drawing("site", title, f"{plan.verdict} {' '.join(plan.warnings)}")
    top = drawing.heading(title, plan.verdict) + 10
    pit, hives = _Block(0, 0, order.length_m / 2, order.width_m / 2), _hives(plan)
    keeper = _keeper(plan, hives)
    sheet = _sheet(plan, pit, hives, keeper, top)
    _ring(drawing, sheet, pit, stage.bare_earth.distance_m, "", 1.2, "bare-earth", fill="spoil")
    _ring(drawing, sheet, pit, stage.people.distance_m, DASHED, 1.4, "people")
    _ring(drawing, sheet, pit, stage.buildings.distance_m, LONG, 1.4, "buildings")
    _ring(drawing, sheet, hives, plan.exclusion.distance_m, DASH_DOT, 2.4, "ignition")
    _ring(drawing, sheet, hives, plan.exclusion.electronics_m, DOTTED, 1.6, "electronics")
    _ring(drawing, sheet, pit, 0.0, "", 2.0, "pit", fill=PAPER)
    x, y = sheet.at(0, -pit.half_y)
    drawing.text((x, y - 4), "pit", size=SMALL, anchor="middle", bold=True)
    _draw_hives(drawing, plan, sheet, hives)
    _labels(drawing, plan, sheet, pit, hives)
    if keeper:
        drawing.circle(sheet.at(*keeper), 8, weight=2, kind="keeper")
        x, y = sheet.at(*keeper)
        drawing.text((x, y + 4.5), "S", size=SMALL, anchor="middle", bold=True, halo=False)
    _around(drawing, plan, sheet, pit)
    line = _foot(drawing, plan, sheet)
    line = _legend(drawing, plan, keeper is not None, line)
    return drawing.render(drawing.caution(line + 4, plan.cautions[:2]))


def _toward(bearing: float, metres: float) -> tuple[float, float]:
    """Metres east and south of a point so far away, bearing in degrees clockwise from north."""
    return metres * sin(radians(bearing)), -metres * cos(radians(bearing))


def _beyond(block: _Block, bearing: float, metres: float) -> tuple[float, float]:
    """The point whose nearest point of the block lies `metres` away, seen in that direction from its middle."""
    dx, dy = _toward(bearing, 1.0)
    corner = block.x + _sign(dx) * block.half_x, block.y + _sign(dy) * block.half_y
    return corner[0] + dx * metres, corner[1] + dy * metres


def _bearing(block: _Block) -> float:
    """Direction of a block from the pit, degrees clockwise from north."""
    return degrees(atan2(block.x, -block.y))


def _sign(value: float) -> float:
    return 0.0 if abs(value) < 1e-9 else 1.0 if value > 0 else -1.0


def _hives(plan: FireSitePlan) -> _Block:
    order, ground, count = plan.order, plan.order.ground, len(plan.loads)
    across, rows = min(count, ROW), -(-count // ROW)
    half_x, half_y = (n * HIVE_M + (n - 1) * GAP_M for n in (across, rows))
    metres = ground.hives_m if ground.hives_m is not None else plan.exclusion.distance_m + BEYOND_M
    bearing = ground.hives_deg if ground.hives_deg is not None else SOUTH_WEST
    pit = _Block(0, 0, order.length_m / 2, order.width_m / 2)
    near = _beyond(pit, bearing, metres)
    dx, dy = _toward(bearing, 1.0)
    return _Block(near[0] + _sign(dx) * half_x / 2, near[1] + _sign(dy) * half_y / 2, half_x / 2, half_y / 2)


def _keeper(plan: FireSitePlan, hives: _Block) -> tuple[float, float] | None:
    """Upwind of the hives, else upslope, outside the distance of flames; None where nobody said either."""
    ground = plan.order.ground
    up = ground.wind_from_deg
    if up is None and ground.downhill_deg is not None:
        up = ground.downhill_deg + 180
    return _beyond(hives, up, plan.exclusion.distance_m + BEYOND_M) if up is not None else None


def _sheet(
    plan: FireSitePlan, pit: _Block, hives: _Block, keeper: tuple[float, float] | None, top: float
) -> _Sheet:  # fmt: skip
    widest = max(plan.stage.people.distance_m, plan.stage.buildings.distance_m, plan.stage.bare_earth.distance_m)
    boxes = [pit.grown(widest), hives.grown(plan.exclusion.distance_m)]
    ground = plan.order.ground
    if ground.building_m is not None and ground.building_deg is not None:
        x, y = _beyond(pit, ground.building_deg, ground.building_m)
        boxes.append((x - 6, y - 6, x + 6, y + 6))
    if ground.access_deg is not None:
        x, y = _access(plan, pit, ground.access_deg)[0]
        boxes.append((x - 2, y - 2, x + 2, y + 2))
    if keeper:
        boxes.append((keeper[0] - 2, keeper[1] - 2, keeper[0] + 2, keeper[1] + 2))
    west, north = (min(box[n] for box in boxes) - 2 for n in (0, 1))
    east, south = (max(box[n] for box in boxes) + 2 for n in (2, 3))
    per_m = min((WIDTH - 2 * EDGE) / (east - west), TALLEST / (south - north))
    left = (WIDTH - (east - west) * per_m) / 2
    return _Sheet(Scale(west, east, left, left + (east - west) * per_m),
                  Scale(north, south, top, top + (south - north) * per_m), per_m)  # fmt: skip


def _ring(
    drawing: Drawing, sheet: _Sheet, block: _Block, by: float, dash: str, weight: float, kind: str, fill: str = "none"
) -> None:
    west, north, east, south = block.grown(by)
    x, y = sheet.at(west, north)
    drawing.box(x, y, (east - west) * sheet.per_m, (south - north) * sheet.per_m, round_=by * sheet.per_m, dash=dash,
                weight=weight, fill=fill, kind=kind)  # fmt: skip


def _draw_hives(drawing: Drawing, plan: FireSitePlan, sheet: _Sheet, block: _Block) -> None:
    side = HIVE_M * sheet.per_m
    for n in range(len(plan.loads)):
        row, place = divmod(n, ROW)
        x, y = sheet.at(
            block.x - block.half_x + place * (HIVE_M + GAP_M), block.y - block.half_y + row * (HIVE_M + GAP_M)
        )
        drawing.box(x, y, side, side, fill=INK, weight=0.5, kind="hive")
    ground = plan.order.ground
    known = ground.hives_m is not None and ground.hives_deg is not None
    words = f"{len(plan.loads)} hives" + ("" if known else ", place not measured")
    x, y = sheet.at(block.x, block.y + block.half_y)
    drawing.plate((x, y + 13), words)


def _labels(drawing: Drawing, plan: FireSitePlan, sheet: _Sheet, pit: _Block, hives: _Block) -> None:
    stage, away = plan.stage, plan.exclusion
    away_from_hives = _bearing(hives) + 180
    x, y = _beyond(pit, away_from_hives, stage.people.distance_m)
    drawing.plate(sheet.at(x, y), f"people {stage.people.distance_m:.1f} m")
    x, y = _beyond(pit, away_from_hives, stage.bare_earth.distance_m / 2)
    drawing.plate(sheet.at(x, y), f"bare earth {stage.bare_earth.distance_m:.1f} m")
    x, y = _beyond(pit, away_from_hives - 60, stage.buildings.distance_m + LABEL / sheet.per_m)
    drawing.plate(sheet.at(x, y), f"buildings {stage.buildings.distance_m:.1f} m")
    west_or_east = 90.0 if hives.x > 0 else 270.0
    x, y = _beyond(hives, 180.0 if hives.y >= 0 else 0.0, away.distance_m)
    drawing.plate(sheet.at(x, y), f"no flame, engine, switch: {away.distance_m:.0f} m", bold=True)
    x, y = _beyond(hives, west_or_east, away.electronics_m)
    drawing.plate(sheet.at(x, y), f"{away.electronics_m:g} m")


def _around(drawing: Drawing, plan: FireSitePlan, sheet: _Sheet, pit: _Block) -> None:
    """Building, access, wind and slope, as far as they are known."""
    ground = plan.order.ground
    if ground.building_m is not None and ground.building_deg is not None:
        x, y = sheet.at(*_beyond(pit, ground.building_deg, ground.building_m))
        drawing.path([(x - 12, y + 8), (x - 12, y - 4), (x, y - 14), (x + 12, y - 4), (x + 12, y + 8)], closed=True,
                     fill=PAPER, weight=1.8, kind="building")  # fmt: skip
        drawing.plate((x, y + 18), f"building {ground.building_m:g} m")
    if ground.access_deg is not None:
        far, near = _access(plan, pit, ground.access_deg)
        drawing.arrow(sheet.at(*far), sheet.at(*near), weight=4, kind="access")
        drawing.plate(sheet.at(*far), "access")


def _access(plan: FireSitePlan, pit: _Block, bearing: float) -> tuple[Point, Point]:
    """The way in, from outside to where people stop."""
    stop = plan.stage.people.distance_m
    return _beyond(pit, bearing, stop + ACCESS_M), _beyond(pit, bearing, stop)


def _foot(drawing: Drawing, plan: FireSitePlan, sheet: _Sheet) -> float:
    """Scale bar, north, wind and slope below the picture; returns the base line for what follows."""
    y = sheet.y.end + 44
    line = scale_bar(drawing, sheet.per_m, y)
    drawing.arrow((WIDTH / 2 - 70, y + 10), (WIDTH / 2 - 70, y - 22), weight=1.6)
    drawing.text((WIDTH / 2 - 60, y), "north", size=SMALL, halo=False)
    ground = plan.order.ground
    arrows = ((ground.wind_from_deg, "wind", 180.0, 3.0), (ground.downhill_deg, "downhill", 0.0, 1.6))
    for n, (bearing, name, turn, weight) in enumerate(arrows):
        x = WIDTH / 2 + 30 + 150 * n
        if bearing is None:
            drawing.text((x, y), f"{name}: not said", size=SMALL, halo=False)
            continue
        dx, dy = _toward(bearing + turn, 19)
        drawing.circle((x, y - 6), 21, weight=0.6)
        drawing.arrow((x - dx, y - 6 - dy), (x + dx, y - 6 + dy), weight=weight, kind=name)
        words = f"wind from {bearing:.0f}°" if name == "wind" else name
        drawing.text((x + 28, y), words, size=SMALL, halo=False)
    return line + 8


def _legend(drawing: Drawing, plan: FireSitePlan, keeper: bool, line: float) -> float:
    stage, away, at = plan.stage, plan.exclusion, EDGE
    rows = ((stage.people, DASHED, "none"), (stage.bare_earth, "", "spoil"), (stage.buildings, LONG, "none"))
    for distance, dash, fill in rows:
        line = drawing.swatch((at, line), _words(distance), dash=dash, fill=fill, weight=1.4)
    estimates = max(away.plume_m, away.cloud_m, away.layer_m)
    words = (f"No flame, smoker, engine or switch within {away.distance_m:.0f} m of open petrol (rule "
             f"{away.floor_m:g} m; estimates {estimates:.0f} m on level ground); nothing electric within "
             f"{away.electronics_m:g} m.")  # fmt: skip
    line = drawing.swatch((at, line), words, dash=DASH_DOT, weight=2.4)
    if keeper:
        line = drawing.paragraph((at, line), "S: smoker keeper, upwind or upslope of the hives, alone with the smoker.")
    else:
        line = drawing.paragraph(
            (at, line), "Smoker keeper: outside that distance, upwind or upslope; neither is said."
        )
    words = (f"{stage.hives} hives in one loading, {plan.stages} in all. Distances are kept from the rim; its walls "
             "shield nothing. Downwind all of them are too short.")  # fmt: skip
    return drawing.paragraph((at, line), words)


def _words(distance: Distance) -> str:
    floor = f"; at least {distance.floor_m:.1f} m: {distance.floor_why}" if distance.floor_m else ""
    head = f"{distance.who.capitalize()} {distance.distance_m:.1f} m: {distance.flux_kw_m2:g} kW/m² at "
    return f"{head}{distance.point_m:.1f} m (point) or {distance.solid_m:.1f} m (flame){floor}."
