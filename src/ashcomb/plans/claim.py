"""Claims and losses: what was destroyed, what it was worth by a price list with its date, and what proves it.

The tariff of a scheme goes before the recorded price list; what a scheme does not cover is listed with nothing beside
it. Money is counted in whole cents, piece by piece.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.words import several
from ashcomb.plans.fate_kinds import PieceClass, class_of
from ashcomb.plans.fate_prices import Prices, price_list
from ashcomb.plans.figures import Figures
from ashcomb.plans.ledger import owners_of, roots_of
from ashcomb.plans.patterns import pattern_key
from ashcomb.plans.result import Gate, Plan
from ashcomb.records.acts import Burn, Treatment
from ashcomb.records.pieces import COMPONENTS, Exhibit
from ashcomb.records.places import Component
from ashcomb.records.situation import Situation
from ashcomb.records.state import kill_states
from ashcomb.records.storage import Insurance
from ashcomb.science.exact import exact
from ashcomb.sources.library import schemes
from ashcomb.sources.model import Sourced
from ashcomb.sources.profile import CodeProfile
from ashcomb.sources.rules import Scheme

GONE = ("rendered", "buried")
UNPRICED = "order of magnitude only: record a price"
LB_KG = Fraction(45359237, 100_000_000)  # the international pound, exactly


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimLine:
    """Destroyed things of one kind and price. cents: of one, None where the scheme does not cover it.

    basis: which price, with its date or source.  hives: whose.  condition: as recorded.
    """

    words: str
    count: int
    unit: str
    cents: int | None
    total: int
    basis: str
    hives: tuple[str, ...]
    condition: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim(Plan):
    """One claim. subtotal, cut, total: in cents.  evidence: (what, where).  gates: what a claim must hold."""

    scheme: Scheme
    day: date
    number: str
    currency: str
    lines: tuple[ClaimLine, ...]
    subtotal: int
    cut_share: Fraction
    cut: int
    total: int
    evidence: tuple[tuple[str, str], ...]
    gates: tuple[Gate, ...]
    verdict: str


@dataclass(frozen=True, slots=True)
class _Destroyed:
    piece: PieceClass
    count: int
    hives: tuple[str, ...]
    condition: str
    material: str


def make_claim(
    situation: Situation, profile: CodeProfile, hives: Collection[str], day: date, scheme: str = ""
) -> Claim:
    """The claim for what was destroyed of these hives until that day, under a scheme or that of the insurance.

    Raises UserError for an unknown scheme, or prices in several currencies.
    """
    cover = next(reversed(situation.rows(Insurance)), None)
    name = scheme or (cover.scheme if cover else "own")
    known = schemes()
    if scheme and scheme not in known:
        raise UserError(f"There is no scheme “{scheme}”.", f"Choose one of {', '.join(known)}.")
    used = known.get(name) or known["own"]
    figures = Figures(profile)
    prices = price_list(situation, day)
    gone = tuple(_destroyed(situation, hives, day))
    lines = (
        *_lines(gone, used, prices, figures),
        *_colonies(situation, hives, used, prices),
        *_honey(situation, hives, gone, used, prices, figures),
    )
    subtotal = sum(line.total for line in lines)
    share = _cut_share(used, cover.years_claimed if cover else None, figures)
    cut = round(subtotal * share)
    figures.rule("compensation")
    gates = _gates(situation, used, cover, hives, lines, prices)
    currency = used.currency or prices.currency
    total = subtotal - cut
    return Claim(
        scheme=used, day=day, number=cover.number if cover else "", currency=currency, lines=lines, subtotal=subtotal,
        cut_share=share, cut=cut, total=total, evidence=_evidence(situation, hives, day), gates=gates,
        verdict=f"{several(sum(g.count for g in gone), 'piece')} destroyed; {total / 100:,.2f} {currency} by "
                f"{used.title}."
                .replace("  ", " "),
        uses=(*figures.taken, *_priced(lines, prices, used)), rules=figures.rules,
        assumptions=(
            "Only what a record shows as burned, buried or rendered is claimed; what is missing or held is not.",
            "New for old, piece by piece; whether the condition lowers it is for whoever pays.",
            "All recorded honey counts as saleable until the inspector says otherwise.",
        ),
    )  # fmt: skip


def _destroyed(situation: Situation, hives: Collection[str], day: date) -> Iterable[_Destroyed]:
    owners, roots = owners_of(situation, hives), roots_of(situation)
    classes: dict[tuple[str, str], list[Component]] = defaultdict(list)
    for row in situation.rows(Component):
        classes[row.owner, row.component].append(row)
    ends: dict[tuple[str, str], int] = defaultdict(int)
    for burn in situation.rows(Burn):
        if burn.owner in owners and burn.happened.last <= day:
            ends[burn.owner, burn.component] += burn.count
    for treated in situation.rows(Treatment):
        if treated.owner in owners and treated.method in GONE and treated.happened.last <= day:
            ends[treated.owner, treated.component] += treated.count
    for (owner, component), count in sorted(ends.items(), key=lambda e: (e[0][0], COMPONENTS.index(e[0][1]))):
        whose = tuple(sorted(roots.get(owner, frozenset()))) or (owner,)
        for source in classes.get((owner, component), []):
            part = min(count, source.count)
            count -= part
            if part:
                yield _Destroyed(class_of(source), part, whose, source.condition, source.material)
        if count:
            yield _Destroyed(PieceClass(component), count, whose, "", "")


def _lines(gone: Iterable[_Destroyed], scheme: Scheme, prices: Prices, figures: Figures) -> list[ClaimLine]:
    found: dict[tuple[str, int | None, str, str], list[_Destroyed]] = defaultdict(list)
    for item in gone:
        words, cents, basis = _price(item, scheme, prices, figures)
        found[words, cents, basis, item.condition].append(item)
    lines = []
    for (words, cents, basis, condition), items in found.items():
        count = sum(item.count for item in items)
        hives = tuple(sorted({hive for item in items for hive in item.hives}))
        lines.append(ClaimLine(words=words, count=count, unit="", cents=cents, total=count * (cents or 0), basis=basis,
                               hives=hives, condition=condition))  # fmt: skip
    return lines


def _price(gone: _Destroyed, scheme: Scheme, prices: Prices, figures: Figures) -> tuple[str, int | None, str]:
    piece = gone.piece
    if not scheme.prices:
        item = _item(piece)
        said = prices.words.get(item, UNPRICED)
        return item, round(100 * prices[item]), said
    key, words = _tariff(piece, gone.material.casefold())
    if not key:
        return piece.words, None, "not covered by the scheme"
    return words, round(100 * figures.ours(f"losses.{scheme.prices}.{key}")), f"tariff, {scheme.place}"


def _item(piece: PieceClass) -> str:
    if piece.component == "frame":
        return "super frame" if piece.use in ("super", "honey") else "brood frame"
    return "wax kg" if piece.component == "wax" else piece.component


def _tariff(piece: PieceClass, material: str) -> tuple[str, str]:
    """Key of the tariff and words, or ('', '') for what it does not name; of two that fit the lower counts."""
    standard = "bs" if pattern_key(piece.pattern).startswith("national") else "other"
    use = "super" if piece.use in ("super", "honey") else "brood"
    match piece.component:
        case "frame":
            return f"{standard}_{use}_frame", f"{'BS' if standard == 'bs' else 'other'} {use} frame"
        case "excluder":
            kind = "wire" if "wire" in material else "slotted" if piece.material == "metal" else "plastic"
            return f"excluder_{kind}", f"{kind} excluder"
        case "floor" if "mesh" in material:
            return "mesh_floor", "mesh floor"
    return "", ""


def _colonies(situation: Situation, hives: Collection[str], scheme: Scheme, prices: Prices) -> list[ClaimLine]:
    """Colonies that were confirmed dead; a scheme with a tariff of its own here covers no bees."""
    dead = tuple(hive for hive, state in kill_states(situation).items()
                 if hive in hives and state.state == "dead confirmed")  # fmt: skip
    if not dead:
        return []
    cents = None if scheme.prices else round(100 * prices["colony"])
    said = "not covered by the scheme" if scheme.prices else prices.words.get("colony", UNPRICED)
    return [ClaimLine(words="colony", count=len(dead), unit="", cents=cents, total=len(dead) * (cents or 0), basis=said,
                      hives=dead, condition="")]  # fmt: skip


def _honey(
    situation: Situation, hives: Collection[str], gone: Iterable[_Destroyed], scheme: Scheme, prices: Prices,
    figures: Figures,
) -> list[ClaimLine]:  # fmt: skip
    """Honey in the destroyed combs; a scheme's cap is by hive, averaged over the apiary."""
    burned = {hive for item in gone if item.piece.component == "frame" for hive in item.hives} & set(hives)
    kg = sum((exact(r.honey_kg) for r in situation.rows(Component) if r.hive in burned and r.honey_kg), Fraction(0))
    if not kg:
        return []
    whose = tuple(sorted(burned))
    if not scheme.prices:
        cents = round(100 * prices["honey kg"])
        said = prices.words.get("honey kg", UNPRICED)
        return [ClaimLine(words="honey", count=round(kg), unit="kg", cents=cents, total=round(kg * cents), basis=said,
                          hives=whose, condition="")]  # fmt: skip
    cap = figures.ours(f"losses.{scheme.prices}.honey_cap_lb") * len(burned)
    pounds = min(kg / LB_KG, cap)
    price = figures.ours(f"losses.{scheme.prices}.honey_per_lb")
    said = f"tariff, {scheme.place}; {float(kg / LB_KG):.1f} lb destroyed, at most {float(cap):g} lb paid"
    return [ClaimLine(words="honey", count=int(pounds), unit="lb", cents=round(100 * price),
                      total=round(pounds * price * 100), basis=said, hives=whose, condition="")]  # fmt: skip


