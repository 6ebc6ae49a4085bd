"""What every store of readings must do. A test class of an implementation inherits these.

It gives a ``store`` fixture: an empty store that can be written.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import count

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from devices.reading import Quantity, Reading
from service.quality.flag import Flag, Judged
from service.store.reading_store import (
    Batch,
    Covered,
    DeadLetter,
    Gap,
    Heard,
    Overheard,
    ReadingStore,
    StoredReading,
    Stranger,
)

START = datetime(2026, 3, 1, 21, 0, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
_fresh = count()


def at(minutes: float) -> datetime:
    return START + timedelta(minutes=minutes)


def judged(
    minutes: float,
    value: float,
    *,
    device: str = "th-shed",
    place: str = "shed",
    quantity: Quantity = Quantity.TEMPERATURE,
    flag: Flag = Flag.PASS,
    received: float | None = None,
    stamped: datetime | None = None,
    raw: float | None = None,
) -> Judged:
    reading = Reading(
        device=device,
        place=place,
        quantity=quantity,
        value=value,
        measured_at=at(minutes),
        received_at=at(minutes if received is None else received),
        stamped_at=stamped,
        raw=raw,
    )
    return Judged(reading=reading, flag=flag, reason="" if flag is Flag.PASS else "odd")


def letter(
    minutes: float = 0,
    *,
    topic: str = "a/b",
    payload: bytes = b"\xff\x00",
    reason: str = "not JSON",
    count: int = 1,
    retained: bool = False,
) -> DeadLetter:
    return DeadLetter(
        topic=topic,
        payload=payload,
        reason=reason,
        at=at(minutes),
        count=count,
        retained=retained,
    )


def overheard(minutes: float = 0, *, topic: str = "radio/x", payload: bytes = b"1") -> Overheard:
    return Overheard(topic=topic, payload=payload, reason="no feed", at=at(minutes))


def stranger(
    minutes: float = 0, *, device: str = "new", measure: str = "temperature", value: float = 1.0
) -> Stranger:
    return Stranger(
        device=device, measure=measure, topic="a/b", value=value, unit="Cel", at=at(minutes)
    )


def everything(store: ReadingStore) -> tuple[object, ...]:
    """All that a store can tell, for comparing two states of it."""
    return (
        store.series(),
        store.latest(),
        [store.window(one.id, at(-1e6), at(1e6)) for one in store.series()],
        store.deadlines(),
        store.dead_letters(),
        store.dead_letters_dropped(),
        store.strangers(),
        store.gaps(),
        store.overheard(),
    )


judged_readings = st.builds(
    judged,
    st.integers(min_value=0, max_value=3),
    st.sampled_from([1.0, 2.5]),
    device=st.sampled_from(["a", "b"]),
    quantity=st.sampled_from([Quantity.TEMPERATURE, Quantity.MASS]),
    flag=st.sampled_from([Flag.PASS, Flag.SUSPECT, Flag.FAIL]),
    stamped=st.sampled_from([None, None, at(1), at(9)]),
)
batches = st.builds(
    Batch,
    judged=st.lists(judged_readings, max_size=6),
    dead_letters=st.lists(
        st.builds(letter, st.integers(0, 2), reason=st.sampled_from(["x", "y"])), max_size=3
    ),
    strangers=st.lists(
        st.builds(stranger, st.integers(0, 2), device=st.sampled_from(["n", "m"])), max_size=3
    ),
    heard=st.lists(
        st.builds(
            Heard, device=st.sampled_from(["a", "b"]), at=st.just(START), deadline=st.just(at(3))
        ),
        max_size=2,
    ),
    gaps=st.lists(
        st.builds(Gap, at=st.just(START), reason=st.sampled_from(["g", "h"])), max_size=2
    ),
    overheard=st.lists(
        st.builds(overheard, st.integers(0, 2), topic=st.sampled_from(["x", "y"])), max_size=3
    ),
)


class ReadingStoreContract:
    """Inherit, and give a ``store`` fixture."""

    # -- readings ---------------------------------------------------------------------------

    def test_empty_store_tells_nothing(self, store: ReadingStore) -> None:
        assert everything(store) == ([], [], [], [], [], 0, [], [], [])
        assert store.window(1, at(0), at(1)) == []
        assert store.buckets(1, at(0), at(1), width=MINUTE, max_gap=MINUTE) == []

    def test_empty_batch_is_stored(self, store: ReadingStore) -> None:
        assert store.commit(Batch()) == 0

    def test_reading_comes_back_as_it_was(self, store: ReadingStore) -> None:
        assert store.commit(Batch(judged=[judged(0, 21.4, flag=Flag.SUSPECT, received=2)])) == 1
        (latest,) = store.latest()
        assert (latest.series.device, latest.series.place, latest.series.quantity) == (
            "th-shed",
            "shed",
            Quantity.TEMPERATURE,
        )
        assert (latest.measured_at, latest.received_at) == (at(0), at(2))
        assert (latest.value, latest.flag, latest.reason) == (21.4, Flag.SUSPECT, "odd")
        assert store.window(latest.series.id, at(0), at(1)) == [
            StoredReading(measured_at=at(0), value=21.4, flag=Flag.SUSPECT)
        ]

    def test_series_is_device_place_and_quantity(self, store: ReadingStore) -> None:
        store.commit(
            Batch(
                judged=[
                    judged(0, 1),
                    judged(1, 1),
                    judged(0, 1, place="box-1"),
                    judged(0, 1, device="other"),
                    judged(0, 1, quantity=Quantity.MASS),
                ]
            )
        )
        ids = [one.id for one in store.series()]
        assert len(ids) == 4
        assert ids == sorted(set(ids))

    def test_repeat_changes_nothing(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(0, 21.4)]))
        before = everything(store)
        assert store.commit(Batch(judged=[judged(0, 21.4, received=5)])) == 0
        assert everything(store) == before

    def test_a_flag_is_put_right_and_the_value_stays(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(0, 8.0), judged(1, 30.0), judged(2, 8.0)]))
        store.commit(Batch(rejudged=[judged(1, 30.0, flag=Flag.FAIL)]))
        found = store.window(1, at(0), at(9))
        assert [one.value for one in found] == [8.0, 30.0, 8.0]
        assert [one.flag for one in found] == [Flag.PASS, Flag.FAIL, Flag.PASS]

    def test_a_flag_is_put_right_in_the_batch_that_brings_the_reading(
        self, store: ReadingStore
    ) -> None:
        later = [judged(1, 30.0, flag=Flag.FAIL)]
        store.commit(Batch(judged=[judged(0, 8.0), judged(1, 30.0)], rejudged=later))
        assert store.window(1, at(1), at(2))[0].flag is Flag.FAIL

    def test_the_flag_of_another_value_at_that_time_stays(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(0, 8.0)]))
        store.commit(Batch(rejudged=[judged(0, 30.0, flag=Flag.FAIL)]))
        assert store.window(1, at(0), at(1))[0].flag is Flag.PASS

    def test_reasons_are_counted_in_their_window(self, store: ReadingStore) -> None:
        odd = [judged(n, float(n), flag=Flag.SUSPECT) for n in range(5)]
        store.commit(Batch(judged=[*odd, judged(5, 5.0)]))
        assert store.reasons(1, at(1), at(9)) == [("odd", 4)]
        assert store.reasons(7, at(1), at(9)) == []

    def test_repeat_within_a_batch_counts_once(self, store: ReadingStore) -> None:
        assert store.commit(Batch(judged=[judged(0, 1), judged(0, 1), judged(1, 2)])) == 2
        assert store.dead_letters() == []

    def test_second_value_for_one_time_becomes_a_dead_letter(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(0, 21.4)]))
        assert store.commit(Batch(judged=[judged(0, 22.0), judged(1, 5.0)])) == 1
        assert [one.value for one in store.window(1, at(0), at(2))] == [21.4, 5.0]
        (kept,) = store.dead_letters()
        assert b"22.0" in kept.payload
        assert "21.4" in kept.reason

    def test_second_value_within_a_batch_becomes_a_dead_letter(self, store: ReadingStore) -> None:
        assert store.commit(Batch(judged=[judged(0, 1), judged(0, 2)])) == 1
        assert [one.value for one in store.window(1, at(0), at(1))] == [1.0]
        assert len(store.dead_letters()) == 1

    def test_redelivery_is_known_by_a_stamp_that_was_not_believed(
        self, store: ReadingStore
    ) -> None:
        stamp = at(5_000)
        assert store.commit(Batch(judged=[judged(0, 21.4, stamped=stamp)])) == 1
        assert store.commit(Batch(judged=[judged(1.9, 21.4, stamped=stamp)])) == 0
        assert [one.measured_at for one in store.window(1, at(-9), at(9_000))] == [at(0)]
        assert store.dead_letters() == []

    def test_redelivery_is_known_when_its_stamp_is_believed_by_now(
        self, store: ReadingStore
    ) -> None:
        assert store.commit(Batch(judged=[judged(4, 21.4, stamped=at(10))])) == 1
        assert store.commit(Batch(judged=[judged(10, 21.4, received=5.5)])) == 0
        assert store.dead_letters() == []

    def test_redelivery_is_known_when_its_stamp_is_no_longer_believed(
        self, store: ReadingStore
    ) -> None:
        assert store.commit(Batch(judged=[judged(-10, 21.4, received=0)])) == 1
        assert store.commit(Batch(judged=[judged(1, 21.4, stamped=at(-10))])) == 0
        assert store.dead_letters() == []

    def test_other_values_under_one_unbelieved_stamp_are_readings_of_their_own(
        self, store: ReadingStore
    ) -> None:
        stamp = datetime(2000, 1, 1, 0, 0, 5, tzinfo=UTC)
        rows = [judged(n / 10, 20.0 + n, stamped=stamp) for n in range(5)]
        assert store.commit(Batch(judged=rows)) == 5
        assert store.commit(Batch(judged=rows)) == 0
        assert [one.value for one in store.window(1, at(0), at(9))] == [20, 21, 22, 23, 24]
        assert store.dead_letters() == []

    def test_equal_values_of_a_clock_that_stands_still_are_kept_when_they_come_later(
        self, store: ReadingStore
    ) -> None:
        stamp = datetime(2000, 1, 1, 0, 0, 5, tzinfo=UTC)
        for minutes in (0, 5, 10):
            row = judged(minutes, 1.0, quantity=Quantity.MAINS, stamped=stamp)
            assert store.commit(Batch(judged=[row])) == 1
        assert [one.measured_at for one in store.window(1, at(0), at(99))] == [at(0), at(5), at(10)]

    def test_another_value_than_that_of_a_stamp_not_believed_before_is_stored(
        self, store: ReadingStore
    ) -> None:
        assert store.commit(Batch(judged=[judged(4, 21.4, stamped=at(10))])) == 1
        assert store.commit(Batch(judged=[judged(10, 3.0, received=5.5)])) == 1
        assert store.dead_letters() == []

    def test_time_of_arrival_that_is_taken_makes_a_dead_letter_of_another_value(
        self, store: ReadingStore
    ) -> None:
        store.commit(Batch(judged=[judged(0, 21.4, stamped=at(8_000))]))
        assert store.commit(Batch(judged=[judged(0, 3.0, stamped=at(9_000))])) == 0
        assert len(store.dead_letters()) == 1

    def test_two_readings_with_unbelieved_stamps_are_two(self, store: ReadingStore) -> None:
        first = judged(0, 1, stamped=at(8_000))
        second = judged(1, 1, stamped=at(8_001))
        assert store.commit(Batch(judged=[first, second])) == 2

    def test_latest_is_by_measured_time_whatever_the_order(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(5, 5.0)]))
        store.commit(Batch(judged=[judged(2, 2.0, received=5.5)]))
        assert [one.value for one in store.latest()] == [5.0]
        store.commit(Batch(judged=[judged(6, 6.0, flag=Flag.FAIL)]))
        assert [(one.value, one.flag) for one in store.latest()] == [(6.0, Flag.FAIL)]

    def test_latest_is_not_hidden_by_a_clock_that_ran_ahead(self, store: ReadingStore) -> None:
        day = 24 * 60
        store.commit(Batch(judged=[judged(day, 21.0), judged(day, 1.0, device="dead")]))
        store.commit(Batch(judged=[judged(0, 3.0)]))
        assert [one.value for one in store.latest()] == [3.0, 1.0]
        store.commit(Batch(judged=[judged(1, 4.0), judged(0.5, 2.0, received=1.5)]))
        assert store.latest()[0].value == 4.0

    def test_latest_is_not_hidden_when_the_time_of_the_clock_that_ran_ahead_has_come(
        self, store: ReadingStore
    ) -> None:
        day = 24 * 60
        store.commit(Batch(judged=[judged(day, 21.0)]))
        for minutes in (day - 3, day - 0.001, day + 1):
            store.commit(Batch(judged=[judged(minutes, 3.0)]))
            assert [one.value for one in store.latest()] == [3.0]

    def test_latest_is_not_moved_by_repeats(self, store: ReadingStore) -> None:
        first = Batch(judged=[judged(0, 1.0)])
        store.commit(first)
        store.commit(Batch(judged=[judged(9, 9.0)]))
        store.commit(first)
        store.commit(Batch(judged=[*first.judged, judged(0, 1.0, device="new")]))
        assert [one.value for one in store.latest()] == [9.0, 1.0]

    def test_latest_is_not_taken_back_by_an_older_recording(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(60, 6.0)]))
        store.commit(Batch(judged=[judged(0, 1.0), judged(1, 2.0)], recorded=True))
        assert [one.value for one in store.latest()] == [6.0]
        store.commit(Batch(judged=[judged(90, 9.0)], recorded=True))
        assert [one.value for one in store.latest()] == [9.0]

    def test_latest_may_be_stamped_a_little_ahead_of_its_arrival(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(4, 4.0, received=0), judged(1, 1.0)]))
        assert [one.value for one in store.latest()] == [4.0]

    def test_window_takes_its_start_and_leaves_its_end(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(minute, minute) for minute in range(5)]))
        assert [one.value for one in store.window(1, at(1), at(3))] == [1.0, 2.0]

    def test_window_is_oldest_first_whatever_came_first(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(minute, minute) for minute in (3, 1, 2)]))
        assert [one.value for one in store.window(1, at(0), at(9))] == [1.0, 2.0, 3.0]

    def test_window_bounds_finer_than_the_clock_are_kept(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(0, 1.0)]))
        little = timedelta(microseconds=1)
        assert store.window(1, START + little, at(1)) == []
        assert len(store.window(1, START, START + little)) == 1

    def test_samples_are_the_usable_readings_of_the_window_as_pairs(
        self, store: ReadingStore
    ) -> None:
        flags = (Flag.PASS, Flag.SUSPECT, Flag.FAIL, Flag.MISSING, Flag.PASS, Flag.PASS)
        told = [judged(n, float(n), flag=flag) for n, flag in enumerate(flags)]
        store.commit(Batch(judged=told))
        ms = [int(at(n).timestamp() * 1000) for n in range(6)]
        assert store.samples(1, at(0), at(5)) == [(ms[0], 0.0), (ms[1], 1.0), (ms[4], 4.0)]

    def test_flagged_samples_are_all_readings_of_the_window_with_their_flags(
        self, store: ReadingStore
    ) -> None:
        flags = (Flag.PASS, Flag.FAIL, Flag.SUSPECT)
        store.commit(Batch(judged=[judged(n, float(n), flag=f) for n, f in enumerate(flags)]))
        ms = [int(at(n).timestamp() * 1000) for n in range(3)]
        assert store.flagged_samples(1, at(0), at(3)) == [
            (ms[0], 0.0, Flag.PASS),
            (ms[1], 1.0, Flag.FAIL),
            (ms[2], 2.0, Flag.SUSPECT),
        ]
        assert store.flagged_samples(1, at(1), at(2)) == [(ms[1], 1.0, Flag.FAIL)]

    def test_the_first_reading_of_a_window_is_found(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(n, 1.0) for n in (3, 5, 9)]))
        assert store.first(1, at(4), at(20)) == at(5)
        assert store.first(1, at(5), at(20)) == at(5)
        assert store.first(1, at(6), at(9)) is None
        assert store.first(7, at(0), at(20)) is None

    # -- calibrated -------------------------------------------------------------------------

    def test_raw_value_of_a_calibrated_reading_is_kept_beside_it(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(0, 21.9, raw=21.4), judged(1, 20.0)]))
        assert [(one.value, one.raw) for one in store.window(1, at(0), at(9))] == [
            (21.9, 21.4),
            (20.0, None),
        ]

    def test_redelivery_after_a_calibration_is_no_second_reading(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(0, 21.4), judged(1, 5.0, stamped=at(5_000))]))
        again = [judged(0, 21.9, raw=21.4), judged(2, 5.5, raw=5.0, stamped=at(5_000))]
        assert store.commit(Batch(judged=again)) == 0
        assert [one.value for one in store.window(1, at(0), at(9))] == [21.4, 5.0]
        assert store.dead_letters() == []

    def test_second_raw_value_for_one_time_becomes_a_dead_letter(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(0, 21.4)]))
        store.commit(Batch(judged=[judged(0, 21.4, raw=20.9)]))
        (kept,) = store.dead_letters()
        assert "21.4 is kept, this is 20.9" in kept.reason

    # -- overheard --------------------------------------------------------------------------

    def test_overheard_topic_is_kept_with_its_newest_message(self, store: ReadingStore) -> None:
        store.commit(Batch(overheard=[overheard(0, payload=b"1"), overheard(2, payload=b"2")]))
        store.commit(Batch(overheard=[overheard(1, payload=b"old")]))
        store.commit(Batch(overheard=[overheard(3, topic="radio/y", payload=b"\xff")]))
        assert [(one.topic, one.payload, one.count, one.at) for one in store.overheard()] == [
            ("radio/y", b"\xff", 1, at(3)),
            ("radio/x", b"2", 2, at(2)),
        ]

    def test_overheard_topics_are_bounded_and_the_longest_unheard_goes(
        self, store: ReadingStore
    ) -> None:
        store.commit(Batch(overheard=[overheard(n, topic=f"t/{n}") for n in range(230)]))
        kept = [one.topic for one in store.overheard()]
        assert len(kept) == 200
        assert (kept[0], kept[-1]) == ("t/229", "t/30")

    def test_overheard_topic_that_is_understood_is_forgotten(self, store: ReadingStore) -> None:
        store.commit(Batch(overheard=[overheard(), overheard(topic="radio/y")]))
        store.commit(Batch(understood_topics=["radio/x", "never/heard"]))
        assert [one.topic for one in store.overheard()] == ["radio/y"]

    # -- understood after all ---------------------------------------------------------------

    def test_letter_that_is_understood_goes_with_the_commit_of_its_reading(
        self, store: ReadingStore
    ) -> None:
        store.commit(Batch(dead_letters=[letter(), letter(payload=b"2"), letter(reason="x")]))
        understood = [one for one in store.dead_letters() if one.payload == b"2"]
        assert store.commit(Batch(judged=[judged(0, 1)], understood_letters=understood)) == 1
        assert {(one.payload, one.reason) for one in store.dead_letters()} == {
            (b"\xff\x00", "not JSON"),
            (b"\xff\x00", "x"),
        }
        assert store.dead_letters_dropped() == 0

    def test_letter_that_was_retained_is_another_than_one_that_was_not(
        self, store: ReadingStore
    ) -> None:
        store.commit(Batch(dead_letters=[letter(), letter(retained=True)]))
        assert {one.retained for one in store.dead_letters()} == {True, False}
        (kept,) = (one for one in store.dead_letters() if one.retained)
        store.commit(Batch(understood_letters=[kept]))
        assert [one.retained for one in store.dead_letters()] == [False]

    def test_stranger_that_got_a_place_is_forgotten(self, store: ReadingStore) -> None:
        store.commit(Batch(strangers=[stranger(), stranger(measure="humidity")]))
        store.commit(Batch(understood_strangers=[("new", "temperature")]))
        assert [one.measure for one in store.strangers()] == ["humidity"]

    # -- buckets ----------------------------------------------------------------------------

    def test_buckets_tell_low_mean_high_and_number(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(0, 1.0), judged(1, 2.0), judged(2, 6.0), judged(5, 9.0)]))
        first, second = store.buckets(1, at(0), at(10), width=5 * MINUTE, max_gap=MINUTE)
        assert (first.start, first.minimum, first.mean, first.maximum, first.count) == (
            at(0),
            1.0,
            3.0,
            6.0,
            3,
        )
        assert (second.start, second.mean, second.count) == (at(5), 9.0, 1)

    @pytest.mark.parametrize("minutes", [1, 3, 7, 60])
    def test_means_are_those_of_the_buckets(self, store: ReadingStore, minutes: int) -> None:
        readings = [
            judged(n, n * n / 7, flag=Flag.FAIL if n % 5 == 0 else Flag.PASS) for n in range(40)
        ]
        store.commit(Batch(judged=[one for n, one in enumerate(readings) if n % 9]))
        width = minutes * MINUTE
        buckets = store.buckets(1, at(2), at(38), width=width, max_gap=MINUTE)
        means = store.means(1, at(2), at(38), width=width)
        assert [one.start for one in means] == [one.start for one in buckets]
        assert [one.mean for one in means] == pytest.approx([one.mean for one in buckets])
        assert means

    def test_bucket_leaves_failed_readings_out(self, store: ReadingStore) -> None:
        store.commit(
            Batch(
                judged=[
                    judged(0, 1.0),
                    judged(1, 999.0, flag=Flag.FAIL),
                    judged(2, 3.0, flag=Flag.SUSPECT),
                    judged(6, 999.0, flag=Flag.FAIL),
                ]
            )
        )
        (bucket,) = store.buckets(1, at(0), at(10), width=5 * MINUTE, max_gap=MINUTE)
        assert (bucket.maximum, bucket.count) == (3.0, 2)
        assert bucket.coverage == pytest.approx(2 / 5)

    @pytest.mark.parametrize(
        ("minutes", "since", "covered"),
        [
            # Each case worked out by hand: minutes of 0 to 10 that lie within 3 of a reading.
            ([0, 1, 2, 3, 4, 5, 6, 7, 8, 9], 0, 10),
            ([0], 0, 3),
            ([8], 8, 2),
            ([0, 5], 0, 6),
            ([-1, 4], 0, 2 + 3),
            ([-30, 4], 0, 3),
            ([-30], 0, 0),
            ([2, 3], 2, 4),
        ],
    )
    def test_how_long_a_series_was_heard(
        self, store: ReadingStore, minutes: Sequence[int], since: int, covered: int
    ) -> None:
        store.commit(Batch(judged=[judged(minute, 1.0) for minute in minutes]))
        told = store.covered(1, at(0), at(10), max_gap=3 * MINUTE)
        assert told == Covered(since=at(since), length=covered * MINUTE)

    def test_a_failed_reading_covers_nothing(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(0, 1.0), judged(5, 999.0, flag=Flag.FAIL)]))
        told = store.covered(1, at(0), at(10), max_gap=3 * MINUTE)
        assert told == Covered(since=at(0), length=3 * MINUTE)

    def test_before_its_first_reading_nothing_is_covered(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(12, 1.0)]))
        assert store.covered(1, at(0), at(10), max_gap=MINUTE) is None
        assert store.covered(99, at(0), at(10), max_gap=MINUTE) is None

    @settings(
        deadline=None,
        max_examples=60,
        suppress_health_check=[HealthCheck.function_scoped_fixture],
    )
    @given(st.data())
    def test_covered_agrees_with_one_bucket(self, store: ReadingStore, data: st.DataObject) -> None:
        device = f"s{next(_fresh)}"  # one store serves all examples
        seconds = data.draw(st.lists(st.integers(-600, 1199), min_size=1, unique=True, max_size=30))
        gap = timedelta(seconds=data.draw(st.integers(0, 900)))
        store.commit(Batch(judged=[judged(s / 60, 1.0, device=device) for s in [*seconds, 0.5]]))
        (series_id,) = (one.id for one in store.series() if one.device == device)
        (bucket,) = store.buckets(series_id, at(0), at(20), width=20 * MINUTE, max_gap=gap)
        told = store.covered(series_id, at(0), at(20), max_gap=gap)
        assert told is not None
        assert told.length / (20 * MINUTE) == pytest.approx(bucket.coverage)

    def test_bucket_without_a_reading_is_absent(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(0, 1.0), judged(12, 1.0)]))
        buckets = store.buckets(1, at(0), at(15), width=5 * MINUTE, max_gap=MINUTE)
        assert [one.start for one in buckets] == [at(0), at(10)]

    @pytest.mark.parametrize(
        ("minutes", "coverage"),
        [
            # Each case worked out by hand, in minutes of 10 covered with max_gap 3.
            ([0, 1, 2, 3, 4, 5, 6, 7, 8, 9], 10),
            ([0], 3),
            ([8], 2),
            ([0, 1], 4),
            ([0, 5], 6),
            ([-1, 4], 2 + 3),
            ([-5, 4], 3),
            ([-2, 0], 3),
            ([-3, 4], 3),
            ([5, 12], 3),
        ],
    )
    def test_coverage_is_the_share_within_the_gap_after_a_reading(
        self, store: ReadingStore, minutes: Sequence[int], coverage: float
    ) -> None:
        store.commit(Batch(judged=[judged(minute, 1.0) for minute in minutes]))
        first = store.buckets(1, at(0), at(20), width=10 * MINUTE, max_gap=3 * MINUTE)[0]
        assert first.start == at(0)
        assert first.coverage == pytest.approx(coverage / 10)

    def test_coverage_ends_with_the_window(self, store: ReadingStore) -> None:
        store.commit(Batch(judged=[judged(0, 1.0)]))
        (bucket,) = store.buckets(1, at(0), at(2), width=10 * MINUTE, max_gap=5 * MINUTE)
        assert bucket.coverage == pytest.approx(0.2)

    @settings(
        deadline=None,
        max_examples=60,
        suppress_health_check=[HealthCheck.function_scoped_fixture],
    )
    @given(st.data())
    def test_buckets_agree_with_the_window(self, store: ReadingStore, data: st.DataObject) -> None:
        device = f"s{next(_fresh)}"  # one store serves all examples
        seconds = data.draw(st.lists(st.integers(-600, 1800), min_size=1, unique=True, max_size=30))
        width_s = data.draw(st.integers(1, 900))
        gap_s = data.draw(st.integers(0, 900))
        store.commit(Batch(judged=[judged(s / 60, float(s), device=device) for s in seconds]))
        (series_id,) = (one.id for one in store.series() if one.device == device)
        buckets = store.buckets(
            series_id,
            at(0),
            at(20),
            width=timedelta(seconds=width_s),
            max_gap=timedelta(seconds=gap_s),
        )
        inside = [float(s) for s in seconds if 0 <= s < 1200]
        assert sum(one.count for one in buckets) == len(inside)
        for one in buckets:
            low = (one.start - START).total_seconds()
            values = [s for s in inside if low <= s < low + width_s]
            covered = {
                t
                for t in range(int(low), min(int(low) + width_s, 1200))
                if any(s <= t < s + gap_s for s in seconds)
            }
            assert (one.minimum, one.maximum, one.count) == (min(values), max(values), len(values))
            assert one.mean == pytest.approx(sum(values) / len(values))
            assert one.coverage == pytest.approx(len(covered) / width_s)

    # -- the rest of a batch ----------------------------------------------------------------

    def test_deadline_is_kept_for_each_device(self, store: ReadingStore) -> None:
        heard = [Heard(device=name, at=at(0), deadline=at(3)) for name in ("b", "a")]
        store.commit(Batch(heard=heard))
        assert store.deadlines() == sorted(heard, key=lambda one: one.device)

    def test_deadline_never_moves_back(self, store: ReadingStore) -> None:
        store.commit(Batch(heard=[Heard(device="a", at=at(5), deadline=at(8))]))
        store.commit(Batch(heard=[Heard(device="a", at=at(1), deadline=at(4))]))
        assert store.deadlines() == [Heard(device="a", at=at(5), deadline=at(8))]
        store.commit(Batch(heard=[Heard(device="a", at=at(6), deadline=at(9))]))
        assert store.deadlines() == [Heard(device="a", at=at(6), deadline=at(9))]

    def test_a_deadline_that_is_set_moves_back_too(self, store: ReadingStore) -> None:
        store.commit(Batch(heard=[Heard(device="a", at=at(5), deadline=at(8))]))
        store.commit(Batch(deadlines=[Heard(device="a", at=at(5), deadline=at(6))]))
        assert store.deadlines() == [Heard(device="a", at=at(5), deadline=at(6))]

    def test_dead_letters_come_newest_first(self, store: ReadingStore) -> None:
        store.commit(Batch(dead_letters=[letter(1, reason="b"), letter(0, reason="a")]))
        assert store.dead_letters() == [letter(1, reason="b"), letter(0, reason="a")]

    def test_the_newest_dead_letters_alone_can_be_asked_for(self, store: ReadingStore) -> None:
        assert store.dead_letters_kept() == 0
        letters = [letter(n, reason=f"{n}") for n in range(5)]
        store.commit(Batch(dead_letters=letters))
        assert store.dead_letters(2) == [letters[4], letters[3]]
        assert store.dead_letters(0) == []
        assert len(store.dead_letters()) == store.dead_letters_kept() == 5

    def test_those_of_one_topic_come_oldest_first_and_in_portions(
        self, store: ReadingStore
    ) -> None:
        letters = [letter(n, reason=f"{n}") for n in range(5)]
        other = replace(letter(2, reason="other"), topic="elsewhere")
        store.commit(Batch(dead_letters=[*letters, other]))
        topic = letters[0].topic
        assert store.dead_letters_of(topic, skip=0, most=2) == letters[:2]
        assert store.dead_letters_of(topic, skip=2, most=9) == letters[2:]
        assert store.dead_letters_of(topic, skip=5, most=9) == []
        assert store.dead_letters_of("elsewhere", skip=0, most=9) == [other]

    def test_equal_dead_letters_are_counted(self, store: ReadingStore) -> None:
        store.commit(Batch(dead_letters=[letter(0), letter(0), letter(1)]))
        store.commit(Batch(dead_letters=[letter(2), letter(2, payload=b"other")]))
        assert [(one.payload, one.count, one.at) for one in store.dead_letters()] == [
            (b"other", 1, at(2)),
            (b"\xff\x00", 4, at(2)),
        ]

    def test_dead_letters_are_capped_and_the_oldest_go(self, store: ReadingStore) -> None:
        store.commit(Batch(dead_letters=[letter(n, payload=b"%d" % n) for n in range(9_999)]))
        assert store.dead_letters_dropped() == 0
        more = [letter(n, payload=b"%d" % n) for n in range(9_999, 10_003)]
        store.commit(Batch(dead_letters=more))
        kept = store.dead_letters()
        assert len(kept) == 10_000
        assert (kept[0].payload, kept[-1].payload) == (b"10002", b"3")
        assert store.dead_letters_dropped() == 3

    def test_odd_text_is_no_reason_to_lose_a_batch(self, store: ReadingStore) -> None:
        odd = letter(topic="\ud800/<b>\x00", reason="\udfff'; DROP TABLE readings; --")
        assert store.commit(Batch(judged=[judged(0, 1)], dead_letters=[odd])) == 1
        (kept,) = store.dead_letters()
        assert "<b>" in kept.topic

    def test_stranger_is_kept_with_its_last_value(self, store: ReadingStore) -> None:
        store.commit(Batch(strangers=[stranger(0, value=1.0), stranger(1, value=2.0)]))
        store.commit(Batch(strangers=[stranger(2, value=3.0), stranger(2, measure="wind")]))
        assert [(one.measure, one.value, one.count, one.at) for one in store.strangers()] == [
            ("temperature", 3.0, 3, at(2)),
            ("wind", 1.0, 1, at(2)),
        ]

    def test_longest_unheard_strangers_go_beyond_200_senders(self, store: ReadingStore) -> None:
        store.commit(Batch(strangers=[stranger(n, device=f"n{n}") for n in range(200)]))
        store.commit(Batch(strangers=[stranger(500, device="n0"), stranger(501, device="late")]))
        kept = [one.device for one in store.strangers()]
        assert len(kept) == 200
        assert kept[:2] == ["late", "n0"]
        assert "n1" not in kept

    def test_gaps_come_newest_first_and_once(self, store: ReadingStore) -> None:
        gaps = [Gap(at=at(0), reason="new session"), Gap(at=at(1), reason="new session")]
        store.commit(Batch(gaps=gaps))
        store.commit(Batch(gaps=gaps))
        assert store.gaps() == gaps[::-1]

    @settings(
        deadline=None,
        max_examples=40,
        suppress_health_check=[HealthCheck.function_scoped_fixture],
    )
    @given(batches)
    def test_batch_committed_twice_is_as_good_as_once(
        self, store: ReadingStore, batch: Batch
    ) -> None:
        store.commit(batch)
        once = everything(store)
        assert store.commit(batch) == 0
        assert everything(store) == once

    @settings(
        deadline=None,
        max_examples=60,
        suppress_health_check=[HealthCheck.function_scoped_fixture],
    )
    @given(
        st.floats(allow_nan=False, allow_infinity=False),
        st.integers(min_value=-(10**12), max_value=4 * 10**12),
        st.sampled_from(list(Quantity)),
        st.sampled_from(list(Flag)),
    )
    def test_any_reading_comes_back(
        self, store: ReadingStore, value: float, ms: int, quantity: Quantity, flag: Flag
    ) -> None:
        measured = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=ms)
        device = f"d{ms}-{value!r}-{quantity}-{flag}"
        reading = Reading(
            device=device,
            place="shed",
            quantity=quantity,
            value=value,
            measured_at=measured,
            received_at=measured,
        )
        store.commit(Batch(judged=[Judged(reading=reading, flag=flag)]))
        (series_id,) = (one.id for one in store.series() if one.device == device)
        found = store.window(series_id, measured, measured + timedelta(milliseconds=1))
        assert found == [StoredReading(measured_at=measured, value=value, flag=flag)]
