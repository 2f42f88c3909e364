"""Days, intervals and months; checked against the standard library, dateutil and ISO 8601."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span, add_months, day_from_number, day_number, from_utc_ms, utc_ms, zone, zone_words

DAYS = st.dates(date(1900, 1, 1), date(2200, 12, 31))


@given(DAYS, DAYS)
def test_a_span_survives_its_text_form(a: date, b: date) -> None:
    span = Span(min(a, b), max(a, b))
    assert Span.parse(str(span)) == span


@given(DAYS, st.times())
def test_a_known_hour_survives_its_text_form(day: date, at: object) -> None:
    span = Span.day(day, at)  # type: ignore[arg-type]
    assert Span.parse(str(span)) == span
    assert span.clock == f"{at:%H:%M}"


@pytest.mark.parametrize("text", ["2031-06-31", "31.6.2031", "2031-06-02/2031-06-01", "2031-05-06T25:00", "", "June",
                                  "2031-05-06T10:00/2031-05-07"])  # fmt: skip
def test_what_is_no_date_is_refused_in_words(text: str) -> None:
    with pytest.raises(UserError, match="is not a date"):
        Span.parse(text)


@given(DAYS, st.integers(-400, 400))
def test_months_agree_with_dateutil(day: date, months: int) -> None:
    # dateutil.relativedelta clamps to the month's end as civil law does (31 Jan + 1 month = end of February).
    assert add_months(day, months) == day + relativedelta(months=months)


@given(DAYS)
def test_day_numbers_count_from_1970(day: date) -> None:
    assert day_from_number(day_number(day)) == day
    assert day_number(day) == (day - date(1970, 1, 1)).days


@given(st.integers(0, 1 << 42))
def test_moments_survive_milliseconds(ms: int) -> None:
    assert utc_ms(from_utc_ms(ms)) == ms


def test_a_moment_without_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="time zone"):
        utc_ms(datetime(2031, 5, 6))
    assert utc_ms(datetime(1970, 1, 2, tzinfo=UTC)) == 86_400_000


def test_an_unknown_zone_is_a_sentence() -> None:
    with pytest.raises(UserError, match="not a time zone"):
        zone("Orrow/Vale")


@given(st.lists(st.builds(Span, DAYS, st.just(date(2201, 1, 1))), max_size=8))
def test_spans_sort_by_first_day(spans: list[Span]) -> None:
    assert [s.first for s in sorted(spans)] == sorted(s.first for s in spans)


def test_zones_whose_sign_reads_the_wrong_way_are_printed_as_offsets():
    """Etc/GMT-5 is five hours AHEAD of UTC (IANA time zone database, file etcetera)."""
    assert zone_words("Etc/GMT-5") == "UTC+05:00"
    assert zone_words("Europe/Berlin") == "Europe/Berlin"
