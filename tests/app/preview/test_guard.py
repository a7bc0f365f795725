"""Who may talk to the preview."""

import pytest

from app.preview.guard import MOST_GUESTS, Guard, Pace, hosts_of


def guard(shared=False):
    return Guard(hosts_of("127.0.0.1", 8000, False), shared)


@pytest.mark.parametrize("host", ["127.0.0.1:8000", "localhost:8000", "[::1]:8000", "LOCALHOST:8000"])
def test_this_machines_names_are_answered(host):
    assert guard().refusal({"host": host}) is None


@pytest.mark.parametrize(
    "host", ["", "evil.example:8000", "127.0.0.1", "127.0.0.1:80", "localhost.evil.example:8000"]
)
def test_other_names_are_not(host):
    assert guard().refusal({"host": host})


ELSEWHERE = (
    "http://evil.example",
    "null",
    "http://127.0.0.1:9000",
    "file://",
    "http://localhost:8000.evil.example",
)


@pytest.mark.parametrize("origin", ELSEWHERE)
def test_pages_from_elsewhere_are_turned_away(origin):
    assert guard().refusal({"host": "127.0.0.1:8000", "origin": origin})


def test_a_page_of_one_name_may_not_talk_through_another():
    assert guard().refusal({"host": "127.0.0.1:8000", "origin": "http://localhost:8000"})


def test_a_line_needs_an_origin():
    assert guard().refusal({"host": "127.0.0.1:8000"}, needs_origin=True)
    told = {"host": "127.0.0.1:8000", "origin": "http://127.0.0.1:8000"}
    assert guard().refusal(told, needs_origin=True) is None


def test_a_link_serves_once_and_the_next_is_told():
    told = []
    ours = Guard(["a:1"], True, told.append)
    link = ours.link
    assert ours.let_in("") is None
    assert ours.let_in(link[:-1]) is None
    guest = ours.let_in(link)
    assert guest
    assert ours.let_in(link) is None
    assert told == [ours.link]
    assert ours.link != link
    assert ours.knows({"cookie": f"x=1; athwart={guest}"})
    assert not ours.knows({"cookie": f"athwart={link}"})
    assert not ours.knows({})


def test_the_oldest_guests_are_forgotten():
    ours = guard(shared=True)
    first = ours.let_in(ours.link)
    for _ in range(MOST_GUESTS):
        last = ours.let_in(ours.link)
    assert not ours.knows({"cookie": f"athwart={first}"})
    assert ours.knows({"cookie": f"athwart={last}"})


def test_cookies_and_tokens_that_are_no_text_of_ours_are_refused():
    ours = guard(shared=True)
    assert ours.let_in("\u00fc" * 10) is None
    assert not ours.knows({"cookie": "athwart=\u00fc; =;;;,"})


def test_pace_lets_a_burst_through_and_then_a_steady_rate():
    now = [0.0]
    pace = Pace(rate=10.0, burst=5.0, clock=lambda: now[0])
    assert [pace.allows() for _ in range(7)] == [True] * 5 + [False] * 2
    now[0] = 0.3
    assert [pace.allows() for _ in range(4)] == [True] * 3 + [False]
