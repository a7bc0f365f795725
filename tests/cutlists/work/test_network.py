"""Critical path and slack against published examples, and networkx as judge."""

import networkx as nx
import pytest

from cutlists.work.calendar import Calendar
from cutlists.work.network import Network, graph_of, loops_of
from tests.cutlists.work.networks import (
    MONDAY,
    PLANT,
    TAYLOR,
    TAYLOR_SMALL,
    drawn,
    network,
    on_arrows,
    task,
)

HOUR = 60


@pytest.mark.parametrize(("table", "length"), [(TAYLOR, 38), (TAYLOR_SMALL, 20)])
def test_earliest_latest_and_slack_as_published(table, length):
    times = network(on_arrows(table)).times()
    assert times.length == length * HOUR
    for name, (_, earliest, latest, slack) in table.items():
        told = (times.start[name], times.latest[name], times.slack(name))
        assert told == (earliest * HOUR, latest * HOUR, slack * HOUR), name


def test_the_critical_path_as_published():
    # "Critical path = 1 - 3 - 4 - 5 - 6" in the same source
    assert network(on_arrows(TAYLOR_SMALL)).times().chain == ("1-3", "3-4", "4-5", "5-6")


def test_a_plant_takes_44_weeks():
    tasks = [task(name, weeks, tuple(before)) for name, (weeks, before, _) in PLANT.items()]
    times = network(tasks).times()
    assert times.length == 44 * HOUR
    assert times.chain == tuple("ABCEFJLN")
    assert {name: times.slack(name) // HOUR for name in PLANT} == {n: s for n, (_, _, s) in PLANT.items()}


@pytest.mark.parametrize("seed", range(60))
def test_the_chain_is_the_longest_that_networkx_finds(seed):
    tasks, days, start, _ = drawn(seed, 14)
    own = network(tasks, days, start)
    times = own.times()
    # Judged anew: a node for each task, an arrow as long as the task and its wait where it falls.
    graph = nx.DiGraph()
    for one in tasks:
        end = times.start[one.name] + own.minutes[one.name]
        graph.add_edge(one.name, "end", weight=own.minutes[one.name])
        for after in own.after[one.name]:
            weight = own.calendar.advanced(end, one.wait) - times.start[one.name]
            graph.add_edge(one.name, after, weight=weight)
    assert times.length == nx.dag_longest_path_length(graph)
    last = times.chain[-1]
    assert times.start[times.chain[0]] == 0
    assert times.start[last] + own.minutes[last] == times.length


@pytest.mark.parametrize("seed", range(60))
def test_slack_is_all_that_a_task_may_slip_and_no_more(seed):
    tasks, days, start, _ = drawn(seed, 8)
    own = network(tasks, days, start)
    times = own.times()

    def length_if(late: dict[str, int]) -> int:
        held = Network(own.names, own.minutes, own.waits, own.before, own.after, late, own.calendar)
        return held.times().length

    for one in tasks:
        latest = times.latest[one.name]
        assert length_if({one.name: latest}) == times.length
        assert length_if({one.name: latest + 1}) > times.length


def test_a_loop_is_told_from_its_first_name():
    tasks = [task("c", 1, ("b",)), task("b", 1, ("a",)), task("a", 1, ("c",)), task("d", 1, ("a",))]
    assert loops_of(graph_of(tasks)) == [["a", "b", "c"]]
    assert loops_of(graph_of([task("a", 1, ("a",))])) == [["a"]]
    assert loops_of(graph_of([task("a", 1), task("b", 1, ("a",))])) == []


def test_equal_choices_keep_the_order_given():
    tasks = [task("late", 1, ("z",)), task("z", 1), task("y", 1)]
    assert Network.of(tasks, Calendar(MONDAY)).names == ("z", "late", "y")