def _cut_share(scheme: Scheme, years: int | None, figures: Figures) -> Fraction:
    if not scheme.cuts or not years:
        return Fraction(0)
    key = scheme.cuts[min(years, len(scheme.cuts) - 1)]
    return figures.ours(key) if key else Fraction(0)


def _evidence(situation: Situation, hives: Collection[str], day: date) -> tuple[tuple[str, str], ...]:
    burns = [row for row in situation.rows(Burn) if row.hive in hives and row.happened.last <= day]
    found = [(f"photograph or paper {row.mark}: {row.about}", row.file or "with the case")
             for row in situation.rows(Exhibit) if not row.hives or set(row.hives) & set(hives)]  # fmt: skip
    found += [(f"{row.count} {row.component} of {row.hive} burned {row.happened.words()}, tallied by {row.by}",
               f"record {row.id[-12:]}") for row in burns]  # fmt: skip
    return tuple(found)


def _gates(
    situation: Situation, scheme: Scheme, cover: Insurance | None, hives: Collection[str],
    lines: Iterable[ClaimLine], prices: Prices,
) -> tuple[Gate, ...]:  # fmt: skip
    shown = {hive for row in situation.rows(Exhibit) for hive in row.hives}
    bare = sorted({hive for line in lines for hive in line.hives if hive in hives} - shown)
    guessed = sorted({line.words for line in lines if line.basis == UNPRICED})
    paid = cover is not None
    return (
        Gate("membership", paid, f"Number {cover.number}, paid {cover.happened.words()}." if cover else
             "No insurance is recorded.", "keeper"),
        Gate("all covered", bool(cover and cover.all_covered), "All colonies on the site are covered." if cover and
             cover.all_covered else "Nobody has recorded that all colonies on the site are covered.", "keeper"),
        Gate("photographs", not bare, f"No photograph or paper shows {', '.join(bare)}." if bare else
             "Every hive is shown by an exhibit.", "keeper"),
        Gate("prices", bool(scheme.prices) or not guessed, f"No price is recorded for {', '.join(guessed)}."
             if guessed else "Every price has its list and date.", "keeper"),
    )  # fmt: skip


def _priced(lines: Iterable[ClaimLine], prices: Prices, scheme: Scheme) -> tuple[Sourced, ...]:
    if scheme.prices:
        return ()
    items = {"honey kg" if line.words == "honey" else line.words for line in lines}
    return tuple(prices.sourced[item] for item in sorted(items) if item in prices.sourced)
