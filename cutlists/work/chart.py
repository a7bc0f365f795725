"""The plan of work as a picture: a row for each task, days from left to right, nights left out.

Tasks of the longest chain are black bars with their names in bold, all others white ones, so that no colour
is needed to tell them apart. A wait, for a delivery or for paint to dry, is a dashed line up to a ring.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from cutlists.drawing.drawing import FAINT, GREY, INK, PALE, WHITE, Drawing, Pen, letters_wide
from cutlists.work.records import Slot, WorkPlan

NAMES = 62.0
"""Room for names and hours at the left, mm."""
HEAD = 11.0
"""Room for the days at the top, mm."""
FOOT = 7.0
"""Room for what the signs mean, mm."""
ROW = 4.2
OFF = 1.6
"""Width of a day off, mm."""
BAR = 0.62
"""Height of a bar over that of its row."""
THINNEST = 0.5
"""Of a bar, mm, so that it is seen."""
WAIT = Pen(0.25, INK, (0.9, 0.9))
BOLD = Pen(0.3)
FAR = 70.0
"""From the left names to a bar, mm, beyond which its name stands beside it too."""
LEAST_DAY = 9.0
"""Days narrower than this, mm, are named by their number only."""


@dataclass(frozen=True)
class Axis:
    """Where moments fall from left to right.

    Attributes:
        left: x of the first day, mm.
        days: first to last date with its x and width.
        opens: hours after midnight at which a day begins; `hours` its length.
    """

    left: float
    days: dict[date, tuple[float, float]]
    opens: float
    hours: float

    @classmethod
    def of(cls, plan: WorkPlan, slots: Sequence[Slot], left: float, right: float) -> Axis:
        """Room for the days on which these tasks are at work; a last wait may run out of it."""
        first = min(slot.begins for slot in slots).date()
        last = max(slot.ends for slot in slots).date()
        dates = [first + timedelta(days=k) for k in range((last - first).days + 1)]
        off = sum(day in plan.days_off for day in dates)
        wide = max(1.0, (right - left - off * OFF) / max(1, len(dates) - off))
        found, x = {}, left
        for day in dates:
            width = OFF if day in plan.days_off else wide
            found[day] = (x, width)
            x += width
        return cls(left, found, plan.opens, plan.day)

    @property
    def right(self) -> float:
        """Where the last day ends, mm."""
        x, width = list(self.days.values())[-1]
        return x + width

    def at(self, moment: datetime) -> float:
        """Where a moment falls; a night falls on the end of its day."""
        day = moment.date()
        if day not in self.days:
            return self.left if day < min(self.days) else self.right
        x, width = self.days[day]
        gone = (moment - datetime.combine(day, time())) / timedelta(hours=1) - self.opens
        return x + width * min(max(gone / self.hours, 0.0), 1.0)


def chart_svg(plan: WorkPlan, title: str, width: float = 380.0) -> str:
    """The whole plan as one picture of any height."""
    drawing = Drawing(width, HEAD + FOOT + ROW * max(1, len(plan.slots)), title)
    draw_chart(drawing, plan, plan.slots)
    return drawing.svg()


def draw_chart(drawing: Drawing, plan: WorkPlan, slots: Sequence[Slot]) -> None:
    """Draw some tasks of a plan over the whole of a drawing."""
    if not slots:
        drawing.text(2.0, HEAD, "Nothing is left to do.", 3.0)
        return
    axis = Axis.of(plan, slots, NAMES, drawing.width - 1.0)
    row = min(ROW * 1.3, (drawing.height - HEAD - FOOT) / len(slots))
    low = HEAD + row * len(slots)
    _draw_days(drawing, plan, axis, low)
    critical = frozenset(plan.critical)
    for k, slot in enumerate(slots):
        _draw_row(drawing, plan, axis, slot, HEAD + k * row, row, slot.task in critical)
    _draw_signs(drawing, low + FOOT - 2.4)


def _draw_days(drawing: Drawing, plan: WorkPlan, axis: Axis, low: float) -> None:
    months: dict[tuple[int, int], float] = {}
    for day, (x, width) in axis.days.items():
        months.setdefault((day.year, day.month), x)
        if day in plan.days_off:
            drawing.area([_box(x, HEAD, width, low - HEAD)], None, PALE)
            continue
        drawing.lines([[(x, HEAD - 1.5), (x, low)]], FAINT)
        told = f"{day:%a} {day.day}" if width >= LEAST_DAY else str(day.day)
        drawing.text(x + width / 2, HEAD - 2.2, told, min(2.4, width / 2.2), "middle")
    ends = [*list(months.values())[1:], axis.right + 20.0]
    for ((year, month), x), until in zip(months.items(), ends, strict=True):
        told = f"{date(year, month, 1):%B %Y}"
        if letters_wide(told, 2.6) > until - x:
            told = f"{date(year, month, 1):%b}"
        drawing.text(x + 0.5, 3.6, told, 2.6, bold=True)
    drawing.lines([[(axis.right, HEAD - 1.5), (axis.right, low)]], FAINT)


def _draw_row(
    drawing: Drawing, plan: WorkPlan, axis: Axis, slot: Slot, top: float, row: float, critical: bool
) -> None:
    task, size = plan.task(slot.task), min(2.6, row * 0.62)
    base = top + row * 0.68
    drawing.lines([[(0.0, top + row), (axis.right, top + row)]], Pen(0.08, "#c8c8c8"))
    drawing.text(0.5, base, task.name, size, bold=critical)
    drawing.text(NAMES - 1.5, base, f"{slot.finish - slot.start:.2f} h", size * 0.92, "end", ink=GREY)
    x, until = axis.at(slot.begins), axis.at(slot.ends)
    middle = top + row / 2
    if task.wait > 0:
        ready = axis.at(slot.ready)
        drawing.lines([[(until, middle), (ready, middle)]], WAIT)
        if slot.ready.date() <= max(axis.days):
            drawing.dot((ready, middle), row * 0.16, BOLD, WHITE)
        else:
            tip = axis.right - 1.2
            head = [(tip, middle - 0.8), (axis.right, middle), (tip, middle + 0.8)]
            drawing.lines([head], BOLD)
    if x > axis.left + FAR:
        drawing.text(x - 1.0, base, task.name, size * 0.8, "end", ink=GREY)
    box = _box(x, top + row * (1 - BAR) / 2, max(until - x, THINNEST), row * BAR)
    drawing.area([box], BOLD, INK if critical else WHITE, name=task.name)


def _draw_signs(drawing: Drawing, y: float) -> None:
    """What bars and lines mean."""
    x = 0.5
    for fill, told in ((INK, "longest chain"), (WHITE, "any other task")):
        drawing.area([_box(x, y - 2.0, 6.0, 2.2)], BOLD, fill)
        drawing.text(x + 7.0, y, told, 2.4)
        x += 11.0 + letters_wide(told, 2.4)
    drawing.lines([[(x, y - 0.9), (x + 8.0, y - 0.9)]], WAIT)
    drawing.dot((x + 8.0, y - 0.9), 0.7, BOLD, WHITE)
    drawing.text(x + 10.0, y, "nobody need be there: delivery, drying; the ring is when it is over", 2.4)


def _box(x: float, y: float, width: float, height: float) -> list[tuple[float, float]]:
    return [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]


def parts_of(slots: Sequence[Slot], most: int) -> Iterator[Sequence[Slot]]:
    """The slots in parts of about equal length, none longer than `most`."""
    count = -(-len(slots) // most)
    for k in range(count):
        yield slots[k * len(slots) // count : (k + 1) * len(slots) // count]
