"""Whether a treatment that was written down meets the setting of the profile: wax dip, bleach, and what needs a paper.

Spore reduction that is worked out from a D10 or D value is never taken as proof of anything here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.units import to_base
from ashcomb.plans.fate_kinds import PieceClass, class_of, fate_rows
from ashcomb.plans.figures import Figures
from ashcomb.plans.notices import valid_notices
from ashcomb.plans.result import Plan
from ashcomb.records.acts import Treatment
from ashcomb.records.places import Component
from ashcomb.records.situation import Situation
from ashcomb.science.heat import BLEACH_CAUTION, DIP_CAUTION, bath_temperature, dip_check, soak_check
from ashcomb.sources.profile import CodeProfile

PERMISSION = {
    "irradiated": "gamma", "wax dipped": "wax_dip", "hypochlorite": "hypochlorite", "scorched": "scorch",
    "heated": "heat", "rendered": "render", "extracted": "extract_honey", "buried": "bury", "kept": "keep",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class TreatmentResult(Plan):
    """One treatment. accepted: whether it ends the piece's way.  faults: why not.  temperature_c, minutes: as read."""

    treatment: Treatment
    accepted: bool
    faults: tuple[str, ...]
    alarms: tuple[str, ...]
    temperature_c: float | None
    minutes: float | None
    verdict: str


@dataclass(frozen=True, slots=True)
class Setting:
    """What a log line says: temperature in °C and minutes; None for what it does not say."""

    temperature_c: float | None
    minutes: float | None


def read_log(text: str) -> Setting:
    """The setting in a log line: '302 °F, 10 min' is 150 °C and 10 min.

    Parts are divided by commas, semicolons or 'for'. Raises UserError for a part that is neither.
    """
    temperature = minutes = None
    for part in filter(None, (piece.strip() for piece in re.split(r"[;]|,\s|\bfor\b", text))):
        if re.search(r"(°\s*[cfk]|\d\s*[cfk])$", part, re.IGNORECASE):
            temperature = bath_temperature(part)
        else:
            minutes = to_base(part, "time", "min")
    return Setting(temperature, minutes)


def check_treatment(situation: Situation, profile: CodeProfile, treatment: Treatment) -> TreatmentResult:
    """Compares one recorded treatment with the profile. What the log says as written goes before what was entered.

    Irradiation is never accepted here: it rests on the plant's certificate.
    """
    figures = Figures(profile)
    setting, faults = _setting(treatment)
    faults += _permission(situation, profile, treatment)
    alarms: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    if treatment.method == "wax dipped":
        more, alarms = _dip(setting, figures)
        faults, cautions = faults + more, (DIP_CAUTION,)
    elif treatment.method == "hypochlorite":
        faults, cautions = faults + _soak(treatment.percent, setting.minutes, figures), (BLEACH_CAUTION,)
    elif treatment.method == "irradiated":
        faults += ["Only the plant's certificate can show the dose; a calculation from D10 proves nothing."]
    figures.rule("sterilising")
    what = f"{treatment.count} {treatment.component} of {treatment.owner or 'no hive named'}, {treatment.method}"
    said = f" “{treatment.as_written}”" if treatment.as_written else ""
    verdict = f"{what}{said}: {'refused. ' + ' '.join(faults) if faults else 'meets the profile.'}"
    return TreatmentResult(
        treatment=treatment, accepted=not faults, faults=tuple(faults), alarms=alarms, verdict=verdict,
        temperature_c=setting.temperature_c, minutes=setting.minutes, uses=figures.taken, rules=figures.rules,
        assumptions=("Meeting the setting is not freedom from spores; the profile's setting is what is compared.",),
        cautions=cautions,
    )  # fmt: skip


def check_all(situation: Situation, profile: CodeProfile) -> tuple[TreatmentResult, ...]:
    """Every recorded treatment but irradiation, checked."""
    rows = [row for row in situation.rows(Treatment) if row.method != "irradiated"]
    return tuple(check_treatment(situation, profile, row) for row in rows)


def _setting(treatment: Treatment) -> tuple[Setting, list[str]]:
    entered = Setting(treatment.temperature_c, treatment.minutes)
    if not treatment.as_written:
        return entered, []
    try:
        log = read_log(treatment.as_written)
    except UserError as error:
        return entered, [f"The log cannot be read: {error}"]
    faults = []
    pairs = ((log.temperature_c, entered.temperature_c, "°C"), (log.minutes, entered.minutes, "min"))
    for written, typed, unit in pairs:
        if written is not None and typed is not None and round(written - typed):  # whole units
            faults.append(f"The log says {written:g} {unit}, entered were {typed:g} {unit}: correct one of them.")
    return Setting(
        entered.temperature_c if log.temperature_c is None else log.temperature_c,
        entered.minutes if log.minutes is None else log.minutes,
    ), faults


def _dip(setting: Setting, figures: Figures) -> tuple[list[str], tuple[str, ...]]:
    asked = [figures.maybe(key) for key in ("wax.min_c", "wax.min_minutes", "wax.alarm_c")]
    if setting.temperature_c is None or setting.minutes is None:
        return ["Temperature with its unit and minutes must both be on the log."], ()
    if asked[0] is None or asked[1] is None or asked[2] is None:
        return ["The profile states no setting for a wax dip."], ()
    check = dip_check(setting.temperature_c, setting.minutes, float(asked[0]), float(asked[1]), float(asked[2]))
    return _sentences(check.faults), tuple(_sentences(check.alarms))


def _soak(percent: float | None, minutes: float | None, figures: Figures) -> list[str]:
    strength, time = figures.maybe("bleach.percent"), figures.maybe("bleach.minutes")
    if percent is None or minutes is None:
        return ["Strength and minutes must both be on the log."]
    if strength is None or time is None:
        return ["The profile states no setting for bleach."]
    return _sentences(soak_check(percent, minutes, float(strength), float(time)).faults)


def _sentences(parts: Iterable[str]) -> list[str]:
    return [f"{part[0].upper()}{part[1:]}." for part in parts]


def _permission(situation: Situation, profile: CodeProfile, treatment: Treatment) -> list[str]:
    found = []
    for kind in sorted(_fate_kinds(situation, treatment)):
        leave = profile.permission(kind, PERMISSION[treatment.method])
        words = kind.replace("_", " ")
        if leave == "forbidden":
            found.append(f"{words.capitalize()} may not be {treatment.method} under profile “{profile.id}”.")
        elif leave == "needs leave" and not _leave(situation, treatment):
            found.append(f"{words.capitalize()}: {treatment.method} needs leave; record the permit that names it.")
    return found


def _fate_kinds(situation: Situation, treatment: Treatment) -> set[str]:
    rows = [r for r in situation.rows(Component) if (r.owner, r.component) == (treatment.owner, treatment.component)]
    classes = {class_of(row) for row in rows} or {PieceClass(treatment.component)}
    return {kind for piece in classes for kind in fate_rows(piece)}


def _leave(situation: Situation, treatment: Treatment) -> bool:
    permits = valid_notices(situation, "permit", None, treatment.happened.last)
    return any(treatment.method in paper.text.casefold() for paper in permits)
