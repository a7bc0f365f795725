"""Plans of few hands: none undercuts the bound, none is longer than the best order; published examples."""

from itertools import pairwise, permutations

import pytest

from cutlists.work.calendar import Calendar
from cutlists.work.listing import least_length, placed
from cutlists.work.network import Network
from tests.cutlists.work.networks import (
    MONDAY,
    ONE_MACHINE,
    TWO_MACHINES,
    drawn,
    network,
    task,
)

HOUR = 60


def plan(tasks, hands, days=None, start=MONDAY):
    own = network(tasks, start=start) if days is None else network(tasks, days, start)
    return own, placed(own, hands, own.times())


def free_at(own: Network, ends: dict[str, int], name: str) -> int:
    """When all that a task needs has ended and its waits are over."""
    return max((own.calendar.advanced(ends[one], own.waits[one]) for one in own.before[name]), default=0)


def check(own: Network, hands: int, made):
    """Nothing begins before it may, and no hand does two things at once."""
    ends = {name: at + own.minutes[name] for name, at in made.start.items()}
    assert set(made.start) == set(own.names)
    assert made.length == max(ends.values())
    for name, at in made.start.items():
        assert at >= free_at(own, ends, name)
    for hand in range(hands):
        mine = sorted((made.start[n], ends[n]) for n in own.names if made.hand[n] == hand and own.minutes[n])
        assert all(one[1] <= other[0] for one, other in pairwise(mine))
    assert set(made.hand.values()) <= set(range(hands))


def shortest(own: Network, hands: int) -> int:
    """The length of the shortest plan, over every order in which tasks may be begun.

    In a shortest plan each task begins, in the order of begin, as soon as a hand is free and what it needs is
    there.
    """
    best = None
    for order in permutations(own.names):
        place = {name: k for k, name in enumerate(order)}
        if any(place[one] > place[name] for name in order for one in own.before[name]):
            continue
        free, ends = [0] * hands, {}
        for name in order:
            at = free_at(own, ends, name)
            if own.minutes[name]:
                at = max(at, min(free))
            ends[name] = at + own.minutes[name]
            if own.minutes[name]:
                free[free.index(min(free))] = ends[name]
        best = min(best or 1 << 40, max(ends.values()))
    return best


@pytest.mark.parametrize("seed", range(80))
def test_no_plan_is_longer_than_the_best_of_all_orders_nor_the_bound_above_it(seed):
    tasks, days, start, hands = drawn(seed, 6)
    own, made = plan(tasks, hands, days, start)
    check(own, hands, made)
    best = shortest(own, hands)
    assert made.least <= best <= made.length
    assert made.length == best, "the search missed the shortest plan of a small network"


@pytest.mark.parametrize("seed", range(5))
def test_larger_plans_hold(seed):
    tasks, days, start, hands = drawn(1000 + seed, 60)
    own, made = plan(tasks, hands, days, start)
    check(own, hands, made)
    assert made.least <= made.length


def test_two_machines_as_published():
    times, pairs = TWO_MACHINES
    tasks = [
        task(str(k), hours, tuple(str(one) for one, other in pairs if other == k))
        for k, hours in enumerate(times, 1)
    ]
    own, made = plan(tasks, 2)
    check(own, 2, made)
    assert made.length == made.least == 31 * HOUR


def one_machine():
    """Heads and tails as waits of tasks that take no time; an hour is a 24th of a day."""
    tasks = []
    for k, (head, hours, tail) in enumerate(zip(*ONE_MACHINE, strict=True)):
        tasks.append(task(f"head{k}", 0, (), head / 24))
        tasks.append(task(f"job{k}", hours, (f"head{k}",), tail / 24))
        tasks.append(task(f"tail{k}", 0, (f"job{k}",)))
    return tasks


def test_one_machine_with_heads_and_tails_as_published():
    own, made = plan(one_machine(), 1)
    check(own, 1, made)
    assert made.least <= 50 * HOUR <= made.length
    # and the best of all 5040 orders of the jobs is what was published
    heads, times, tails = ONE_MACHINE
    best = 1 << 40
    for order in permutations(range(7)):
        at = end = 0
        for k in order:
            at = max(at, heads[k]) + times[k]
            end = max(end, at + tails[k])
        best = min(best, end)
    assert best == 50
    assert made.length == best * HOUR


def test_the_order_given_is_kept_where_it_costs_nothing():
    tasks = [task(name, hours) for name, hours in (("c", 3), ("a", 1), ("b", 2))]
    _, made = plan(tasks, 1)
    assert list(made.start) == ["c", "a", "b"]


def test_a_wait_is_begun_first_where_that_is_shorter():
    tasks = [task("saw", 8), task("order", 1, (), 1.0), task("hang", 1, ("order",))]
    own, made = plan(tasks, 1)
    assert made.start["order"] == 0
    assert made.length == made.least == 26 * HOUR
    assert least_length(own, 1, own.times()) == 26 * HOUR


def test_nothing_to_do_takes_no_time():
    own = Network.of([], Calendar(MONDAY))
    made = placed(own, 1, own.times())
    assert (dict(made.start), made.length, made.least) == ({}, 0, 0)
