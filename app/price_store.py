"""What `athwart price actual`, `finish` and `learn` do: estimate against actual, and learnt rates."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from pathlib import Path
from textwrap import wrap

from app.columns import WIDTH, columns
from app.pricing import Asked, Priced, price_boat, shop_to_price
from cutlists.price.actuals import Actual, open_actuals
from cutlists.price.compare import Compared, compare_costs, compare_hours, compared_rows, finished_of
from cutlists.price.learn import HEAD, Finished, rate_rows, rates_of
from cutlists.price.of_boat import finished_boats
from cutlists.price.quote_file import read_quote
from cutlists.price.records import KINDS, Quote
from cutlists.price.settings import QuoteSettings
from cutlists.shop_file import Shop, shop_beside
from cutlists.store.work_log import entries_of
from cutlists.work.plan import plan_work
from cutlists.work.records import KINDS as TASK_KINDS
from cutlists.work.records import WorkPlan
from model.boat import Boat, load_boat
from parts.faults import BadInput, Place, did_you_mean
from parts.yamlfile import read_yaml

Tell = Callable[[str], None]
COMPARED = ("", "estimated", "actual", "off", "")
CAUTION = (
    "Rates are least squares through the finished boats, hours to amount, through the origin; the range "
    "holds if boats scatter as they did. A boat unlike those, or hours noted late, mislead it."
)


def record_hours(path: Path, task: str, amount: str, note: str, tell: Tell) -> list[str]:
    """Notes hours of a task or of a whole kind of task of a boat.

    Raises:
        BadInput: there is no such task, or the amount is none.
    """
    hours = _amount(amount, "--hours")
    shop, boat = shop_to_price(path), _boat(path, tell)
    kind, name = _task(plan_work(boat, shop), task)
    with open_actuals(_store(shop), create=True) as actuals:
        return [f"noted: {_told(actuals.record(boat.name, 'hours', kind, name, hours, note))}"]


def record_cost(path: Path, material: str, amount: str, note: str, seconds: float, tell: Tell) -> list[str]:
    """Notes what a material of a boat cost.

    Raises:
        BadInput: the quote has none of it, or the amount is none.
    """
    cost = _amount(amount, "--cost")
    currency = (shop_to_price(path).quote or QuoteSettings()).currency
    if cost != currency.rounded(cost):
        place = Place("price actual", None, "--cost")
        raise BadInput.at(place, f"{amount} is no sum in {currency.code}", "write whole coins")
    one = price_boat(path, Asked((path,), learnt=False, seconds=seconds), tell)
    kind, name = _material(one.quote, material)
    with open_actuals(_store(one.shop), create=True) as actuals:
        return [f"noted: {_told(actuals.record(one.boat.name, 'cost', kind, name, cost, note))}"]


def undo(path: Path, tell: Tell) -> list[str]:
    """Takes back what was last noted of a boat.

    Raises:
        BadInput: nothing is.
    """
    shop, boat = shop_to_price(path), _boat(path, tell)
    with open_actuals(_store(shop)) as actuals:
        return [f"undone: {_told(actuals.undo(boat.name))}"]


def beside(path: Path, against: Path | None, seconds: float, tell: Tell) -> list[str]:
    """Estimate against actual of a boat: the quote in the folder of a build, or that of the boat as it is.

    Raises:
        BadInput: there is no quote in the folder, or it is of another boat.
    """
    shop = shop_to_price(path)
    if against is None:
        quote = price_boat(path, Asked((path,), learnt=False, seconds=seconds), tell).quote
    else:
        quote, name = read_quote(against), read_yaml(path).data.get("boat")
        if quote.boat != name:
            place = Place(str(against), None, "")
            raise BadInput.at(
                place, f"this is the quote of {quote.boat}, not of {name}", "give its own folder"
            )
    return list(_beside(quote, shop))


def finish(path: Path, reopen: bool, seconds: float, tell: Tell) -> list[str]:
    """Notes a boat as finished, or as not finished after all.

    Raises:
        BadInput: no hours are recorded of it, or it was not finished.
    """
    if reopen:
        shop, boat = shop_to_price(path), _boat(path, tell)
        with open_actuals(_store(shop)) as actuals:
            actuals.reopen(boat.name)
        return [f"{boat.title} is not finished: no rate is learnt from her"]
    one = price_boat(path, Asked((path,), learnt=False, seconds=seconds), tell)
    hours, _ = _compared(one.quote, one.shop)
    told = finished_of(one.quote, hours)
    if not told.took:
        place = Place(str(path), None, "")
        right = (
            "note them task by task, or of a whole kind: `athwart price actual BOAT --task weld --hours 12`"
        )
        raise BadInput.at(place, "no kind of task has all its hours noted", right)
    with open_actuals(_store(one.shop), create=True) as actuals:
        actuals.finish(told)
    left = [row.kind for row in hours if not row.is_whole]
    lines = [f"{one.boat.title} is finished; rates are learnt from her {', '.join(told.took)}"]
    if left:
        lines += wrap(f"not learnt, since not all of their tasks have hours: {', '.join(left)}", WIDTH)
    return lines


def learn(path: Path, seconds: float, tell: Tell) -> list[str]:
    """Learnt rates beside the shop's own, for a boat."""
    one = price_boat(path, Asked((path,), learnt=False, seconds=seconds), tell)
    boats = [told for told in finished_boats(one.shop) if told.boat != one.boat.name]
    own = {kind: float(hours) for kind, hours in one.quote.hours.items()}
    return list(_learnt(one, boats, own))


