"""Two devices of one name: who takes turns is two, who starts anew is one."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from service.quality.twins import Spoken, TwinTrack, hear

START = datetime(2026, 3, 1, 21, 0, tzinfo=UTC)
TOPIC = "clutchweather/th-shed/senml"


def at(minutes: float) -> datetime:
    return START + timedelta(minutes=minutes)


def said(
    minutes: float,
    boot: str | None = None,
    seq: int | None = None,
    *,
    topic: str = TOPIC,
    measured: float | None = None,
    measures: tuple[str, ...] = ("temperature",),
    patience: float = 0,
) -> Spoken:
    return Spoken(
        topic=topic,
        at=at(minutes),
        boot=boot,
        seq=seq,
        measured_at=None if measured is None else at(measured),
        measures=frozenset(measures),
        patience=timedelta(minutes=patience),
    )


def heard(*spoken: Spoken, track: TwinTrack | None = None) -> TwinTrack:
    track = track or TwinTrack()
    for one in spoken:
        track = hear(track, one)
    return track


def alternating(minutes: int) -> list[Spoken]:
    """Two devices, one message a minute each."""
    return [
        one
        for n in range(minutes)
        for one in (
            said(n, "a", 500 + n, measured=n),
            said(n + 0.5, "b", 7 + n, measured=n + 0.5),
        )
    ]


def test_two_boots_that_take_turns_are_two_devices_within_two_minutes() -> None:
    assert heard(*alternating(2)).twins


def test_one_device_is_one_device() -> None:
    assert not heard(*(said(n, "a", n, measured=n) for n in range(300))).twins


def test_a_device_that_starts_again_and_again_is_one() -> None:
    runs = [said(4 * k + n, f"boot-{k}", n, measured=4 * k + n) for k in range(9) for n in range(3)]
    assert not heard(*runs).twins


def test_what_the_broker_sends_again_after_a_new_start_is_no_turn() -> None:
    before = [said(n, "a", n, measured=n) for n in range(5)]
    after = [said(5 + n, "b", n, measured=5 + n) for n in range(3)]
    again = [said(8, one.boot, one.seq, measured=(one.at - START) / timedelta(minutes=1))
             for one in (*before[2:], *after)]  # fmt: skip
    assert not heard(*before, *after, *again, said(9, "b", 3, measured=9)).twins


def test_what_a_device_had_kept_from_before_its_new_start_is_no_turn() -> None:
    kept = [said(6 + n, "a", 5 + n, measured=2 + n / 10) for n in range(4)]
    live = [said(5 + 2 * n, "b", n, measured=5 + 2 * n) for n in range(3)]
    spoken = sorted([*kept, *live], key=lambda one: one.at)
    assert not heard(said(0, "a", 4, measured=0), *spoken).twins


def test_a_turn_after_more_than_ten_minutes_is_none() -> None:
    turn = (said(0, "a", 1), said(1, "b", 1), said(11, "a", 2))
    assert not heard(*turn).twins
    slow = (said(0, "a", 1), said(1, "b", 1), said(11, "a", 2, patience=30))
    assert heard(*slow).twins


def test_a_count_that_runs_backwards_and_goes_on_under_one_boot_is_two_devices() -> None:
    spoken = [
        one
        for n in range(3)
        for one in (
            said(n, "a", 1000 + n, measured=n),
            said(n + 0.5, "a", 10 + n, measured=n + 0.5),
        )
    ]
    assert heard(*spoken).twins


def test_two_counts_without_a_boot_are_two_devices() -> None:
    spoken = [one for n in range(3) for one in (said(n, seq=1000 + n), said(n + 0.5, seq=10 + n))]
    assert heard(*spoken).twins


def test_a_count_that_begins_anew_without_a_boot_is_one_device() -> None:
    first = [said(n, seq=65_500 + n) for n in range(36)]
    anew = [said(36 + n, seq=n) for n in range(30)]
    assert not heard(*first, *anew).twins


def test_one_name_under_two_topics_that_tell_the_same_measure_is_two_devices() -> None:
    turns = [
        said(n / 2, topic=f"radio/{'north' if n % 2 else 'south'}/x", measured=n / 2)
        for n in range(4)
    ]
    assert heard(*turns).twins
    assert heard(*turns).topics == ("radio/south/x", "radio/north/x")


def test_one_name_under_two_topics_without_time_is_two_devices_at_the_second_turn() -> None:
    turns = [said(n, topic=f"radio/{n % 2}") for n in range(6)]
    assert not heard(*turns[:3]).twins
    assert heard(*turns).twins


def test_a_topic_for_each_measure_is_one_device() -> None:
    spoken = [
        said(n / 2, topic=f"x/{measure}", measures=(measure,), measured=n / 2)
        for n in range(40)
        for measure in ("temperature", "humidity")
    ]
    assert not heard(*spoken).twins


def test_a_pack_that_tells_no_run_says_nothing() -> None:
    assert not heard(said(0, "a", 1), said(1), said(2, "a", 2), said(3), said(4, "a", 3)).twins


def test_twins_end_when_one_was_heard_alone_for_fifteen_minutes() -> None:
    track = heard(*alternating(5))
    alone = [said(5 + n, "a", 505 + n, measured=5 + n) for n in range(17)]
    assert heard(*alone[:14], track=track).twins
    assert not heard(*alone, track=track).twins


def test_silence_of_both_does_not_end_them() -> None:
    track = heard(*alternating(5))
    assert heard(said(60, "a", 560), said(61, "a", 561), track=track).twins
    assert heard(said(5, "a", 505), said(60, "a", 560), track=track).twins


def test_an_alarm_that_was_there_at_the_start_ends_like_any_other() -> None:
    left = TwinTrack(twins=True)
    alone = [said(n, "a", n, measured=n) for n in range(17)]
    assert heard(*alone[:14], track=left).twins
    assert not heard(*alone, track=left).twins


@given(st.lists(st.integers(0, 400), min_size=1, max_size=40), st.integers(0, 5))
def test_repeats_in_any_order_make_no_two_of_one(again: list[int], boots: int) -> None:
    """One device that starts anew now and then; any of what it said may come again."""
    once = [
        said(n, f"boot-{n * boots // 60}", n % (60 // max(boots, 1)), measured=n) for n in range(60)
    ]
    track = TwinTrack()
    for number, one in enumerate(once):
        track = hear(track, one)
        for back in again[: number % 3]:
            old = once[back % (number + 1)]
            repeat = Spoken(
                topic=old.topic,
                at=one.at,
                boot=old.boot,
                seq=old.seq,
                measured_at=old.measured_at,
                measures=old.measures,
            )
            track = hear(track, repeat)
    assert not track.twins


@given(st.lists(st.booleans(), min_size=1, max_size=60), st.integers(1, 4))
def test_never_more_than_a_few_runs_are_remembered(turns: list[bool], seed: int) -> None:
    track = TwinTrack()
    for n, turn in enumerate(turns):
        track = hear(track, said(n, f"{seed}-{n if turn else 0}", n))
        assert len(track.runs) <= 4
