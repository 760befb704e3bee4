"""Which edition a paper is: dated by the rig's own record, never by the day on which it is printed."""

from __future__ import annotations

import datetime
from typing import Any

from builder.account.safety import DEFER
from builder.account.service import latest_reading
from builder.examine import Examination
from builder.rig.load import Content

from .typesetting import date_parts

UNDATED = datetime.date(1970, 1, 1)
"""Stands in the file's own data where the record has no date; it is never printed."""
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
INVENTED = "An invented example: no such station exists, and nobody has built or measured this rig."


def latest(examination: Examination) -> datetime.date | None:
    """The day of the last reading or of the last line of the history; None where there is neither."""
    history = [change.date for change in examination.rig.history]
    reading = latest_reading(examination)
    return max([*history, *([reading] if reading else [])], default=None)


def long_date(date: datetime.date | None) -> str:
    """A date in words, the same everywhere."""
    return f"{date.day} {MONTHS[date.month - 1]} {date.year}" if date else "not dated"


def sheet_of(content: Content) -> str:
    """Size of the sheet: the station's own choice where it has one, else A4."""
    return str(content.station.paper)


def head(content: Content, examination: Examination, title: str) -> dict[str, Any]:
    """What every template needs to know of the rig and the edition.

    Args:
        content: the station.
        examination: of the rig.
        title: of the paper, for its running head and for the file's own data.
    """
    date = latest(examination)
    return {
        "title": f"{examination.rig.name}: {title}",
        "paper": title,
        "name": examination.rig.name,
        "what": examination.rig.what,
        "signs": content.station.signs,
        "station": content.station.name,
        "edition": long_date(date),
        "date": date_parts(date or UNDATED),
        "sheet": sheet_of(content),
        "tag": examination.rig.tag or "",
        "invented": INVENTED if content.station.invented else "",
        "defer": DEFER,
    }
