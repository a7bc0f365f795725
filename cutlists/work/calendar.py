"""Working time: minutes on which somebody works, strung together without nights, days off and holidays.

A plan is made in working minutes from the first morning on. A wait passes by the calendar, nights and days
off too, so that paint dries over a Sunday: `advanced` says at which working minute it is over, `held_back`
when at the latest it must begin. Minutes are whole numbers; nothing here is rounded.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

WEEK = 7
LONGEST = 20_000
"""Working days that a plan may take; one that takes longer is a slip of the pen."""


@dataclass(frozen=True)
class WorkDays:
    """When a shop works.

    Attributes:
        begins: minutes after midnight at which a working day begins.
        minutes: length of a working day.
        weekdays: worked on, 0 is Monday; at least one.
        holidays: dates on which nobody works.
    """

    begins: int = 8 * 60
    minutes: int = 8 * 60
    weekdays: frozenset[int] = frozenset(range(5))
    holidays: frozenset[date] = frozenset()

    def is_worked(self, day: date) -> bool:
        """Whether anybody works on a date."""
        return day.weekday() in self.weekdays and day not in self.holidays


@dataclass(eq=False)
class Calendar:
    """Working minutes from the first working day at or after `start` on.

    Args:
        start: the first date that counts.
        days: when the shop works.
    """

    start: date
    days: WorkDays = field(default_factory=WorkDays)
    _mornings: list[datetime] = field(default_factory=list, repr=False)

    def morning(self, number: int) -> datetime:
        """When the working day of a number begins, 0 the first."""
        self._reach(lambda: len(self._mornings) > number)
        return self._mornings[number]

    def begin(self, minute: int) -> datetime:
        """The moment of a working minute as one begins work: at a day's end it is the next morning."""
        number, rest = divmod(minute, self.days.minutes)
        return self.morning(number) + timedelta(minutes=rest)

    def end(self, minute: int) -> datetime:
        """The moment of a working minute as one ends work: at a day's end it is that evening."""
        if minute == 0:
            return self.morning(0)
        number, rest = divmod(minute - 1, self.days.minutes)
        return self.morning(number) + timedelta(minutes=rest + 1)

    def first_from(self, moment: datetime) -> int:
        """The first working minute that begins at or after a moment; 0 for all before the first morning."""
        self._reach(lambda: self._mornings[-1] >= moment)
        number = bisect_left(self._mornings, moment)
        if number == 0:
            return 0
        gone = _minutes_up(moment - self._mornings[number - 1])
        return (number - 1) * self.days.minutes + min(gone, self.days.minutes)

    def last_by(self, moment: datetime) -> int:
        """The last working minute that has ended by a moment; below zero where none has."""
        self._reach(lambda: self._mornings[-1] > moment)
        number = bisect_right(self._mornings, moment)
        if number == 0:
            return -1
        gone = (moment - self._mornings[number - 1]) // timedelta(minutes=1)
        return (number - 1) * self.days.minutes + min(gone, self.days.minutes)

    def advanced(self, minute: int, wait: float) -> int:
        """The working minute at which a wait of so many days is over that begins as a minute ends."""
        return minute if wait <= 0 else self.first_from(self.end(minute) + timedelta(days=wait))

    def held_back(self, minute: int, wait: float) -> int:
        """The last working minute by whose end a wait must begin to be over as `minute` begins."""
        return minute if wait <= 0 else self.last_by(self.begin(minute) - timedelta(days=wait))

    def days_off(self, minute: int) -> frozenset[date]:
        """Dates from the start to a working minute on which nobody works."""
        last = self.end(minute).date()
        every = (self.start + timedelta(days=k) for k in range((last - self.start).days + 1))
        return frozenset(day for day in every if not self.days.is_worked(day))

    def _reach(self, enough: Callable[[], bool]) -> None:
        """Strings working days on until there are enough of them.

        Raises:
            OverflowError: that takes more than `LONGEST`, or runs past the last year that a date knows.
        """
        while not self._mornings or not enough():
            if len(self._mornings) >= LONGEST:
                raise OverflowError("the work takes longer than any calendar")
            day = self._mornings[-1].date() + timedelta(days=1) if self._mornings else self.start
            for _ in range(WEEK + len(self.days.holidays)):
                if self.days.is_worked(day):
                    break
                day += timedelta(days=1)
            begins = time(*divmod(self.days.begins, 60))
            self._mornings.append(datetime.combine(day, begins))


def _minutes_up(span: timedelta) -> int:
    """Whole minutes of a span, a part of one counted whole."""
    return -(-span // timedelta(minutes=1))
