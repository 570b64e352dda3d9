"""Farm time: clocks on the wall to seconds since 1970, and the season a day belongs to."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

ZONE = ZoneInfo("America/Chicago")


def clock_on(date, clock, seconds=0):
    """From when to when, in seconds since 1970."""
    begins = int(datetime.fromisoformat(f"{date}T{clock}").replace(tzinfo=ZONE).timestamp())
    return begins, begins + seconds


def midnight(date, days=0):
    moment = datetime.fromisoformat(date) + timedelta(days=days)
    return int(moment.replace(tzinfo=ZONE).timestamp())


def season_of(date):
    """The crop year runs from 1 October and is called by the year in which it ends."""
    year, month = int(date[:4]), int(date[5:7])
    return year + 1 if month >= 10 else year
