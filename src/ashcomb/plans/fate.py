"""What may become of a piece: every way with allowed, forbidden or needs leave, each with its reason and source.

The profile decides; the reason says why. Scorching is never more than a flame over a surface, and no reduction worked
out from a D10 stands as proof of anything.
"""

from __future__ import annotations

from dataclasses import dataclass

from ashcomb.plans.fate_kinds import FORBIDDEN, LEAVE, PieceClass, fate_rows, strictest
from ashcomb.records.pieces import FATES
from ashcomb.sources.library import fate_reasons
from ashcomb.sources.model import Status
from ashcomb.sources.profile import CodeProfile, Rule

METHOD_WORDS = {
    "burn": "burn", "bury": "bury without fire", "gamma": "irradiate, gamma", "ebeam": "irradiate, electrons",
    "wax_dip": "hot wax dip", "scorch": "scorch the surface", "hypochlorite": "bleach bath", "heat": "wet heat",
    "render": "render wax in a pressure plant", "extract_honey": "extract honey for people", "keep": "keep untreated",
}  # fmt: skip
RULE_OF = {
    "burn": "burn_place", "gamma": "sterilising", "ebeam": "sterilising", "wax_dip": "sterilising",
    "heat": "sterilising", "scorch": "scorching", "render": "wax", "extract_honey": "honey",
}  # fmt: skip
HARMLESS = ("", "freezing", "carbon dioxide")
_AGENT = Rule("agent.extract_honey", "Honey in combs of a colony that was gassed, wetted or poisoned is waste.",
              "sulphur-practice-de-ch", "honey in the combs", "published")  # fmt: skip
_HEAVY = {
    "gamma": "Only free of honey, brood and bees, double-wrapped and within the mass of a unit.",
    "ebeam": "Only empty of honey.",
}


@dataclass(frozen=True, slots=True)
class FateRule:
    """One way for one piece. leave: allowed, forbidden or needs leave.  rule: the place's own words on it, or ''.

    stated: whether the profile says so itself; what it does not say needs leave.  condition: what must hold first.
    """

    method: str
    leave: str
    reason: str
    source: str
    place: str
    status: Status
    rule: str = ""
    stated: bool = True
    condition: str = ""

    @property
    def open(self) -> bool:
        """Whether the way may be planned, with leave if it must be."""
        return self.leave != FORBIDDEN

    @property
    def words(self) -> str:
        """'hot wax dip: needs leave. Reason. Rule.'"""
        unsaid = "The profile does not say, so leave is needed." if not self.stated else ""
        parts = (f"{METHOD_WORDS[self.method]}: {self.leave}.", unsaid, self.reason, self.condition, self.rule)
        return " ".join(part for part in parts if part)


def fate_of(piece: PieceClass, profile: CodeProfile) -> tuple[FateRule, ...]:
    """Every way for a piece of that class under the profile, in the order of `records.pieces.FATES`."""
    return tuple(_rule(piece, profile, method) for method in FATES)


def ways(piece: PieceClass, profile: CodeProfile) -> dict[str, FateRule]:
    """The ways that are allowed or may be with leave, by method."""
    return {rule.method: rule for rule in fate_of(piece, profile) if rule.open}


def _rule(piece: PieceClass, profile: CodeProfile, method: str) -> FateRule:
    rows = fate_rows(piece)
    leaves = [profile.permission(row, method) for row in rows]
    leave = strictest(leaves)
    row = rows[leaves.index(leave)]
    reason = _reason(row, method)
    stated = f"{row}.{method}" in profile.fate
    if method == "extract_honey" and piece.agent not in HARMLESS and leave != FORBIDDEN:
        leave, reason, stated = FORBIDDEN, _AGENT, True
    if method == "extract_honey" and not (piece.honey or piece.use == "honey" or piece.component == "drum"):
        leave = FORBIDDEN
        reason, stated = Rule("empty", "There is no honey recorded in it.", "", "", "project choice"), True
    own = profile.rules.get("plastics" if method == "burn" and "plastic" in row else RULE_OF.get(method, ""))
    said = f"{own.text}" if own and own.text != reason.text else ""
    condition = _HEAVY.get(method, "") if leave != FORBIDDEN else ""
    if leave == LEAVE:
        condition = f"{condition} The officer's leave is on paper first.".strip()
    return FateRule(method, leave, reason.text, reason.source, reason.place, reason.status, said, stated, condition)


def _reason(row: str, method: str) -> Rule:
    known = fate_reasons()
    return known.get(f"{row}.{method}") or known[f"any.{method}"]
