"""Hot wax and bleach: whether a log of the treatment meets the required setting."""

from __future__ import annotations

from dataclasses import dataclass

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.units import celsius, split_quantity
from ashcomb.science.formula import Quantity, formula

DIP_CAUTION = (
    "Hot wax burns and can catch fire: outdoors, two people, lid and extinguisher for burning fat ready, never water, "
    "dry timber only. Local codes and licensed practice come first."
)
BLEACH_CAUTION = (
    "Hypochlorite burns skin and eyes; never mix it with acids or ammonia. It kills only what it touches: not through "
    "wax or propolis. Follow the label and local rules."
)
_C = Quantity("°C", -50, 500, "temperature")
_MIN = Quantity("min", 0, 10_000, "time")
_PERCENT = Quantity("%", 0, 100, "strength")


@dataclass(frozen=True, slots=True)
class TreatmentCheck:
    """Whether a treatment meets the required setting. faults: what falls short.  alarms: dangers, met or not."""

    met: bool
    faults: tuple[str, ...]
    alarms: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Dilution:
    """How to mix a bath. water_parts: parts of water to one part of product."""

    product_l: float
    water_l: float
    water_parts: float


def bath_temperature(text: str) -> float:
    """A bath temperature as logged, in °C: '302 °F' is 150. Raises UserError for a bare number: 302 might be either."""
    if not split_quantity(text)[1]:
        raise UserError(f"The temperature “{text}” has no unit.", "Write it like 160 °C or 320 °F.")
    return celsius(text)


@formula(
    returns="met, faults, alarms",
    source="dpird-preventing-spread",
    place="hot wax dipping, p. 4",
    status="published",
    caution=DIP_CAUTION,
    temperature_c=_C,
    minutes=_MIN,
    required_c=_C,
    required_minutes=_MIN,
    alarm_c=_C,
)
def dip_check(
    temperature_c: float, minutes: float, required_c: float, required_minutes: float, alarm_c: float
) -> TreatmentCheck:
    """Compares a logged wax dip with the temperature and time that the code profile asks for.

    temperature_c: lowest bath temperature during the dip, °C.  minutes: time fully submerged.  alarm_c: temperature
    at which heating must stop; reaching it is an alarm even when the dip meets the setting. Exactly the required
    setting meets it; a longer dip does not make up for a cooler bath.
    """
    faults = []
    if temperature_c < required_c:
        faults.append(f"{temperature_c:g} °C is below the required {required_c:g} °C")
    if minutes < required_minutes:
        faults.append(f"{minutes:g} min is shorter than the required {required_minutes:g} min")
    hot = f"{temperature_c:g} °C reaches the alarm limit of {alarm_c:g} °C: stop heating, fire danger"
    return TreatmentCheck(not faults, tuple(faults), (hot,) if temperature_c >= alarm_c else ())


@formula(
    returns="1",
    source="machova-1993",
    place="D values in beeswax at 150 °C",
    status="derived",
    caution=DIP_CAUTION,
    minutes=_MIN,
    d_minutes=Quantity("min", 0.01, 1000, "time that leaves one in ten"),
)
def wax_logs(minutes: float, d_minutes: float) -> float:
    """Powers of ten by which spores in hot wax would fall: minutes / D. No proof for spores in timber or propolis.

    minutes: 0 or more, at the temperature of the D value.
    """
    return minutes / d_minutes


@formula(
    returns="product [L], water [L], water parts [1]",
    source="nbu-hive-cleaning",
    place="bleach",
    status="published",
    caution=BLEACH_CAUTION,
    product_percent=Quantity("%", 0.01, 100, "available hypochlorite of the product"),
    wanted_percent=Quantity("%", 0.01, 100, "strength of the bath"),
    bath_l=Quantity("L", 0.001, 100_000, "volume of the bath"),
)
def bleach_dilution(product_percent: float, wanted_percent: float, bath_l: float) -> Dilution:
    """Product and water for a bath of the wanted strength, by volume. Percentages above 0, bath_l in litres.

    Raises UserError if the product is weaker than the bath.
    """
    if product_percent < wanted_percent:
        raise UserError(
            f"A product of {product_percent:g} % cannot make a bath of {wanted_percent:g} %.",
            "Take a stronger product.",
        )
    product_l = bath_l * wanted_percent / product_percent
    return Dilution(product_l, bath_l - product_l, (product_percent - wanted_percent) / wanted_percent)


@formula(
    returns="met, faults",
    source="afbnz-hypochlorite",
    place="strength and time",
    status="published",
    caution=BLEACH_CAUTION,
    percent=_PERCENT,
    minutes=_MIN,
    required_percent=_PERCENT,
    required_minutes=_MIN,
)
def soak_check(percent: float, minutes: float, required_percent: float, required_minutes: float) -> TreatmentCheck:
    """Compares a logged bleach soak with the required strength (%) and time (min); exactly those meet it."""
    faults = []
    if percent < required_percent:
        faults.append(f"{percent:g} % is weaker than the required {required_percent:g} %")
    if minutes < required_minutes:
        faults.append(f"{minutes:g} min is shorter than the required {required_minutes:g} min")
    return TreatmentCheck(not faults, tuple(faults))
