"""The ways to find the disease, each with what it finds in a hive with signs and in an infected one without."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ashcomb.kernel.errors import UserError
from ashcomb.plans.figures import Figures
from ashcomb.plans.result import Plan
from ashcomb.science.evidence import pool_sensitivity
from ashcomb.science.exact import exact, percent
from ashcomb.science.sampling import least_number
from ashcomb.science.sampling_big import least_number_big
from ashcomb.sources.library import value
from ashcomb.sources.model import Sourced
from ashcomb.sources.profile import CodeProfile

LOOK = "surveillance.look"
EXACT_UP_TO = 2_000  # hives: up to here exact fractions decide, above it logarithms do


@dataclass(frozen=True, slots=True, kw_only=True)
class Method:
    """One way to find the disease, as chances for one hive.

    signs: found if it shows signs.  before: found if infected without signs.  specificity: a sound hive passes.
    low, high: range of `signs`.  pools: whether hives can be tested together.  words: what it looks at and proves.
    """

    key: str
    title: str
    signs: Fraction
    before: Fraction
    specificity: Fraction
    low: float
    high: float
    pools: bool
    words: str

    def pooled(self, hives: int, loss: Fraction) -> Method:
        """The same for one infected hive in a pool of so many; raises UserError for a method that tests one hive."""
        if hives > 1 and not self.pools:
            raise UserError(f"{self.title} tests one hive at a time.", "Choose a pool of one.")
        weaker = [exact(pool_sensitivity(float(chance), hives, float(loss))) for chance in (self.signs, self.before)]
        return Method(key=self.key, title=self.title, signs=weaker[0], before=weaker[1], specificity=self.specificity,
                      low=self.low, high=self.high, pools=self.pools, words=self.words)  # fmt: skip

    def overall(self, visible: Fraction) -> Fraction:
        """Chance to find an infected hive when that share of them shows signs."""
        return self.signs * visible + self.before * (1 - visible)


# key: title, after a look (works on what a look found), pools, what it looks at and proves.
_KNOWN: dict[str, tuple[str, bool, bool, str]] = {
    "look": ("Look at the brood", False, False, "every brood frame, bees shaken off; finds nothing before signs show"),
    "kit": ("Field kit", True, False, "one larva that a look found suspect; tells foulbroods apart"),
    "milk": ("Milk test", True, False, "a scale that a look found; only late signs"),
    "culture": ("Culture of bees", False, True, "bees off brood frames; spores are a reason to look, not a case"),
    "pcr": ("PCR of bees", False, True, "bees off brood frames; also finds dead spores"),
    "debris": ("PCR of debris", False, True, "debris of the floor, best in winter; whatever the signs"),
    "honey": ("Culture of honey", False, True, "honey of hive or lot; may have been robbed elsewhere"),
    "dog": ("Dog", False, False, "smell at the entrance; no trial was found"),
}


def methods(figures: Figures) -> tuple[Method, ...]:
    """Every method, with the program's figures."""
    return tuple(method(key, figures) for key in _KNOWN)


def method(key: str, figures: Figures) -> Method:
    """One method by its key; raises UserError for an unknown one."""
    if key not in _KNOWN:
        raise UserError(f"“{key}” is no method of detection.", f"Choose one of {', '.join(_KNOWN)}.")
    title, after_look, pools, words = _KNOWN[key]
    base = {"look": LOOK, "kit": "surveillance.kit"}.get(key, f"detection.{key}")
    sure = f"{base}_sensitivity" if base.startswith("surveillance") else f"{base}_signs"
    seen = figures.ours(f"{LOOK}_sensitivity") if after_look else Fraction(1)
    blind = after_look or key == "look"
    span: Sourced = value(sure)
    return Method(
        key=key, title=title, signs=seen * figures.ours(sure),
        before=Fraction(0) if blind else figures.ours(f"{base}_before"),
        specificity=figures.ours(f"{base}_specificity"), low=float(seen) * span.low, high=float(seen) * span.high,
        pools=pools, words=words,
    )  # fmt: skip


