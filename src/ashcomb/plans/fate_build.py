"""Puts the open pieces of an operation into the exact problem of fates: alike pieces become one group."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from ashcomb.kernel.errors import UserError
from ashcomb.plans.fate import METHOD_WORDS, FateRule, ways
from ashcomb.plans.fate_kinds import ALLOWED, PieceClass, fate_rows
from ashcomb.plans.fate_prices import Prices
from ashcomb.plans.fate_problem import MILLI, Group, Limits, Option, Problem, Route
from ashcomb.plans.figures import Figures
from ashcomb.plans.holdings import Holding
from ashcomb.plans.patterns import Measure, measure_of
from ashcomb.science.pallet import load_height, stacks_on_pallet
from ashcomb.sources.profile import CodeProfile

DESTROYED = ("burn", "bury", "render", "extract_honey")  # the comb or wood itself is gone or stays condemned
PLANTS = ("gamma", "ebeam")
HAULED = (*PLANTS, "wax_dip", "hypochlorite", "heat", "render", "extract_honey")
REMOVABLE = ("excluder", "feeder", "tool", "drum", "wax")  # the lid goes back on at once when the fuel is poured
OUT_USES = ("super", "honey", "no comb")


@dataclass(frozen=True, slots=True)
class FateAsk:
    """What is asked beside the records. agent: planned for hives still alive; '' takes petrol where it is allowed.

    leave: methods for which the officer has given leave.  None for a limit is no limit; store_boxes: room of the store
    in boxes; risk_cap: new cases that may be expected at most; risk_price: of one new case, None takes the price list.
    """

    agent: str = ""
    leave: frozenset[str] = frozenset()
    store_boxes: int | None = None
    labour_h: float | None = None
    risk_cap: float | None = None
    risk_price: float | None = None
    least_boxes: int | None = None
    pallets: int | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """The pieces of one holding that lie in one group. group: its place in the problem; -1 where no way is open."""

    holding: Holding
    count: int
    group: int
    prepare: bool
    locked: str
    rules: Mapping[str, FateRule]


@dataclass(frozen=True)
class Built:
    """The problem with what each holding has in it, and what every option of a group needs in words."""

    problem: Problem
    parts: tuple[Part, ...]
    prices: Prices
    leave_only: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Operation:
    """What the problem is built from. to_kill: hives still to be killed with fuel.  locked: pieces by owner, component
    and method that a named person has decided.  km: from each site to the store.  run_with: frames in a box by owner,
    where it is not to be taken from the counts."""

    items: tuple[Holding, ...]
    to_kill: frozenset[str]
    locked: Mapping[tuple[str, str], tuple[tuple[str, int], ...]]
    km: Mapping[str, float]
    store: str = ""
    run_with: Mapping[str, int] = field(default_factory=dict)


def build(operation: Operation, profile: CodeProfile, prices: Prices, ask: FateAsk, figures: Figures) -> Built:
    """The problem of an operation. Pieces for which no way is open stay outside, with group -1."""
    return _Builder(operation, profile, prices, ask, figures).built()


def compressed(operation: Operation, built: Built) -> Operation:
    """The same operation with one holding for each group, in their order: builds the same problem in less time."""
    run_with = operation.run_with or _run_with(operation.items)
    first: dict[int, Part] = {}
    for part in built.parts:
        if part.group >= 0:
            first.setdefault(part.group, part)
    items, kill, locked, frames = [], set(), {}, {}
    for at, part in sorted(first.items()):
        name, count, holding = f"g{at}", built.problem.groups[at].count, part.holding
        honey = holding.honey_kg / holding.count * count
        items.append(replace(holding, owner=name, count=count, honey_kg=honey))
        frames[name] = run_with.get(holding.owner, 0)
        if part.prepare:
            kill.add(name)
        if part.locked:
            locked[name, holding.piece.component] = ((part.locked, count),)
    return Operation(tuple(items), frozenset(kill), locked, operation.km, operation.store, frames or {"": 0})


class _Builder:
    def __init__(
        self, operation: Operation, profile: CodeProfile, prices: Prices, ask: FateAsk, figures: Figures
    ) -> None:
        self.operation, self.profile, self.prices, self.ask, self.figures = operation, profile, prices, ask, figures
        self.rules: dict[tuple[PieceClass, bool], tuple[dict[str, FateRule], bool]] = {}
        self.run_with = operation.run_with or _run_with(operation.items)
        self.lot = _lot_boxes(profile, figures)
        self.groups: dict[tuple[object, ...], int] = {}
        self.counts: list[int] = []
        self.made: list[Group] = []
        self.leave_only: dict[str, None] = {}

    def built(self) -> Built:
        parts = [part for holding in self.operation.items for part in self._parts(holding)]
        groups = tuple(
            Group(g.key, count, g.options, g.site, g.label) for g, count in zip(self.made, self.counts, strict=True)
        )
        problem = Problem(groups, self._routes(), self._limits())
        return Built(problem, tuple(parts), self.prices, tuple(self.leave_only))

    def _parts(self, holding: Holding) -> Iterable[Part]:
        left = holding.count
        for method, count in self.operation.locked.get((holding.owner, holding.piece.component), ()):
            here = min(count, left)
            if here > 0:
                left -= here
                yield self._part(holding, here, method)
        if left:
            yield self._part(holding, left, "")

    def _part(self, holding: Holding, count: int, locked: str) -> Part:
        alive = holding.owner in self.operation.to_kill and not holding.held
        rules = self._locked(holding, locked, alive) if locked else self._open(holding.piece, alive)
        if not rules:
            return Part(holding, count, -1, False, locked, rules)
        measure = measure_of(holding, self.figures, self.run_with.get(holding.owner, 0))
        honey = round(holding.honey_kg / holding.count, 1) if holding.count else 0.0
        site = "" if holding.place == self.operation.store else holding.place
        key = (
            holding.piece,
            site,
            alive,
            locked,
            measure.grams // 100,
            measure.litres,
            measure.frames,
            honey,
            holding.held,
        )
        at = self.groups.get(key)
        if at is None:
            at = self.groups[key] = len(self.made)
            options = tuple(
                self._option(method, holding.piece, measure, honey, alive and method not in ("burn", "bury"),
                             holding.held)
                for method in rules
            )  # fmt: skip
            self.made.append(Group(f"g{at}", 0, options, site, holding.piece.words))
            self.counts.append(0)
        self.counts[at] += count
        return Part(holding, count, at, alive, locked, rules)

    def _open(self, piece: PieceClass, alive: bool) -> dict[str, FateRule]:
        """The ways that may be planned: those allowed or with leave; if there is none, those that leave could open."""
        known = self.rules.get((piece, alive))
        if known is None:
            found = ways(piece, self.profile)
            allowed = {m: r for m, r in found.items() if r.leave == ALLOWED or m in self.ask.leave}
            known = self.rules[piece, alive] = ((allowed or found), not allowed)
        rules, only = known
        if only:
            self.leave_only[piece.words] = None
        if alive and not removable(piece):  # stays in the hive, and is fuel-wet afterwards
            return {method: rule for method, rule in rules.items() if method == "burn"}
        return rules

    def _locked(self, holding: Holding, method: str, alive: bool) -> dict[str, FateRule]:
        """The way that a named person decided, leave or not; raises UserError if it is forbidden."""
        found = ways(holding.piece, self.profile)
        stays = alive and not removable(holding.piece) and method != "burn"
        if method in found and not stays:
            return {method: found[method]}
        why = "it stays in a hive that is to be killed with fuel" if stays else "the rules forbid it"
        raise UserError(
            f"It is decided and locked that {holding.piece.words} of {holding.owner} goes to {METHOD_WORDS[method]}, "
            f"but {why}.", "Correct the decision, or record what changed.", "Fate decisions",
        )  # fmt: skip

    def _option(
        self, method: str, piece: PieceClass, measure: Measure, honey: float, prepare: bool, held: bool
    ) -> Option:
        prices = self.prices
        minutes = self._ours(f"minutes.{method}") + (self._ours("minutes.prepare") if prepare else 0.0)
        money = minutes / 60 * prices["labour hour"]
        money += honey * prices["honey kg"] if method != "extract_honey" else 0.0
        money += self._worth(piece) if method in DESTROYED else 0.0
        box, frame = _places(piece, measure, self._ours("limit.place_l"))
        place = max(box, frame) / MILLI
        if method in ("burn", "bury"):
            money += measure.litres / 1000 * prices["burial"]
        elif method in PLANTS:
            money += place * (prices["wrap"] + prices["season box"])
        elif method == "hypochlorite":
            money += prices["bleach piece"]
        elif method == "heat":
            money += prices["heat piece"]
        elif method == "render":
            money += measure.grams / 1000 * prices["rendering kg"]
        elif method == "extract_honey":
            money += prices["extraction frame"]
        waits = method in (*PLANTS, "wax_dip", "hypochlorite", "heat") or held
        if waits:
            money += place * prices["store box week"] * self._ours("limit.store_weeks")
        return Option(
            method, round(100 * money), self._loads(method, measure, box, frame),
            litres=_split(piece, measure) if method in HAULED else (),
            store_l=_split(piece, measure) if waits else (), minutes=round(1000 * minutes),
            risk=round(1e6 * self._base(piece) * self._ours(f"residual.{method}")),
        )  # fmt: skip

    def _loads(self, method: str, measure: Measure, box: int, frame: int) -> tuple[int, ...]:
        if method in PLANTS:
            most = float(self.figures.theirs("irradiation.pallet_max_kg", "fate.limit.pallet_kg")) * 1000 / self.lot
            return box, frame, round(MILLI * measure.grams / most)
        if method == "wax_dip":
            return (max(box, frame),)
        return (MILLI,) if method in ("hypochlorite", "heat") else ()

    def _worth(self, piece: PieceClass) -> float:
        """What it costs to replace: a new piece, and for a drawn comb what the bees put into it."""
        if piece.component == "frame":
            new = self.prices["super frame" if piece.use in ("super", "honey") else "brood frame"]
            return new + (self.prices["drawn comb"] if piece.use != "no comb" else 0.0)
        return self.prices["wax kg" if piece.component == "wax" else piece.component]

    def _base(self, piece: PieceClass) -> float:
        rows = fate_rows(piece)
        if piece.component == "frame":
            return self._ours("base.brood_comb" if "brood_comb" in rows or piece.fuel_wet else "base.super_comb")
        return self._ours("base.box" if piece.component in ("box", "lid", "floor") else "base.other")

    def _routes(self) -> dict[str, Route]:
        p, least = self.prices, self.ask.least_boxes
        least = int(self._ours("limit.gamma_least")) if least is None else least
        pallets = self.ask.pallets if self.ask.pallets is not None else int(self._ours("limit.gamma_slots"))
        days, bath = int(self._ours("limit.dip_days")), int(self._ours("limit.bath_day"))
        plants = {
            method: Route(method, self.lot, _cents(p[f"{method} unit"]), _cents(p[f"{method} lot"]), 0, least, pallets)
            for method in PLANTS
        }
        return plants | {
            "wax_dip": Route("wax_dip", int(self._ours("limit.dip_day")), _cents(p["wax dip box"]),
                             _cents(p["wax dip day"]), lots=days),
            "hypochlorite": Route("hypochlorite", bath, 0, _cents(p["bleach day"]), lots=days),
            "heat": Route("heat", bath, 0, _cents(p["heat day"]), lots=days),
        }  # fmt: skip

    def _limits(self) -> Limits:
        km = self.operation.km
        default = self._ours("limit.trip_km")
        sites = {group.site for group in self.made}
        cents = {s: _cents(2 * (km.get(s, default) if s else 0.0) * self.prices["vehicle km"]) for s in sites}
        ask, box = self.ask, self._ours("limit.box_l")
        price = self.prices["remaining risk"] if ask.risk_price is None else ask.risk_price
        return Limits(
            trip_l=int(self._ours("limit.vehicle_l")), trip_cents=cents,
            store_l=None if ask.store_boxes is None else int(ask.store_boxes * box),
            minutes=None if ask.labour_h is None else round(ask.labour_h * 60_000),
            risk=None if ask.risk_cap is None else int(ask.risk_cap * 1e6), cents_risk=_cents(price),
        )  # fmt: skip

    def _ours(self, name: str) -> float:
        return float(self.figures.ours(f"fate.{name}"))


def removable(piece: PieceClass) -> bool:
    """Whether a piece can leave a hive that is to be killed: supers and loose parts, not brood nest and floor."""
    return piece.use in OUT_USES or (piece.component in REMOVABLE and not piece.use)


def _run_with(items: Iterable[Holding]) -> dict[str, int]:
    """Frames in a box, by owner, where both are counted: a ten-frame box is often run with nine."""
    counts: dict[tuple[str, str], int] = defaultdict(int)
    for item in items:
        counts[item.owner, item.piece.component] += item.count
    return {
        owner: -(-counts[owner, "frame"] // boxes)
        for (owner, component), boxes in counts.items() if component == "box" and counts.get((owner, "frame"))
    }  # fmt: skip


def _places(piece: PieceClass, measure: Measure, place_l: float) -> tuple[int, int]:
    """Thousandths of a box's place that one piece takes, as boxes and as frames in them."""
    if piece.component == "frame":
        return 0, round(MILLI / measure.frames)
    if piece.component == "box":
        return MILLI, 0
    return round(MILLI * min(1.0, measure.litres / place_l)), 0


def _split(piece: PieceClass, measure: Measure) -> tuple[int, int]:
    return (0, measure.litres) if piece.component == "frame" else (measure.litres, 0)


def _cents(money: float) -> int:
    return round(100 * money)


def _lot_boxes(profile: CodeProfile, figures: Figures) -> int:
    """Deep boxes that stand on one pallet of the profile, or on a common one."""
    sides = {name: figures.maybe(f"irradiation.{name}") for name in ("pallet_length_mm", "pallet_width_mm",
             "pallet_height_mm", "deck_mm")}  # fmt: skip
    length, width, height = (int(1000 * figures.ours(f"packing.deep_{side}")) for side in ("length", "width", "height"))
    if None in sides.values():
        return int(figures.ours("fate.limit.pallet_boxes"))
    pallet = {name: int(side or 0) for name, side in sides.items()}
    stacks = stacks_on_pallet(length, width, pallet["pallet_length_mm"], pallet["pallet_width_mm"]).number
    return max(1, stacks * (load_height(pallet["pallet_height_mm"], pallet["deck_mm"]) // height))
