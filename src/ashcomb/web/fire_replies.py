"""From the fields of a form to the use cases of the night, the petrol, the pit and the fire."""

from __future__ import annotations

from datetime import date, datetime

from ashcomb.casework import fires, nights, site_reports, sites
from ashcomb.casework.case import Case
from ashcomb.casework.report import Report
from ashcomb.kernel.errors import UserError
from ashcomb.web.asked import Asked


def agents(case: Case, asked: Asked) -> Report:
    """The agents; none is chosen."""
    return site_reports.agents_report(
        sites.agents(case, asked.text("apiary"), asked.several("hives"), asked.day("day"))
    )


def night(case: Case, asked: Asked) -> Report:
    """The night."""
    return nights.night_report(nights.tonight(case, _night(asked)))


def night_drawn(case: Case, asked: Asked) -> str:
    """The time line of the night."""
    return sites.drawing(case, "night", sites.DrawAsk(night=_night(asked)))


def waiting(case: Case, asked: Asked) -> Report:
    """The wait after petrol."""
    return site_reports.waiting_report(sites.waiting(case, _waiting(case, asked)))


def waiting_drawn(case: Case, asked: Asked) -> str:
    """The vapour curve."""
    return sites.drawing(case, "vapour", sites.DrawAsk(waiting=_waiting(case, asked)))


def pit(case: Case, asked: Asked) -> Report:
    """The pit that is given, or those that would do."""
    order = _pit(asked)
    if _size(asked) is None:
        return fires.choice_report(fires.pit_choice(case, order, asked.text("apiary")))
    return fires.pit_report(fires.pit(case, order, asked.text("apiary")))


def pit_drawn(case: Case, asked: Asked) -> str:
    """Section and plan of the pit."""
    return sites.pit_pictures(case, _pit(asked), asked.text("apiary"))


def firesite(case: Case, asked: Asked) -> Report:
    """The fire site."""
    return site_reports.fire_site_report(sites.fire_site(case, _site(asked)))


def firesite_drawn(case: Case, asked: Asked) -> str:
    """The fire site with its rings."""
    return sites.drawing(case, "site", sites.DrawAsk(site=_site(asked)))


def burnday(case: Case, asked: Asked) -> Report:
    """Fire or store."""
    day = asked.day("day")
    ask = fires.BurnAsk(asked.text("apiary"), asked.several("hives"), day, asked.hour("begins"), asked.hour("ends"),
                        _reading(case, asked, day))  # fmt: skip
    return fires.burn_report(fires.burning(case, ask))


def _night(asked: Asked) -> nights.NightAsk:
    return nights.NightAsk(asked.text("apiary"), asked.several("hives"), asked.day("day"), asked.whole("teams") or 0,
                           asked.text("agent"))  # fmt: skip


def _waiting(case: Case, asked: Asked) -> sites.WaitingAsk:
    return sites.WaitingAsk(
        apiary=asked.text("apiary"), hives=asked.several("hives"), dose_ml=asked.number("dose"),
        temperature_c=asked.number("temperature"), wind_m_s=asked.number("wind"), meter=_reading(case, asked, None),
    )  # fmt: skip


def _pit(asked: Asked) -> fires.PitOrder:
    length, width, depth = _size(asked) or (0.0, 0.0, 0.0)
    site = fires.Site(
        well_m=asked.number("well"), watercourse_m=asked.number("watercourse"),
        field_drain_m=asked.number("field_drain"), building_m=asked.number("building"),
        dry_m=asked.number("groundwater"), slope_percent=asked.number("ground_slope"),
        services_searched=asked.flag("services_searched"),
    )  # fmt: skip
    return fires.PitOrder(
        hives=asked.several("hives"), length_m=length, width_m=width, depth_m=depth,
        slope=asked.given_number("slope"), ground=asked.text("ground"), soil=asked.text("soil"),  # type: ignore[arg-type]
        people=asked.whole("people") or 0, dark=asked.flag("dark"), entered=asked.flag("entered"),
        fed=asked.flag("fed"), site=site,
    )  # fmt: skip


def _site(asked: Asked) -> sites.FireSiteAsk:
    ground = sites.Ground(
        building_m=asked.number("building"), bare_m=asked.number("bare"), room_m=asked.number("room"),
        hives_m=asked.number("hives_away"), pit_is=asked.text("pit_is"),  # type: ignore[arg-type]
        slope_percent=asked.number("ground_slope"), wind_from_deg=asked.number("wind_from"),
        hives_deg=asked.number("hives_deg"), access_deg=asked.number("access"),
        building_deg=asked.number("building_deg"), downhill_deg=asked.number("downhill"),
    )  # fmt: skip
    return sites.FireSiteAsk(
        apiary=asked.text("apiary"), hives=asked.several("hives"), size=_size(asked), at_once=asked.whole("at_once"),
        petrol_ml=asked.number("dose"), on_site_l=asked.number("on_site"), temperature_c=asked.number("temperature"),
        ground=ground,
    )  # fmt: skip


def _size(asked: Asked) -> tuple[float, float, float] | None:
    length, width, depth = (asked.number(name) for name in ("length", "width", "depth"))
    if length is None and width is None and depth is None:
        return None
    if length is None or width is None or depth is None:
        raise UserError("A pit has length, width and depth.", "Give all three, or none of them.", "Pit")
    return length, width, depth


def _reading(case: Case, asked: Asked, day: date | None) -> fires.MeterReading | None:
    percent = asked.number("meter")
    if percent is None:
        return None
    at = datetime.combine(day or case.now().date(), asked.hour("read_at"), case.zone)
    return fires.MeterReading(percent_lel=percent, at=at, read_by=asked.text("reader"), witness=asked.text("witness"))
