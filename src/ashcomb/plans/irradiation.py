"""Irradiation: what the plant certifies for each lot against what was sent, and how boxes are packed for it.

The least absorbed dose of a lot is compared with the profile. A mean, a target or a reduction worked out from a D10 is
never used.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ashcomb.kernel.words import several
from ashcomb.plans.figures import Figures
from ashcomb.plans.result import Plan
from ashcomb.records.acts import Certificate, Consignment
from ashcomb.records.situation import Situation
from ashcomb.science.dose import CAUTION as DOSE_CAUTION
from ashcomb.science.dose import minimum_dose
from ashcomb.sources.profile import CodeProfile


@dataclass(frozen=True, slots=True, kw_only=True)
class LotResult:
    """One lot of one consignment. received, returned: None where a certificate does not say.  unaccounted: units sent
    and not returned.  faults: why it stays held."""

    consignment: str
    lot: str
    sent: int
    received: int | None
    returned: int | None
    unaccounted: int
    minimum_kgy: float | None
    required_kgy: float | None
    faults: tuple[str, ...]

    @property
    def certified(self) -> bool:
        """Whether the lot may leave the hold store as far as its certificate goes."""
        return not self.faults

    @property
    def verdict(self) -> str:
        """One sentence for people."""
        state = "certified, units agree" if self.certified else f"stays held. {' '.join(self.faults)}"
        return f"Consignment {self.consignment}, lot {self.lot}: {state}."


@dataclass(frozen=True, slots=True, kw_only=True)
class CertificateMatch(Plan):
    """All lots. strays: certificates for what nobody sent."""

    lots: tuple[LotResult, ...]
    sent: int
    returned: int
    unaccounted: int
    strays: tuple[str, ...]
    verdict: str

    def lot(self, lot: str) -> LotResult:
        """The result of one lot; raises KeyError for a lot that was not sent."""
        return {result.lot: result for result in self.lots}[lot]


def match_certificates(situation: Situation, profile: CodeProfile) -> CertificateMatch:
    """Compares all consignments with their certificates: sent = received = returned, and the least dose of each lot."""
    figures = Figures(profile)
    figures.maybe("irradiation.min_dose_kgy")
    figures.rule("certificate_match")
    lots = lot_results(situation, profile)
    known = {(lot.consignment, lot.lot) for lot in lots}
    rows = situation.rows(Certificate)
    strays = tuple(
        f"A certificate names lot {c.lot} of consignment {c.consignment}, which nobody sent."
        for c in rows
        if (c.consignment, c.lot) not in known
    )
    sent, returned = sum(lot.sent for lot in lots), sum(lot.returned or 0 for lot in lots)
    lost = sum(lot.unaccounted for lot in lots)
    held = [lot.lot for lot in lots if not lot.certified]
    verdict = f"{several(sent, 'unit')} sent, {returned} returned, {lost} unaccounted; "
    verdict += f"lot {', '.join(held)} stays held." if held else "no lot stays held."
    return CertificateMatch(
        lots=lots, sent=sent, returned=returned, unaccounted=lost, strays=strays, verdict=verdict,
        uses=figures.taken, rules=figures.rules, cautions=(DOSE_CAUTION,),
        assumptions=("Only the least absorbed dose that the plant signs counts; a mean or target dose is not used.",),
    )  # fmt: skip


def lot_results(situation: Situation, profile: CodeProfile) -> tuple[LotResult, ...]:
    """The result of every lot that was sent, in the order of sending."""
    required = profile.optional("irradiation.min_dose_kgy")
    rows = situation.rows(Certificate)
    return tuple(
        _result(sent, [c for c in rows if (c.consignment, c.lot) == (sent.mark, sent.lot)],
                required.value if required else None)
        for sent in situation.rows(Consignment)
    )  # fmt: skip


def certified_consignments(results: Iterable[LotResult]) -> frozenset[str]:
    """The consignments of which every lot is certified."""
    found = tuple(results)
    return frozenset(r.consignment for r in found) - {r.consignment for r in found if not r.certified}


def _result(sent: Consignment, papers: list[Certificate], required: float | None) -> LotResult:
    received = _sum(paper.units_received for paper in papers)
    returned = _sum(paper.units_returned for paper in papers)
    doses = [paper.min_dose_kgy for paper in papers]
    known = [dose for dose in doses if dose is not None]
    minimum = min(known) if known and len(known) == len(doses) else None
    faults = [*_paper_faults(papers), *_unit_faults(sent, received, returned), *_dose_faults(minimum, required, papers)]
    return LotResult(
        consignment=sent.mark, lot=sent.lot, sent=sent.units, received=received, returned=returned,
        unaccounted=max(0, sent.units - (returned or 0)), minimum_kgy=minimum, required_kgy=required,
        faults=tuple(faults) if papers else ("No certificate has come.",),
    )  # fmt: skip


def _sum(numbers: Iterable[int | None]) -> int | None:
    found = list(numbers)
    known = [number for number in found if number is not None]
    return sum(known) if known and len(known) == len(found) else None


def _paper_faults(papers: list[Certificate]) -> list[str]:
    faults = ["A certificate is not signed." for paper in papers if not paper.signed]
    runs = [paper.run for paper in papers if paper.run]
    faults += [f"Run {run} is certified twice." for run in sorted({run for run in runs if runs.count(run) > 1})]
    for paper in papers:
        low, high = paper.min_dose_kgy, paper.max_dose_kgy
        if low is not None and high is not None and high < low:
            faults.append(f"The maximum {high:g} kGy is below the minimum {low:g} kGy; the two may be swapped.")
    return faults


def _unit_faults(sent: Consignment, received: int | None, returned: int | None) -> list[str]:
    if received is None or returned is None:
        return ["The certificate does not say how many units were received and returned."]
    if sent.units == received == returned:
        return []
    lost = sent.units - returned
    end = f"{lost} unaccounted" if lost > 0 else "more came back than were sent" if lost < 0 else "the counts differ"
    return [f"{several(sent.units, 'unit')} sent, {received} received, {returned} returned: {end}."]


def _dose_faults(minimum: float | None, required: float | None, papers: list[Certificate]) -> list[str]:
    if required is None:
        return ["The profile states no least dose."]
    if minimum is None:
        return ["No minimum dose is stated; a mean or a maximum does not stand for it."]
    if minimum <= 0:
        return ["A minimum dose of 0 kGy is no treatment."]
    check = minimum_dose(minimum, required)
    return [] if check.met else [f"{check.words[0].upper()}{check.words[1:]}"]
