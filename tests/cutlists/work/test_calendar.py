"""Working minutes against the calendar walked minute by minute."""

from datetime import date, datetime, timedelta

import pytest

from cutlists.work.calendar import Calendar, WorkDays

WEEK = WorkDays(8 * 60, 8 * 60, frozenset(range(5)), frozenset({date(2026, 12, 25)}))
SHORT = WorkDays(450, 60, frozenset({0, 2, 5}), frozenset({date(2026, 12, 5), date(2026, 12, 7)}))
ALL = WorkDays(0, 1440, frozenset(range(7)))


def walked(start, days, count):
    """The moment at which each of the first working minutes begins, found minute by minute."""
    found, moment = [], datetime.combine(start, datetime.min.time())
    while len(found) < count:
        day, minute = moment.date(), moment.hour * 60 + moment.minute
        worked = day.weekday() in days.weekdays and day not in days.holidays
        if worked and days.begins <= minute < days.begins + days.minutes:
            found.append(moment)
        moment += timedelta(minutes=1)
    return found


@pytest.mark.parametrize("days", [WEEK, SHORT, ALL])
def test_minutes_fall_where_a_walk_finds_them(days):
    start = date(2026, 12, 3)
    calendar, minutes = Calendar(start, days), walked(start, days, 2_000)
    for k in range(0, 2_000, 7):
        assert calendar.begin(k) == minutes[k]
        assert calendar.end(k + 1) == minutes[k] + timedelta(minutes=1)


@pytest.mark.parametrize("days", [WEEK, SHORT, ALL])
@pytest.mark.parametrize("wait", [0.5, 1.0, 3.0, 1 / 3])
def test_a_wait_is_over_at_the_first_minute_and_held_back_to_the_last(days, wait):
    start = date(2026, 12, 3)
    calendar, minutes = Calendar(start, days), walked(start, days, 700 + days.minutes * 4)
    for k in range(1, 700, 37):
        over = minutes[k - 1] + timedelta(minutes=1) + timedelta(days=wait)
        first = next(j for j in range(k, len(minutes)) if minutes[j] >= over)
        assert calendar.advanced(k, wait) == first
        # the last minute by whose end the wait must begin to be over as that one begins
        last = calendar.held_back(first, wait)
        assert last >= k
        assert calendar.advanced(last, wait) <= first < calendar.advanced(last + 1, wait)


def test_paint_dries_over_the_weekend():
    calendar = Calendar(date(2026, 12, 4), WEEK)  # a Friday
    assert calendar.begin(calendar.advanced(8 * 60, 2.0)) == datetime(2026, 12, 7, 8, 0)
    assert calendar.advanced(8 * 60, 2.0) == 8 * 60


def test_days_off_are_told():
    calendar = Calendar(date(2026, 12, 23), WEEK)
    assert calendar.days_off(3 * 8 * 60) == {date(2026, 12, d) for d in (25, 26, 27)}


def test_work_without_end_is_refused():
    with pytest.raises(OverflowError):
        Calendar(date(2026, 12, 23), SHORT).begin(60 * 30_000)


def test_the_last_year_of_all_is_no_traceback():
    with pytest.raises(OverflowError):
        Calendar(date(9999, 12, 1), WEEK).begin(60 * 600)
