"""Times as a person says them: how long ago, how long it takes, how much is left."""

from __future__ import annotations

from datetime import datetime, timedelta


def ago(time: str, now: datetime) -> str:
    """How long ago a time of the record was, to the unit that matters."""
    if not time:
        return ""
    seconds = (now - datetime.fromisoformat(time)).total_seconds()
    if seconds < 90:
        return "just now" if seconds > -90 else "clock was set back"
    for size, word, least in ((86400, "day", 2), (3600, "h", 1.5), (60, "min", 1)):
        if seconds >= size * least:
            count = round(seconds / size)
            return f"{count} {word}{'s' if word == 'day' and count != 1 else ''} ago"
    return "just now"


def span(gone: timedelta) -> str:
    """A length of time: "a moment", "25 min", "2 days"."""
    now = datetime.now().astimezone()
    text = ago((now - gone).isoformat(), now)
    return "a moment" if text == "just now" else text.removesuffix(" ago")


def lasting(minutes: float) -> str:
    """A duration: "40 min", "1 h 20 min"."""
    whole = max(round(minutes), 1)
    if whole < 90:
        return f"{whole} min"
    hours, rest = divmod(whole, 60)
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def countdown(seconds: float) -> str:
    """Time left of a wait: "29:58", "7:59:58"."""
    whole = int(seconds + 0.999)
    hours, rest = divmod(whole, 3600)
    minutes, second = divmod(rest, 60)
    return f"{hours}:{minutes:02}:{second:02}" if hours else f"{minutes}:{second:02}"


def clock_time(time: str) -> str:
    """A time of the record as date and time of day, in the offset it was written in."""
    return datetime.fromisoformat(time).strftime("%Y-%m-%d %H:%M") if time else ""
