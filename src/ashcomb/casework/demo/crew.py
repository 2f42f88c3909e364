"""The six people of the case and who does what in the night of 14 May 2031."""

from __future__ import annotations

from ashcomb.casework.demo.places import INDEX
from ashcomb.casework.demo.workbook import Row, Sheet

NIGHT = "2031-05-14"
_PEOPLE = (
    ("RF", "Runa Fennick", "leader; scribe", "leader"),
    ("OD", "Oskar Dole", "sealer; driver", "sealer"),
    ("TA", "Tess Arbery", "pourer; sealer", "pourer"),
    ("IV", "Ilko Venn", "listener; driver", "listener"),
    ("SQ", "Sal Quist", "smoker keeper; fire watch", "smoker keeper"),
    ("JP", "Jon Pell", "scribe; listener", "scribe"),
)


def crew() -> Sheet:
    """Sheet of the crew of six with what each may do."""
    rows: tuple[Row, ...] = tuple(
        (initials, name, f"Orrow 41{n:02d}", roles, "2029-03-01")
        for n, (initials, name, roles, _) in enumerate(_PEOPLE, start=11)
    )
    return Sheet("Crew", ("Initials", "Name", "Mobile", "Roles", "With us since"), rows)


def duties() -> Sheet:
    """Sheet of duties: one team at A07; the smoker keeper is not the pourer."""
    rows: tuple[Row, ...] = tuple((NIGHT, initials, role, 1, INDEX) for initials, _, _, role in _PEOPLE)
    return Sheet("Night duties", ("Night", "Who", "Role", "Team", "Yard"), rows)
