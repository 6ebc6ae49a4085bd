"""What the keeper does at the nests, as the season's looks tell it."""

from datetime import timedelta

from simulated_feeds.day import Kind
from tests.simulated_feeds.birds.invented_air import ZONE
from tests.simulated_feeds.birds.lived_seasons import minutes, wide_season

DAY = timedelta(days=1)


def test_every_look_lifts_the_lid_for_20_seconds_to_some_minutes() -> None:
    # a lid is up for 20 to 110 s, longer when chicks are ringed or bedding changed: common
    # practice, no source
    lived = minutes()
    lifted = {
        (day.box, one.since): one for told in lived.days for day in told for one in day.handled
    }
    assert len(lived.looks) > 200
    for look in lived.looks:
        one = lifted[look.box, look.at]
        assert timedelta(seconds=20) <= one.until - one.since <= timedelta(minutes=9)


def test_the_hen_is_told_to_sit_only_when_she_sits_on_eggs() -> None:
    sitting = {clutch.name: clutch.sitting_from for clutch in wide_season().clutches}
    told = [look for look in wide_season().looks if look.hen == "sitting"]
    assert len(told) > 500
    for look in told:
        since = sitting[look.clutch or ""]
        assert look.lying or look.hatched or look.lost or look.not_in_sight
        assert since is not None
        assert since <= look.at


def test_lights_go_through_eggs_in_the_evening_only() -> None:
    candled = [look for look in wide_season().looks if look.candled]
    assert candled
    assert all(look.at.astimezone(ZONE).hour >= 18 for look in candled)


def test_what_has_not_hatched_is_taken_out_after_its_time() -> None:
    """23 days after it was seen sat on, which is 22 to 25 after it truly was."""
    late = [
        (egg.ended_at - egg.grew_from) / DAY
        for egg in wide_season().eggs
        if egg.fate in ("addled", "dead in shell") and egg.ended_at and egg.grew_from
    ]
    assert len(late) > 20
    assert all(23 <= days <= 25.5 for days in late)


def test_dead_chicks_are_taken_out_at_the_next_look() -> None:
    lived = minutes()
    events = [event for told in lived.days for day in told for event in day.events]
    died = {event.egg: event.at for event in events if event.kind is Kind.CHICK_DIED}
    out = {event.egg: event for event in events if event.kind is Kind.TAKEN_OUT}
    assert died
    for egg, at in died.items():
        assert at <= out[egg].at <= at + DAY
        assert out[egg].grams < -1


def test_somewhere_to_hide_goes_in_before_the_first_chick_is_expected_out() -> None:
    # two to seven days before the first youngster is expected out: common practice, no source
    lived = wide_season()
    checked = 0
    for clutch in lived.clutches:
        hatched = [egg.chick.hatched_at for egg in clutch.eggs if egg.chick is not None]
        told = [look.at for look in lived.looks if look.clutch == clutch.name and look.hide_in]
        assert len(told) <= 1
        for at in told:
            assert 22 * DAY <= at - min(hatched) <= 29 * DAY
            checked += 1
    assert checked > 30
