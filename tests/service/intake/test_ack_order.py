"""Acknowledging in receive order (OASIS MQTT 5.0, section 4.6, [MQTT-4.6.0-2])."""

from hypothesis import given
from hypothesis import strategies as st

from service.intake.ack_order import AckOrder


@given(st.permutations(range(1, 12)))
def test_acks_leave_in_receive_order_whatever_the_order_of_storing(stored: list[int]) -> None:
    order = AckOrder()
    for mid in range(1, 12):
        order.received(mid)
    sent: list[int] = []
    for mid in stored:
        order.is_safe(mid)
        sent += order.ready()
    assert sent == list(range(1, 12))


def test_one_that_is_not_stored_holds_up_those_behind_it() -> None:
    order = AckOrder()
    for mid in (7, 8, 9):
        order.received(mid)
    order.is_safe(8)
    order.is_safe(9)
    assert order.ready() == []


def test_what_needs_no_storing_waits_for_its_turn() -> None:
    order = AckOrder()
    order.received(1)
    order.received(2, safe=True)
    assert order.ready() == []
    order.is_safe(1)
    assert order.ready() == [1, 2]


def test_a_number_that_nobody_waits_for_is_left_alone() -> None:
    order = AckOrder()
    order.is_safe(5)
    order.received(5)
    assert order.ready() == []
