"""Guessing is slow, and nobody can lock the keeper out. Time is played: seconds as numbers."""

from hypothesis import given
from hypothesis import strategies as st

from service.people.tries import (
    FREE,
    LONGEST_WAIT_S,
    MOST_HERE,
    MOST_KNOWN,
    MOST_STRANGERS,
    Lane,
    LaneKind,
    Tries,
    address_key,
    ask,
    right,
)

TEN_MINUTES = 600.0


def stranger(number: int) -> Lane:
    return Lane(kind=LaneKind.STRANGER, key=f"192.168.{number // 250}.{number % 250}")


def known(number: int = 0) -> Lane:
    return Lane(kind=LaneKind.KNOWN, key=f"phone {number}")


def evaluated(lanes: list[Lane], every_s: float) -> tuple[Tries, int]:
    """One guess of each lane in turn; how many passwords were looked at."""
    tries, looked = Tries(), 0
    for number, lane in enumerate(lanes):
        asked = ask(tries, lane, number * every_s)
        tries = asked.tries
        looked += asked.wait_s == 0
    return tries, looked


def test_of_a_thousand_guesses_in_ten_minutes_at_most_sixty_are_looked_at() -> None:
    # 1,000 addresses, one guess each, spread over ten minutes.
    _, looked = evaluated([stranger(n) for n in range(1000)], TEN_MINUTES / 1000)
    assert 0 < looked <= 60
    assert looked == MOST_STRANGERS


def test_also_when_all_kinds_of_lanes_guess_at_once() -> None:
    here = Lane(kind=LaneKind.HERE)
    lanes = [[stranger(n), known(n), here][n % 3] for n in range(1000)]
    _, looked = evaluated(lanes, TEN_MINUTES / 1000)
    assert looked <= MOST_STRANGERS + MOST_HERE + MOST_KNOWN == 60


def test_one_address_that_keeps_guessing_is_looked_at_a_few_times_only() -> None:
    # Five at once, then after 1, 2 and 4 min: the ninth would come after 15 min.
    _, looked = evaluated([stranger(1)] * 1000, TEN_MINUTES / 1000)
    assert looked == FREE + 3


def test_the_wait_doubles_up_to_a_quarter_of_an_hour() -> None:
    tries, now, waits = Tries(), 0.0, []
    for _ in range(14):
        asked = ask(tries, stranger(1), now)
        tries = asked.tries
        if asked.wait_s:
            waits.append(asked.wait_s)
            now += asked.wait_s
            asked = ask(tries, stranger(1), now)
            assert asked.wait_s == 0
            tries = asked.tries
    assert waits[:4] == [60, 120, 240, 480]
    assert set(waits[4:]) == {LONGEST_WAIT_S}


def test_a_phone_that_is_known_gets_in_while_strangers_flood_the_door() -> None:
    tries, _ = evaluated([stranger(n) for n in range(1000)], TEN_MINUTES / 1000)
    now = TEN_MINUTES - 1
    assert ask(tries, stranger(5000), now).wait_s > 0
    assert ask(tries, known(), now).wait_s == 0
    assert ask(tries, Lane(kind=LaneKind.HERE), now).wait_s == 0


def test_a_new_phone_gets_in_while_four_gadgets_guess_without_rest() -> None:
    lanes = [stranger(n % 4) for n in range(1000)]
    tries, looked = evaluated(lanes, TEN_MINUTES / 1000)
    assert looked < MOST_STRANGERS
    assert ask(tries, stranger(99), TEN_MINUTES).wait_s == 0


def test_who_waits_waits_no_longer_for_asking_again() -> None:
    tries, _ = evaluated([stranger(1)] * FREE, 0.0)
    first = ask(tries, stranger(1), 10.0)
    again = ask(first.tries, stranger(1), 20.0)
    assert (first.wait_s, again.wait_s) == (50.0, 40.0)


def test_the_right_password_lets_its_lane_begin_afresh() -> None:
    tries, _ = evaluated([known()] * FREE, 0.0)
    assert ask(tries, known(), 1.0).wait_s > 0
    assert ask(right(tries, known()), known(), 1.0).wait_s == 0


def test_a_helper_with_many_known_browsers_uses_up_no_tries_but_their_own() -> None:
    # Each sign-in gives the helper a browser with a lane of its own.
    browsers = [Lane(kind=LaneKind.KNOWN, key=f"phone {n}", person=2) for n in range(1000)]
    tries, looked = evaluated(browsers, TEN_MINUTES / 1000)
    assert looked == MOST_KNOWN
    keeper = Lane(kind=LaneKind.KNOWN, key="phone", person=1)
    assert ask(tries, keeper, TEN_MINUTES - 1).wait_s == 0
    assert ask(tries, Lane(kind=LaneKind.HERE), TEN_MINUTES - 1).wait_s == 0


def test_right_passwords_use_up_nothing() -> None:
    tries = Tries()
    for number in range(1000):
        for lane in (stranger(number), Lane(kind=LaneKind.HERE), known(number)):
            asked = ask(tries, lane, number * 0.6)
            assert asked.wait_s == 0
            tries = right(asked.tries, lane)
    assert not tries.in_all


def test_a_right_password_takes_back_no_wrong_one() -> None:
    tries, _ = evaluated([known(n) for n in range(MOST_KNOWN - 1)], 0.0)
    asked = ask(tries, known(100), 1.0)
    tries = ask(right(asked.tries, known(100)), known(101), 2.0).tries
    assert ask(tries, known(102), 3.0).wait_s > 0


def test_a_flood_that_ends_is_forgotten() -> None:
    tries, _ = evaluated([stranger(n) for n in range(1000)], TEN_MINUTES / 1000)
    later = ask(tries, stranger(7), TEN_MINUTES + 901)
    assert later.wait_s == 0
    assert set(later.tries.lanes) == {stranger(7)}


def test_many_at_the_same_moment_dont_slip_through() -> None:
    _, looked = evaluated([stranger(1)] * 100, 0.0)
    assert looked == FREE


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["here", "known", "stranger"]), st.integers(0, 40), st.floats(0, 30)
        ),
        max_size=200,
    )
)
def test_never_more_than_sixty_in_any_ten_minutes(steps: list[tuple[str, int, float]]) -> None:
    tries, now, times = Tries(), 0.0, []
    for kind, key, pause_s in steps:
        now += pause_s
        asked = ask(tries, Lane(kind=LaneKind(kind), key=str(key)), now)
        tries = asked.tries
        if asked.wait_s == 0:
            times.append(now)
    for at in times:
        assert sum(at - TEN_MINUTES < one <= at for one in times) <= 60


def test_an_ipv6_device_is_one_whatever_address_it_takes() -> None:
    assert address_key("2001:db8:0:1::7") == address_key("2001:db8:0:1:ffff::8")
    assert address_key("2001:db8:0:1::7") != address_key("2001:db8:0:2::7")
    assert address_key("::ffff:192.168.1.7") == address_key("192.168.1.7") == "192.168.1.7"
    assert address_key("fe80::1%eth0") == address_key("fe80::2")
    assert address_key("no address") == "unknown"
