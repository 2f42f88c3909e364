"""Absorbed dose: what a certificate must show, and why a logarithm proves nothing."""

from __future__ import annotations

from dataclasses import dataclass
from math import log10

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.units import split_quantity, to_base
from ashcomb.science.formula import Quantity, formula

CAUTION = (
    "Irradiation is done by a licensed plant under its own rules. A dose on paper shows that a rule was met; "
    "it does not show that no spore survived."
)
NOT_PROOF = (
    "Logarithms from a D10 are no proof: spores in scale or honey stood up to about twenty times the dose that "
    "killed them on glass. Only the minimum dose against the required one decides."
)
_DOSE = Quantity("kGy", 0, 1000, "absorbed dose")
_POSITIVE = Quantity("kGy", 1e-6, 1000, "absorbed dose")


@dataclass(frozen=True, slots=True)
class DoseCheck:
    """Whether the minimum dose meets the required one. missing_kgy: 0 when met.  words: for papers."""

    met: bool
    missing_kgy: float
    words: str


@dataclass(frozen=True, slots=True)
class Logs:
    """Calculated reduction in powers of ten, never shown without its warning."""

    logs: float
    warning: str


@formula(
    returns="1",
    source="iso-dose-terms",
    place="dose uniformity ratio",
    status="published",
    caution=CAUTION,
    maximum_kgy=_POSITIVE,
    minimum_kgy=_POSITIVE,
)
def dose_uniformity(maximum_kgy: float, minimum_kgy: float) -> float:
    """Dose uniformity ratio: highest over lowest absorbed dose in the load, at least 1.

    Both in kGy, above 0. Raises UserError if the maximum is below the minimum.
    """
    if maximum_kgy < minimum_kgy:
        raise UserError(
            f"The maximum dose {maximum_kgy:g} kGy is below the minimum {minimum_kgy:g} kGy.",
            "Read the certificate again; the two may be swapped.",
        )
    return maximum_kgy / minimum_kgy


@formula(
    returns="met, missing [kGy]",
    source="iso-dose-terms",
    place="minimum dose",
    status="published",
    caution=CAUTION,
    minimum_kgy=_DOSE,
    required_kgy=_POSITIVE,
)
def minimum_dose(minimum_kgy: float, required_kgy: float) -> DoseCheck:
    """Compares the minimum dose of a lot with the one that the code profile asks for.

    minimum_kgy: lowest dose anywhere in the lot, from the certificate; never a mean or a target.  required_kgy: above
    0. Exactly the required dose meets it.
    """
    missing = max(0.0, required_kgy - minimum_kgy)
    shown = f"minimum {minimum_kgy:g} kGy against {required_kgy:g} kGy required"
    verdict = f"does not meet the required minimum dose, {missing:.4g} kGy short" if missing else "meets it"
    return DoseCheck(not missing, missing, f"{shown}: {verdict}.")


@formula(
    returns="logs [1], warning",
    source="iso-dose-terms",
    place="D10 value",
    status="published",
    caution=CAUTION,
    dose_kgy=_DOSE,
    d10_kgy=Quantity("kGy", 1e-3, 100, "dose that leaves one in ten"),
)
def dose_logs(dose_kgy: float, d10_kgy: float) -> Logs:
    """Powers of ten by which a dose would reduce spores with that D10: dose / D10, with the warning that belongs to it.

    dose_kgy: 0 or more.  d10_kgy: above 0; depends on what the spores lie in more than on the spores.
    """
    return Logs(dose_kgy / d10_kgy, NOT_PROOF)


@formula(
    returns="1",
    source="frontiers-884425",
    place="kill in suspension",
    status="derived",
    killed=Quantity("1", 0, 0.999999999999, "share killed"),
)
def logs_of_kill(killed: float) -> float:
    """Powers of ten in a share killed: -log10(1 - killed). killed: 0 to below 1; nine in ten are one power of ten."""
    return -log10(1.0 - killed)


def dose_from_text(text: str) -> float:
    """A dose as a certificate writes it, in kGy: '1.5 Mrad' is 15.

    Units kGy, Gy, Mrad. Raises UserError for a bare number, because old papers count in Mrad.
    """
    if not split_quantity(text)[1]:
        raise UserError(f"The dose “{text}” has no unit.", "Write it with kGy, Gy or Mrad as on the certificate.")
    return to_base(text, "dose", "kGy")
