"""Two listeners of one name are noticed by how often they connect."""

from service.intake.liveness import ConnectCounter


def test_five_connects_in_a_minute_are_suspicious() -> None:
    counter = ConnectCounter()
    for now in (0, 15, 30, 45):
        counter.connected(now)
    assert not counter.two_copies_suspected(45)
    counter.connected(60)
    assert counter.two_copies_suspected(60)


def test_five_connects_in_more_than_a_minute_are_not() -> None:
    counter = ConnectCounter()
    for now in (0, 16, 31, 46, 61):
        counter.connected(now)
    assert not counter.two_copies_suspected(61)


def test_the_suspicion_is_kept_for_ten_minutes() -> None:
    counter = ConnectCounter()
    for now in range(5):
        counter.connected(now)
    assert counter.two_copies_suspected(603)
    assert not counter.two_copies_suspected(604)
