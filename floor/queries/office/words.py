"""Days, times of day and durations as the office pages say them."""

from __future__ import annotations

from datetime import UTC, date, datetime, time

MINUTE_S = 60
HOUR_S = 3600
DAY_S = 86_400


def local_time(ms: int) -> datetime:
    """Ms by the server's clock -> the shop's own time."""
    return datetime.fromtimestamp(ms / 1000, tz=UTC).astimezone()


def local_day(ms: int) -> date:
    return local_time(ms).date()


def day_start_ms(day: date) -> int:
    """The shop's own midnight before the day, ms."""
    return round(datetime.combine(day, time()).astimezone().timestamp() * 1000)


def day_words(day: date) -> str:
    """ "Fri 11 Dec 2026"."""
    return f"{day:%a} {day.day} {day:%b %Y}"


def moment_words(ms: int) -> str:
    """ "Wed 25 Nov, 14:03"."""
    moment = local_time(ms)
    return f"{moment:%a} {moment.day} {moment:%b, %H:%M}"


def second_words(ms: int) -> str:
    """ "25 Nov, 14:03:27": where the seconds matter."""
    moment = local_time(ms)
    return f"{moment.day} {moment:%b, %H:%M:%S}"


def ago_words(ms: int, now_ms: int) -> str:
    """ "just now", "12 min ago", "3 h ago", "2 days ago"."""
    seconds = max(0, now_ms - ms) // 1000
    if seconds < MINUTE_S:
        return "just now"
    if seconds < HOUR_S:
        return f"{seconds // MINUTE_S} min ago"
    if seconds < DAY_S:
        return f"{seconds // HOUR_S} h ago"
    days = seconds // DAY_S
    return "1 day ago" if days == 1 else f"{days} days ago"


def due_words(due: date, today: date, finished: bool) -> str:
    """ "due in 16 days", "due today", "2 days late", and once all is finished only the day."""
    days = (due - today).days
    if finished:
        return f"was due {day_words(due)}"
    if days < 0:
        return "1 day late" if days == -1 else f"{-days} days late"
    if days == 0:
        return "due today"
    return "due tomorrow" if days == 1 else f"due in {days} days"


def clock_words(seconds: int) -> str:
    """Whole seconds as "3:42" or "1:02:07"; 0 as "0:00"."""
    minutes, rest = divmod(seconds, MINUTE_S)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"


def minute_words(seconds: float) -> str:
    """Minutes with one decimal, as charts end their bars: "8.3"."""
    return f"{seconds / MINUTE_S:.1f}"


def span_words(seconds: float) -> str:
    """A rough duration for a sentence: "40 s", "12 min", "3 h 05 min"."""
    if seconds < MINUTE_S:
        return f"{round(seconds)} s"
    minutes = round(seconds / MINUTE_S)
    if minutes < 60:
        return f"{minutes} min"
    return f"{minutes // 60} h {minutes % 60:02d} min"
