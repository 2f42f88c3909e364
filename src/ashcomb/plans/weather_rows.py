"""When a weather record is valid, in local time."""

from __future__ import annotations

from datetime import datetime, time, tzinfo

from ashcomb.records.acts import Weather


def local_time(row: Weather, zone: tzinfo | None) -> datetime | None:
    """The local moment for which the record holds, or None where its hour is not known. zone: of the place."""
    at = row.happened
    return datetime.combine(at.first, time(at.minute // 60, at.minute % 60), zone) if at.minute is not None else None