def _learnt(one: Priced, boats: Sequence[Finished], own: Mapping[str, float]) -> Iterator[str]:
    assert one.shop.quote is not None
    rows = rate_rows(boats, one.quote.amounts, own)
    names = ", ".join(told.boat for told in boats) or "none"
    yield from wrap(f"finished boats besides {one.boat.name}: {names}", WIDTH)
    if not rows:
        yield "no kind of task has two finished boats yet: `athwart price finish BOAT.yaml` notes one"
        return
    yield ""
    yield from columns(HEAD, rows, range(2, len(HEAD)))
    yield ""
    for kind, rate in rates_of(boats).items():
        told = rate.cautions(one.quote.amounts.get(rate.driver))
        if told:
            yield from wrap(f"- {kind}: {'; '.join(told)}", WIDTH, subsequent_indent="  ")
    settings = one.shop.quote
    used = "uses them" if settings.learnt else "does not use them: `--use-learned`, or `learn: {use: true}`"
    yield from wrap(f"The shop file {used}; from {settings.least_boats} boats on.", WIDTH)
    yield from wrap(CAUTION, WIDTH)


def _beside(quote: Quote, shop: Shop) -> Iterator[str]:
    hours, costs = _compared(quote, shop)
    yield f"{quote.title}: estimate of {quote.date} against actual"
    yield ""
    yield from columns(COMPARED, compared_rows(hours), (1, 2, 3))
    yield ""
    yield from columns(COMPARED, compared_rows(costs), (1, 2, 3))
    yield ""
    yield "costs are before overhead, profit and tax; hours are those noted here or with the work's checklist"


def _compared(quote: Quote, shop: Shop) -> tuple[list[Compared], list[Compared]]:
    """Hours and costs of a boat beside what stands recorded of her."""
    path, name = _store(shop), quote.boat
    noted: list[Actual] = []
    if path.is_file():
        with open_actuals(path) as actuals:
            noted = actuals.of(name)
    ticked: dict[tuple[str, str], Decimal] = {}
    for entry in entries_of(path, name):
        if entry.what == "hours":
            key = entry.kind, entry.task
            ticked[key] = ticked.get(key, Decimal(0)) + Decimal(str(entry.hours))
    return compare_hours(quote, noted, ticked), compare_costs(quote, noted)


def _store(shop: Shop) -> Path:
    assert shop.stock is not None
    return shop.stock


def _boat(path: Path, tell: Tell) -> Boat:
    shop = shop_beside(path)
    return load_boat(path, tell, catalogue=shop.catalogue, limber=shop.limber)


def _task(work: WorkPlan, task: str) -> tuple[str, str]:
    """Kind and name of a task, or a whole kind and no name.

    Raises:
        BadInput: the boat has no such task.
    """
    tasks = {one.name: one.kind for one in work.all_tasks}
    if task in tasks:
        return tasks[task], task
    if task in TASK_KINDS:
        return task, ""
    near = did_you_mean(task, [*tasks, *TASK_KINDS])
    raise BadInput.at(Place("price actual", None, "--task"), f"the boat has no task '{task}'", near)


def _material(quote: Quote, material: str) -> tuple[str, str]:
    """Kind of cost and name of what was bought: a kind, a group such as tube, or one line.

    Raises:
        BadInput: the quote has none of it.
    """
    lines = [line for line in quote.lines if line.kind != "labour"]
    names = {line.what: line.kind for line in lines} | {line.group: line.kind for line in lines if line.group}
    names |= {kind: kind for kind in KINDS if kind != "labour"}
    if material not in names:
        near = did_you_mean(material, names)
        wrong = f"the quote has no '{material}'"
        raise BadInput.at(Place("price actual", None, "--material"), wrong, near)
    return names[material], "" if material in KINDS else material


def _amount(text: str, option: str) -> Decimal:
    """Hours or money above zero.

    Raises:
        BadInput: the text is something else.
    """
    place = Place("price actual", None, option)
    try:
        found = Decimal(text.strip())
    except InvalidOperation:
        raise BadInput.at(place, f"'{text}' is no number", "write 6.5") from None
    if not (found.is_finite() and 0 < found < 10**7):
        raise BadInput.at(place, f"{text} cannot be", "give a number above zero; `--undo` takes one back")
    return found


def _told(one: Actual) -> str:
    whole = f"all {one.kind}" if not one.name else one.name
    amount = f"{one.amount:f} h" if one.what == "hours" else f"cost {one.amount:f}"
    return f"{whole}, {amount}{f', {one.note}' if one.note else ''}"
