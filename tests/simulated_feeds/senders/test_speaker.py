"""What senders suffer, seen in their messages as a service reads them."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest

from devices.sensor import Format
from service.quality.twins import Spoken, TwinTrack, hear
from simulated_feeds.day import DAY, Handling, NestDay, ShedDay, Stay, Who
from simulated_feeds.happening import Happening, What
from simulated_feeds.senders.parameters import Sender, SenderKind
from simulated_feeds.stream import Sent
from tests.simulated_feeds.hand_made_days import START, air_day, even, smooth_days
from tests.simulated_feeds.senders.made_senders import (
    EXACT,
    MINUTE,
    at,
    happens,
    read,
    scale,
    sender,
    told,
    values,
)

ONE = sender(air=EXACT)


def boots(sent: Sequence[Sent], senders: Sequence[Sender] = (ONE,)) -> list[str]:
    return [next(iter(read(one, senders).boots.values())) for one in sent]


def seqs(sent: Sequence[Sent], senders: Sequence[Sender] = (ONE,)) -> list[int]:
    return [next(iter(read(one, senders).seqs.values())) for one in sent]


def stamps(sent: Sequence[Sent], senders: Sequence[Sender] = (ONE,)) -> list[datetime]:
    found = []
    for one in sent:
        measured = read(one, senders).measurements[0].measured_at
        assert measured is not None
        found.append(measured)
    return found


def test_sender_speaks_at_its_interval_and_counts() -> None:
    sent = told([ONE], days=2)
    assert len(sent) == 2880
    assert sent[0].at == START + timedelta(seconds=7)
    assert {later.at - earlier.at for earlier, later in pairwise(sent)} == {MINUTE}
    assert seqs(sent) == list(range(2880))
    assert len(set(boots(sent))) == 1
    assert stamps(sent) == [one.at for one in sent]


def test_pack_is_sent_with_its_last_sample() -> None:
    sent = told([scale()])
    assert len(sent) == 1440
    assert sent[0].at == START + timedelta(seconds=53)
    assert stamps(sent[:1], [scale()]) == [START + timedelta(seconds=3)]


def test_stopped_sensor_says_nothing_and_comes_back_in_a_new_run() -> None:
    sent = told([ONE], [happens(What.STOPS, 6, 8)])
    assert not [one for one in sent if at(6) <= one.at < at(8)]
    after = [one for one in sent if one.at >= at(8)]
    assert seqs(after)[:3] == [0, 1, 2]
    assert len(set(boots(sent))) == 2
    assert len(sent) == 1440 - 120


def test_sensor_that_stops_leaves_the_others_alone() -> None:
    other = sender("th-other", air=EXACT)
    both = told([ONE, other], [happens(What.STOPS, 6, 8)])
    assert [one for one in both if "th-other" in one.topic] == told([other])


def test_stuck_sensor_repeats_its_last_value_with_new_times() -> None:
    noisy = sender()
    sent = told([noisy], [happens(What.STUCK, 6, 9)])
    stuck = [one for one in sent if at(6) <= one.at < at(9)]
    before = [one for one in sent if one.at < at(6)][-1]
    for measure in ("temperature", "humidity", "light"):
        assert set(values(stuck, measure, [noisy])) == set(values([before], measure, [noisy]))
    assert len(set(stamps(stuck, [noisy]))) == 180
    assert len(set(values([one for one in sent if one.at >= at(9)], "light", [noisy]))) > 5


def test_stuck_over_midnight_keeps_the_value_of_the_day_before() -> None:
    sent = told([ONE], [happens(What.STUCK, 20, 30)], days=2)
    stuck = [one for one in sent if at(20) <= one.at < at(30)]
    assert len(set(values(stuck, "temperature", [ONE]))) == 1


def test_sensor_reads_85_while_it_is_said_so() -> None:
    sent = told([ONE], [happens(What.READS_85, 6, 7)])
    hot = [one for one in sent if at(6) <= one.at < at(7)]
    assert set(values(hot, "temperature", [ONE])) == {85.0}
    assert values(sent, "temperature", [ONE]).count(85.0) == len(hot) == 60


def test_first_reading_after_a_restart_is_85_and_no_other() -> None:
    # The power-on value of a common digital thermometer is +85 °C (its data sheet).
    one = sender(air=EXACT, powers_on_at_85=True)
    sent = told([one], [happens(What.STOPS, 6, 8), happens(What.STOPS, 26, 27)], days=2)
    hot = [message.at for message in sent if values([message], "temperature", [one]) == [85.0]]
    assert hot == [at(8) + timedelta(seconds=7), at(27) + timedelta(seconds=7)]


def test_rebooting_sensor_tells_85_in_a_new_run_every_three_seconds() -> None:
    one = sender(air=EXACT, powers_on_at_85=True)
    sent = told([one], [happens(What.REBOOTS, 6, 6 + 10 / 60)])
    loop = [message for message in sent if at(6) <= message.at < at(6 + 10 / 60)]
    assert len(loop) == 200
    assert len(set(boots(loop, [one]))) == 200
    assert set(seqs(loop, [one])) == {0}
    assert set(values(loop, "temperature", [one])) == {85.0}
    assert len(set(boots(sent, [one]))) == 202


def test_rebooting_scale_tells_one_sample_at_a_time() -> None:
    one = scale()
    sent = told([one], [happens(What.REBOOTS, 6, 6.1, "scale-1")])
    loop = [message for message in sent if at(6) <= message.at < at(6.1)]
    assert len(loop) == 120
    assert [len(values([message], "w", [one])) for message in loop] == [1] * 120


def test_wrong_clock_shifts_stamps_and_nothing_else() -> None:
    right, wrong = (
        told([ONE], happenings)
        for happenings in ([], [happens(What.WRONG_CLOCK, 6, 8, amount=-4000.5)])
    )
    assert [one.at for one in wrong] == [one.at for one in right]
    for measure in ("temperature", "humidity", "light"):
        assert values(wrong, measure, [ONE]) == values(right, measure, [ONE])
    assert seqs(wrong) == seqs(right)
    shifts = [one - other for one, other in zip(stamps(wrong), stamps(right), strict=True)]
    expected = [
        timedelta(seconds=-4000.5) if at(6) <= one.at < at(8) else timedelta(0) for one in right
    ]
    assert shifts == expected


def test_twins_have_one_name_and_two_runs_and_are_known_for_twins() -> None:
    sent = told([ONE], [happens(What.TWIN, 6, 8)])
    pair = [one for one in sent if at(6) <= one.at < at(8)]
    assert {one.topic for one in pair} == {ONE.topic}
    assert len(pair) == 240
    runs = boots(pair)
    assert len(set(runs)) == 2
    assert all(earlier != later for earlier, later in pairwise(runs))
    track = TwinTrack()
    verdicts = {}
    for one in sent:
        found = read(one, [ONE])
        track = hear(
            track,
            Spoken(
                topic=one.topic,
                at=one.at,
                boot=found.boots["th-shed"],
                seq=found.seqs["th-shed"],
                measured_at=one.at,
                measures=frozenset(m.measure for m in found.measurements),
            ),
        )
        verdicts[one.at] = track.twins
    assert not any(twins for when, twins in verdicts.items() if when < at(6))
    assert all(twins for when, twins in verdicts.items() if at(6.1) < when < at(8))


def test_backlog_comes_late_with_the_times_of_measuring() -> None:
    plain = told([ONE])
    sent = told([ONE], [happens(What.BACKLOG, 6, 8)])
    assert not [one for one in sent if at(6) <= one.at < at(8)]
    assert sorted(one.payload for one in sent) == sorted(one.payload for one in plain)
    late = [one for one in sent if stamps([one])[0] != one.at]
    assert len(late) == 120
    assert stamps(late) == [at(6) + timedelta(seconds=7) + n * MINUTE for n in range(120)]
    assert late[0].at == at(8)
    assert late[-1].at - late[0].at < timedelta(seconds=5)


def test_messages_arrive_in_order_of_arrival_whatever_happens() -> None:
    sent = told(
        [ONE, scale(), sender("th-b")],
        [
            happens(What.BACKLOG, 20, 26),
            happens(What.BACKLOG, 20, 23.9999, "scale-1"),
            happens(What.REBOOTS, 21, 21.2, "th-b"),
            happens(What.TWIN, 3, 30),
        ],
        days=2,
        statuses=True,
    )
    assert all(earlier.at <= later.at for earlier, later in pairwise(sent))


def test_backlog_over_days_keeps_the_newest_that_there_is_room_for() -> None:
    one = sender(air=EXACT, keeps_messages=100)
    sent = told([one], [happens(What.BACKLOG, 10, 60)], days=3)
    late = [message for message in sent if stamps([message], [one])[0] != message.at]
    assert len(late) == 100
    assert stamps(late, [one])[-1] == at(60) - MINUTE + timedelta(seconds=7)


SILENCES = ((4040, 40), (35, 25))
"""From and to, in seconds before midnight."""


def test_two_backlogs_of_a_day_have_each_room_of_their_own() -> None:
    one = sender(air=EXACT, keeps_messages=100)
    sent = told([one], [happens(What.BACKLOG, 2, 4), happens(What.BACKLOG, 6, 8)])
    late = [message.at for message in sent if stamps([message], [one])[0] != message.at]
    assert [sum(at(hour) <= when < at(hour + 1) for when in late) for hour in (4, 8)] == [100, 100]


def test_backlogs_that_overlap_are_one() -> None:
    apart = [happens(What.BACKLOG, 2, 5), happens(What.BACKLOG, 4, 8)]
    assert told([ONE], apart, statuses=True) == told(
        [ONE], [happens(What.BACKLOG, 2, 8)], statuses=True
    )


def test_backlog_that_ends_while_one_is_told_loses_and_doubles_nothing() -> None:
    one = sender(air=EXACT, interval=timedelta(seconds=1), offset=timedelta(0))
    # 4,000 messages take 80 s to tell: over midnight, and over the end of a second silence.
    spans = [(at(24) - timedelta(seconds=s), at(24) - timedelta(seconds=u)) for s, u in SILENCES]
    happenings = [
        Happening(what=What.BACKLOG, since=since, until=until, who="th-shed")
        for since, until in spans
    ]
    sent, plain = told([one], happenings, days=2), told([one], days=2)
    assert sorted(each.payload for each in sent) == sorted(each.payload for each in plain)
    assert all(earlier.at <= later.at for earlier, later in pairwise(sent))


def test_backlog_that_ends_at_midnight_comes_then() -> None:
    sent = told([ONE], [happens(What.BACKLOG, 22, 24)], days=2)
    late = [one for one in sent if stamps([one])[0] != one.at]
    assert len(late) == 120
    assert late[0].at == at(24)


def test_backlog_that_is_told_over_midnight_is_told_whole() -> None:
    one = sender(air=EXACT)
    until = at(24) - timedelta(seconds=1)
    happening = Happening(what=What.BACKLOG, since=at(1), until=until, who="th-shed")
    sent, plain = told([one], [happening], days=2), told([one], days=2)
    assert sorted(message.payload for message in sent) == sorted(
        message.payload for message in plain
    )
    late = [message.at for message in sent if stamps([message], [one])[0] != message.at]
    assert late[0] < at(24) < late[-1]


def test_nothing_arrives_before_it_was_measured() -> None:
    sent = told([ONE], [happens(What.BACKLOG, 6, 8), happens(What.BACKLOG, 12, 15)])
    assert all(stamp <= one.at for stamp, one in zip(stamps(sent), sent, strict=True))
    assert len(sent) == 1440


def test_rebooting_sensor_that_nobody_hears_keeps_nothing() -> None:
    sent = told([ONE], [happens(What.REBOOTS, 6, 6.1), happens(What.BACKLOG, 5, 7)])
    assert len(sent) == 1440 - 6


def test_lost_messages_leave_holes_in_the_count() -> None:
    sent = told([ONE], [happens(What.DROPS, 0, 96, amount=0.2)], days=4)
    n, share = 4 * 1440, 0.2
    # Five standard errors of a share of n.
    assert 1 - len(sent) / n == pytest.approx(share, abs=5 * (share * (1 - share) / n) ** 0.5)
    assert all(later > earlier for earlier, later in pairwise(seqs(sent)))
    assert max(seqs(sent)) > 0.99 * n


def test_saturated_sensor_sticks_to_a_hundred_while_it_is_said_so() -> None:
    sent = told([ONE], [happens(What.SATURATED, 6, 9)])
    wet = [one for one in sent if at(6) <= one.at < at(9)]
    assert set(values(wet, "humidity", [ONE])) == {100.0}
    assert max(values([one for one in sent if one.at < at(6)], "humidity", [ONE])) < 95.0


def test_sagging_battery_falls_falls_silent_and_is_changed() -> None:
    sent = told([ONE], [happens(What.BATTERY_SAGS, 24, 44)], days=2)
    percents = values([one for one in sent if at(24) <= one.at < at(42)], "battery", [ONE])
    assert all(later < earlier for earlier, later in pairwise(percents))
    assert percents[-1] < 10.0
    assert not [one for one in sent if at(42) <= one.at < at(44)]
    after = [one for one in sent if one.at >= at(44)]
    assert values(after, "battery", [ONE])[0] == 96.0
    assert seqs(after)[0] == 0


def test_sagging_battery_makes_its_values_drift() -> None:
    plain, sagging = (
        [one for one in told([ONE], what, days=2) if at(41.9) < one.at < at(42)]
        for what in ([], [happens(What.BATTERY_SAGS, 24, 44)])
    )
    off = values(sagging, "temperature", [ONE])[-1] - values(plain, "temperature", [ONE])[-1]
    assert off == pytest.approx(ONE.battery.sag_k, abs=0.05)


def test_sender_on_the_mains_goes_with_them_and_one_that_watches_them_tells() -> None:
    power = even(1.0)
    power[120:180] = 0.0
    lamp = sender("lamp", kind=SenderKind.LIGHT, on_battery=False)
    watch = sender("mains", kind=SenderKind.MAINS)
    sent = told([lamp, watch], days=[ShedDay(air=air_day(mains=power), nests=())])
    spoken = [one.at for one in sent if "lamp" in one.topic]
    assert not [when for when in spoken if at(2) <= when < at(3)]
    assert len(spoken) == 1440 - 60
    mains = values([one for one in sent if "/mains/" in one.topic], "mains", [watch])
    assert mains.count(0.0) == 60


def test_sender_on_the_mains_has_no_battery_to_tell() -> None:
    one = sender(on_battery=False)
    assert values(told([one])[:200], "battery", [one]) == []


def test_battery_is_told_now_and_then() -> None:
    assert len(values(told([ONE]), "battery", [ONE])) == 1440 // 60


def nested(box: str = "box-1") -> list[ShedDay]:
    stay = Stay(who=Who.HEN, since=at(6), until=at(8))
    handling = Handling(since=at(12), until=at(12) + timedelta(seconds=120))
    nest = NestDay(
        at=START, box=box, hen_g=48.0, bedding_g=even(100.0), stays=(stay,), handled=(handling,)
    )
    return [ShedDay(air=day.air, nests=(nest,)) for day in smooth_days(1, ("box-1",))]


def test_scale_tells_the_hen_of_its_own_box() -> None:
    one = scale()
    masses = np.array(values(told([one], days=nested()), "w", [one]))
    empty, sat = np.median(masses[360 * 2 : 360 * 5]), np.median(masses[360 * 6 : 360 * 8])
    assert sat - empty == pytest.approx(48.0, abs=5.0)
    assert empty == pytest.approx(100.0, abs=5.0)


def test_scale_may_tell_ten_samples_a_second() -> None:
    one = scale(interval=timedelta(milliseconds=100), samples_per_message=100, offset=timedelta(0))
    sent = told([one], days=nested(), since=at(6), until=at(6.5))
    assert len(sent) == 180
    times = [m.measured_at for m in read(sent[1], [one]).measurements if m.measure == "w"]
    assert len(times) == 100
    assert times[-1] == sent[1].at
    assert np.median(values(sent[10:20], "w", [one])) == pytest.approx(148.0, abs=6.0)


def test_scale_tells_nothing_of_another_box() -> None:
    one = scale()
    masses = np.array(values(told([one], days=nested("box-2")), "w", [one]))
    assert np.median(masses) == pytest.approx(0.0, abs=5.0)


def test_glitching_scale_has_its_bad_share_of_glitches_then_and_not_else() -> None:
    one = scale()
    happening = happens(What.GLITCHES, 0, 12, "scale-1")
    masses = np.array(values(told([one], [happening], days=nested()), "w", [one]))
    plain = np.array(values(told([one], days=nested()), "w", [one]))
    struck = np.abs(masses - plain) > 5.0
    n, share = len(masses) // 2, one.scale.bad_glitch_share
    assert struck[:n].mean() == pytest.approx(share, abs=5 * (share * (1 - share) / n) ** 0.5)
    assert struck[n:].mean() < 0.005


def test_other_formats_suffer_alike() -> None:
    gateway = sender("gw", format=Format.JSON, air=EXACT)
    sent = told([gateway], [happens(What.BACKLOG, 6, 8, "gw")])
    late = [one for one in sent if stamps([one], [gateway])[0] != one.at]
    assert len(late) == 120
    eye = sender("eye", kind=SenderKind.LIGHT, format=Format.NUMBER)
    silent = told([eye], [happens(What.STOPS, 6, 8, "eye")])
    assert len(silent) == 1440 - 120


def test_every_message_of_a_bad_day_is_understood() -> None:
    senders = [
        sender("a", powers_on_at_85=True),
        sender("b", format=Format.JSON),
        sender("c", format=Format.NUMBER),
        scale(),
        sender("m", kind=SenderKind.MAINS),
    ]
    bad = [
        happens(What.REBOOTS, 1, 1.1, "a"),
        happens(What.WRONG_CLOCK, 2, 3, "b", 86_400.0),
        happens(What.STUCK, 4, 9, "c"),
        happens(What.GLITCHES, 1, 20, "scale-1"),
        happens(What.BACKLOG, 5, 9, "scale-1"),
        happens(What.BATTERY_SAGS, 5, 19, "b"),
        happens(What.TWIN, 5, 19, "m"),
    ]
    for one in told(senders, bad):
        found = read(one, senders)
        assert not found.faults
        assert found.measurements


def test_offset_of_a_day_that_begins_at_any_minute_counts_from_there() -> None:
    start = START + timedelta(hours=14, minutes=3)
    sent = told([ONE], days=smooth_days(2, start=start))
    assert sent[0].at == start + timedelta(seconds=7)
    assert len(sent) == 2880
    assert sent[-1].at < start + 2 * DAY