def method_named(method_words: str, material: str) -> str:
    """The key of the method that a recorded test names, by its own words and its material; '' if none is plain."""
    words, stuff = method_words.casefold(), material.casefold()
    if "flow" in words or "kit" in words:
        return "kit"
    if "milk" in words or "holst" in words:
        return "milk"
    if "dog" in words:
        return "dog"
    if "larva" in stuff or "brood" in stuff or "scale" in stuff:
        return "kit" if "cultur" in words or "pcr" in words else ""
    if "honey" in stuff:
        return "honey"
    if "debris" in stuff:
        return "debris"
    return "culture" if "cultur" in words else "pcr" if "pcr" in words else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodSize:
    """How many hives one method needs. number, pools: None where it cannot be reached.  best: with all hives tested."""

    method: Method
    found: Fraction
    number: int | None
    pools: int | None
    best: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SizesPlan(Plan):
    """Sample sizes by method for one group. able: keys of the methods that reach the target."""

    hives: int
    infected: int
    target: Fraction
    sizes: tuple[MethodSize, ...]
    able: tuple[str, ...]
    answer: tuple[str, ...]


def sizes(
    profile: CodeProfile,
    hives: int,
    infected: int,
    target: float | Fraction | None = None,
    visible: float | Fraction = 1,
    pool: int = 1,
) -> SizesPlan:
    """How many hives each method must test so that one of the infected ones is found with the target confidence.

    hives, infected: whole numbers, infected at most hives.  target: 0 to 1, None takes the profile's or the program's.
    visible: share of infected hives that show signs by now.  pool: hives tested together, where the method can pool.
    """
    figures = Figures(profile)
    wanted = figures.theirs("freedom.target", "plans.freedom_target") if target is None else exact(target)
    loss = figures.ours("detection.pool_loss")
    found = tuple(_size(each.pooled(pool if each.pools else 1, loss), hives, infected, wanted, exact(visible),
                        pool if each.pools else 1) for each in methods(figures))  # fmt: skip
    able = tuple(size.method.key for size in found if size.number is not None)
    return SizesPlan(
        hives=hives, infected=infected, target=wanted, sizes=found, able=able, answer=_answer(found, wanted),
        uses=figures.taken, assumptions=(
            "The hives tested are drawn at random, and tests of different hives fail independently.",
            f"{percent(exact(visible))} of the infected hives show signs by now.",
            "Specificity enters no number: what a method finds is confirmed before it counts as a case.",
            "Field kit and milk test need a larva or scale that a look has found, so both must succeed.",
        ),
    )  # fmt: skip


def _size(one: Method, hives: int, infected: int, target: Fraction, visible: Fraction, pool: int) -> MethodSize:
    chance = one.overall(visible)
    best = 1.0 - (1.0 - float(chance)) ** infected
    if hives <= EXACT_UP_TO:
        number = least_number(hives, infected, chance, target).number
    else:
        number = least_number_big(hives, infected, float(chance), float(target))
    pools = None if number is None else -(-number // pool)
    if number is None:
        words = f"cannot be reached with this method: all {hives} hives give {percent(best)}"
    else:
        words = f"{number} hives" + (f" in {pools} pools of {pool}" if pool > 1 else "")
    return MethodSize(method=one, found=chance, number=number, pools=pools, best=best, words=words)


def _answer(found: tuple[MethodSize, ...], target: Fraction) -> tuple[str, ...]:
    able = [size for size in found if size.number is not None]
    asked = percent(target)
    if able:
        fewest = min(able, key=lambda size: size.number or 0)
        return (f"{fewest.method.title} reaches {asked} with the fewest: {fewest.words}.",)
    best = max(found, key=lambda size: size.best)
    return (
        f"No single method reaches {asked} here. The nearest is {best.method.title.lower()} of all hives: "
        f"{percent(best.best)}.",
        "A second round later, or two methods on the same hives, would raise it.",
    )
