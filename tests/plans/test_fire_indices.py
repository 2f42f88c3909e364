"""Indices from recorded weather: the published noon sequence, grass, smoke, and silence where data lack."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest
from tests.conftest import Maker

from ashcomb.plans.figures import Figures
from ashcomb.plans.fire_indices import danger_indices, noon_index, smoke_index
from ashcomb.plans.reasons import Hours
from ashcomb.records.acts import Weather
from ashcomb.records.situation import situation_of
from ashcomb.sources.profile import load_profile

FIGURES = Figures(load_profile("orrow-vale"))
ZONE = ZoneInfo("Etc/GMT-5")

# Van Wagner & Pickett 1985, test sequence from 13 April: temperature, humidity, wind, rain; FWI of the day.
SEQUENCE = [
    (17, 42, 25, 0, 10.1), (20, 21, 25, 2.4, 9.3), (8.5, 40, 17, 0, 7.6), (6.5, 25, 6, 0, 6.2), (13, 34, 24, 0, 14.8),
    (6, 40, 22, 0.4, 13.5), (5.5, 52, 6, 0, 5.9), (8.5, 46, 16, 0, 9.7), (9.5, 54, 20, 0, 11.0), (7, 93, 14, 9.0, 0.0),
]  # fmt: skip


def noon(make: Maker, day: int, values: tuple[float, ...], **more: object) -> Weather:
    temperature, humidity, wind, rain, _ = values
    return make(Weather, f"2031-04-{day:02d}T12:00", place="A07", temperature_c=float(temperature),
                rh_percent=float(humidity), wind_kmh=float(wind), rain_24h_mm=float(rain), **more)  # fmt: skip


@pytest.fixture
def short_run(monkeypatch: pytest.MonkeyPatch) -> Figures:
    """The same figures, but a run of four noons is enough, as the published sequence is short."""

    class Short(Figures):
        def ours(self, key: str):
            return 4 if key == "weather.noon_days" else super().ours(key)

    return Short(load_profile("orrow-vale"))


def test_the_published_day_above_14_is_no_go_and_the_others_are_not(make: Maker, short_run: Figures) -> None:
    situation = situation_of([noon(make, 13 + n, row) for n, row in enumerate(SEQUENCE)])
    for n, row in enumerate(SEQUENCE[4:], start=4):
        found = noon_index(situation, "A07", 46.0, date(2031, 4, 13 + n), short_run)
        assert found.value == pytest.approx(row[4], abs=0.2)
        assert bool(found.reasons) == (row[4] >= 14), (n, found)
        if found.reasons:
            assert "14.8" in found.reasons[0].text


def test_a_gap_or_a_short_run_says_what_is_missing(make: Maker) -> None:
    rows = [noon(make, 13 + n, row) for n, row in enumerate(SEQUENCE)]
    for some in (rows, rows[:4]):
        found = noon_index(situation_of(some), "A07", 46.0, date(2031, 4, 17), FIGURES)
        assert (found.value, found.reasons) == (None, ())
        assert "14 days before it" in found.words


def test_dry_cured_grass_in_wind_is_no_go(make: Maker) -> None:
    # Mark 3 with factor 2: curing 100 %, 30 °C, 30 %, 20 km/h gives 13.5; curing 90 %, 25 °C, 40 %, 15 km/h gives 3.9
    hot = make(Weather, curing_percent=100.0, temperature_c=30.0, rh_percent=30.0, wind_kmh=20.0)
    mild = make(Weather, curing_percent=90.0, temperature_c=25.0, rh_percent=40.0, wind_kmh=15.0)
    forest, grass = danger_indices([hot, mild], FIGURES)
    assert "Grass fire danger index 13.5" in grass.reasons[0].text
    assert "no hour holds the drought factor" in forest.words
    assert not danger_indices([mild], FIGURES)[1].reasons


@pytest.mark.parametrize(("mixing", "wind", "begins", "ends", "level"), [
    (300, 5, 11, 15, "no-go"),  # 1500: category I, no burn (Oklahoma Forestry, OSU E-1010)
    (600, 5, 11, 16, "caution"),  # 3000: category II, 11:00 to 16:00
    (600, 5, 9, 15, "no-go"), (600, 5, 11, 17, "no-go"),
    (1000, 6, 9, 15, ""), (2000, 7, 9, 15, ""),  # III and IV by day
    (3000, 7, 9, 15, "caution"),  # 21000: category V, wind
])  # fmt: skip
def test_smoke(make: Maker, mixing: float, wind: float, begins: int, ends: int, level: str) -> None:
    row = make(Weather, mixing_m=float(mixing), transport_m_s=float(wind))
    day = datetime(2031, 5, 15, tzinfo=ZONE)
    hours = Hours(now=day, begins=day.replace(hour=begins), ends=day.replace(hour=ends))
    found = smoke_index([row], hours, FIGURES)
    assert found.value == mixing * wind
    assert [reason.level for reason in found.reasons] == ([level] if level else [])


@pytest.mark.parametrize(("mixing", "level"), [(1000.0, ["no-go"]), (2000.0, [])])
def test_smoke_at_night(make: Maker, mixing: float, level: list[str]) -> None:
    # Oklahoma Forestry, OSU E-1010: category III (4000 to 8000) is for daytime burns, IV (8000 to 16000) for any time
    day = datetime(2031, 5, 15, tzinfo=ZONE)
    hours = Hours(now=day, begins=day.replace(hour=20), ends=day.replace(hour=23), by_day=False)
    found = smoke_index([make(Weather, mixing_m=mixing, transport_m_s=6.0)], hours, FIGURES)
    assert [reason.level for reason in found.reasons] == level


def test_smoke_says_what_is_missing_where_nothing_is_recorded(make: Maker) -> None:
    day = datetime(2031, 5, 15, tzinfo=ZONE)
    found = smoke_index([make(Weather)], Hours(now=day, begins=day, ends=day), FIGURES)
    assert (found.value, found.reasons) == (None, ())
    assert "mixing height and transport wind are not recorded" in found.words
