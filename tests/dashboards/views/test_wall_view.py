"""What the wall says in each state, and what it never says."""

from dataclasses import replace
from datetime import timedelta

import pytest

from dashboards.marks.signs import Sign
from dashboards.views.shed_state import Believed
from dashboards.views.wall_view import Form
from devices.reading import Quantity
from service.alarms.alarm import Alarm, AlarmState
from service.alarms.suppression import SuppressionKind
from service.nests.due import Due, DueKind
from service.quality.flag import Flag
from service.rules.limit import Limit, Priority, When
from service.settings.away import with_sensors_away
from service.settings.settings import Settings
from service.store.reading_store import Latest, Series
from tests.dashboards.filled_shed import NOW, limits
from tests.dashboards.views.walls import alarm, newest, set_up_with, state_of, wall_of


def test_all_is_well_when_all_is_heard_believed_and_within_limits() -> None:
    view = wall_of()
    assert view.verdict.sentences == ("All well",)
    assert view.form is Form.PLAIN


def test_a_high_alarm_is_a_solid_bar_with_its_sign_and_word() -> None:
    view = wall_of(alarm("cold"))
    assert view.form is Form.BAR
    assert view.verdict.sign is Sign.ACT
    assert view.verdict.sentences[0] == "Too cold"
    assert view.verdict.notes[0] == "14:30, act now"


def test_hot_turns_the_sign_over() -> None:
    assert wall_of(alarm("hot", value=30.0)).verdict.sign is Sign.ACT_UP


def test_a_medium_alarm_is_an_outline_and_says_watch() -> None:
    view = wall_of(alarm("dry", priority=Priority.MEDIUM))
    assert view.form is Form.OUTLINE
    assert view.verdict.notes[0] == "14:30, watch"


def test_two_devices_of_one_name_are_told_in_words_that_fit() -> None:
    view = wall_of(alarm("twins:th-shed", priority=Priority.MEDIUM, value=2.0))
    assert view.form is Form.OUTLINE
    assert view.verdict.sentences == ("Name twice",)
    assert view.verdict.notes == ("14:30, watch", "rename one")
    in_a_box = wall_of(alarm("twins:th-1", place="box-1", priority=Priority.MEDIUM, value=2.0))
    assert in_a_box.verdict.sentences == ("Box 1 name twice", "Name twice")


def test_a_clock_that_is_behind_is_told_in_words_that_fit() -> None:
    view = wall_of(alarm("clock:th-1", place="box-1", priority=Priority.MEDIUM, value=-7200.0))
    assert view.verdict.sentences == ("Box 1 wrong clock", "Wrong clock")
    assert view.verdict.notes == ("14:30, watch", "set its clock")


def test_an_alarm_of_a_box_says_which_where_the_verdict_has_no_room_for_it() -> None:
    view = wall_of(alarm("egg-unseen:box-1", place="box-1", priority=Priority.MEDIUM, value=1.0))
    assert view.verdict.sentences[-1] == "Egg unseen"
    assert all(one.startswith("Box 1") for one in view.second.sentences)


def test_a_low_alarm_is_not_on_the_wall() -> None:
    assert wall_of(alarm("dry", priority=Priority.LOW)).form is Form.PLAIN


def test_two_alarms_are_counted_and_the_worst_comes_first() -> None:
    view = wall_of(alarm("damp", value=82.0), alarm("cold", value=-3.0))
    assert view.verdict.sentences[0] == "2 to act on"
    assert view.second.sentences[0] == "Shed cold"
    assert view.third.sentences[0] == "Shed damp"


def test_an_alarm_is_new_for_ten_minutes() -> None:
    young = wall_of(alarm("cold", ago=timedelta(minutes=9)))
    old = wall_of(alarm("cold", ago=timedelta(minutes=11)))
    assert young.second.notes[0].startswith("new")
    assert old.second.notes[0].startswith("since")


def test_an_acknowledged_alarm_keeps_its_bar_and_is_not_new() -> None:
    view = wall_of(alarm("cold", ago=timedelta(minutes=1), state=AlarmState.ACKNOWLEDGED))
    assert view.form is Form.BAR
    assert not view.second.notes[0].startswith("new")


def test_what_is_over_and_unseen_is_told_beside_all_well() -> None:
    over = alarm(
        "damp",
        state=AlarmState.RETURNED_UNACKNOWLEDGED,
        ago=timedelta(hours=3),
        cleared_at=NOW - timedelta(hours=1),
    )
    view = wall_of(over)
    assert view.verdict.sentences == ("All well",)
    assert view.second.notes == ("was damp", "11:30 to 13:30")


def test_what_was_over_days_ago_fits_its_line_with_its_day() -> None:
    over = alarm(
        "power-cut:shed",
        state=AlarmState.RETURNED_UNACKNOWLEDGED,
        ago=timedelta(days=3),
        cleared_at=NOW - timedelta(days=2),
    )
    assert wall_of(over).second.notes == ("was: no power", "to 19 Apr, 14:30")


def test_a_silent_sensor_is_named_and_the_rest_is_told() -> None:
    view = wall_of(skip=("th-2",))
    assert view.form is Form.PLATE
    assert view.verdict.sentences[0] == "Box 2 silent"
    assert view.verdict.notes == ("rest well", "1 of 2 live")


def test_the_rest_is_not_well_when_something_else_is_to_be_watched() -> None:
    view = wall_of(alarm("dry", priority=Priority.MEDIUM), skip=("th-2",))
    assert view.form is Form.PLATE
    assert "rest well" not in view.verdict.notes
    assert view.second.sentences[0] == "Shed dry"


def test_act_comes_before_silence_and_silence_before_watch() -> None:
    act = wall_of(alarm("cold"), alarm("dry", priority=Priority.MEDIUM), skip=("th-2",))
    assert act.form is Form.BAR
    assert act.second.sign is Sign.NOT_LIVE


def test_an_alarm_whose_sensor_goes_silent_stays_and_says_when_it_was_heard() -> None:
    view = wall_of(alarm("cold"), skip=("th-shed",))
    assert view.form is Form.BAR
    assert view.verdict.notes[1] == "heard 11:54"


def test_all_silent_is_not_live_with_the_time_last_heard() -> None:
    view = wall_of(skip=("th-shed", "th-2"))
    assert view.verdict.sentences == ("NOT LIVE",)
    assert view.second.sentences[0] == "Last heard 11:54"
    assert view.third.sentences == ("Go and look",)
    assert view.cut


def test_a_dead_watch_is_not_live_though_every_value_is_fresh() -> None:
    view = wall_of(trouble="watch stopped")
    assert view.verdict.sentences == ("NOT LIVE",)
    assert view.verdict.notes[1] == "watch stopped"
    assert view.second.sentences[0] == "Last heard 14:29"


def test_without_limits_it_never_says_all_well() -> None:
    view = wall_of(set_up=set_up_with(limits=()))
    assert view.verdict.sentences == ("Not watched",)


def test_where_nobody_watches_how_warm_it_is_it_never_says_all_well() -> None:
    battery = Limit(id="flat", place="shed", quantity=Quantity.BATTERY, low=15.0)
    level = Latest(
        series=Series(id=9, device="th-shed", place="shed", quantity=Quantity.BATTERY),
        measured_at=NOW,
        received_at=NOW,
        value=90.0,
        flag=Flag.PASS,
        reason="",
    )
    watched, values = set_up_with(limits=(battery,)), (*newest(), level)
    view = wall_of(set_up=watched, values=values)
    assert (view.form, view.verdict.sentences) == (Form.PLATE, ("Not watched",))
    assert view.second.notes == ("Shed: no limit", "on warmth")
    assert not state_of(watched, values=values).well


def test_without_sensors_it_never_says_all_well() -> None:
    view = wall_of(set_up=set_up_with(sensors=()), values=())
    assert view.verdict.sentences == ("No sensors",)


def test_a_limit_that_nothing_measures_cannot_be_told() -> None:
    more = Limit(id="co2", place="shed", quantity=Quantity.CO2, high=2000.0)
    view = wall_of(set_up=set_up_with(limits=(*limits(), more)))
    assert view.verdict.sentences == ("Cannot tell",)
    assert view.second.notes == ("Shed: co2", "not measured")


@pytest.mark.parametrize("flag", [Flag.SUSPECT, Flag.FAIL, Flag.NOT_EVALUATED, Flag.MISSING])
def test_a_value_that_did_not_pass_never_counts_as_well(flag: Flag) -> None:
    assert not state_of(set_up_with(), values=newest(flag=flag)).well


def test_a_fresh_value_that_passed_before_a_doubtful_one_counts() -> None:
    doubtful = newest(flag=Flag.SUSPECT)
    passed = tuple(
        Believed(series_id=one.series.id, measured_at=NOW - timedelta(minutes=1))
        for one in doubtful
    )
    assert state_of(set_up_with(), values=doubtful, believed=passed).well


def test_one_quantity_that_stopped_is_not_hidden_by_its_sensor_that_goes_on() -> None:
    values = tuple(
        replace(one, measured_at=NOW - timedelta(hours=1))
        if one.series.quantity is Quantity.RELATIVE_HUMIDITY
        else one
        for one in newest()
    )
    view = wall_of(values=values)
    assert view.verdict.sentences == ("Cannot tell",)
    assert view.second.notes == ("Shed: damp", "too old")


def test_faults_of_the_settings_file_stand_at_the_foot() -> None:
    view = wall_of(set_up=set_up_with(faults=("line 3: no such key", "line 9: no number")))
    assert view.foot is not None
    assert "2 faults" in view.foot


def due(box: int, since: timedelta, until: timedelta, kind: DueKind = DueKind.HATCH) -> Due:
    return Due(
        kind=kind, box=f"box-{box}", egg_number=1, since=NOW + since, until=NOW + until, why=""
    )


def test_a_span_that_has_ended_is_late_and_comes_first() -> None:
    late = due(3, timedelta(days=-4), timedelta(days=-2))
    soon = due(1, timedelta(hours=1), timedelta(hours=2))
    view = wall_of(dues=(soon, late))
    assert view.third.sentences[0] == "Box 3 is late"
    assert view.third.notes == ("hatch due", "2 days ago")


def test_the_next_box_is_named_with_its_day() -> None:
    view = wall_of(dues=(due(4, timedelta(days=1), timedelta(days=1, hours=6)),))
    assert view.third.sentences[0] == "Box 4 tomorrow"
    assert view.third.notes == ("egg 1 due", "to hatch")


def test_forty_boxes_are_counted_and_the_walk_begins_at_one() -> None:
    dues = tuple(due(n, timedelta(hours=1), timedelta(hours=n)) for n in (31, 19, 25))
    view = wall_of(set_up=set_up_with(40), dues=dues)
    assert view.third.sentences[0] == "3 boxes today"
    assert view.third.notes == ("start at", "box 19")


def values_with(celsius: float, *, flag: Flag = Flag.PASS) -> tuple[Latest, ...]:
    return tuple(
        replace(one, value=celsius, flag=flag)
        if one.series.device == "th-shed" and one.series.quantity is Quantity.TEMPERATURE
        else one
        for one in newest()
    )


def test_a_value_past_its_limit_is_never_all_well_before_it_is_an_alarm() -> None:
    view = wall_of(values=values_with(4.4))
    assert view.form is Form.OUTLINE
    assert view.verdict.sentences[0] == "Under 5°"
    assert view.second.sentences[0] == "Now 4.4°"


def test_a_doubtful_value_past_its_limit_is_no_comfort_either() -> None:
    state = state_of(set_up_with(), values=values_with(4.4, flag=Flag.SUSPECT))
    assert [one.limit.id for one in state.beyond] == ["cold"]
    assert not state.well


def test_a_limit_that_is_an_alarm_already_is_not_told_twice() -> None:
    state = state_of(set_up_with(), alarm("cold"), values=values_with(4.0))
    assert state.beyond == ()


def test_a_limit_of_the_night_is_not_passed_by_day() -> None:
    by_night = tuple(replace(one, when=When.NIGHT) for one in limits())
    set_up = replace(set_up_with(), limits=by_night)
    values = values_with(4.4)
    assert state_of(set_up, values=values, night=False).beyond == ()
    assert len(state_of(set_up, values=values, night=True).beyond) == 1
    assert len(state_of(set_up, values=values, night=None).beyond) == 1


def test_since_when_stays_short_enough_for_the_wall() -> None:
    long = wall_of(alarm("cold", ago=timedelta(hours=20)))
    longer = wall_of(alarm("cold", ago=timedelta(days=3)))
    assert long.second.notes[0] == "since 18:30"
    assert longer.second.notes[0] == "since 18 Apr"


def in_the_jar(*devices: str) -> Settings:
    return with_sensors_away(set_up_with(), devices)


def test_the_wall_says_that_the_sheds_sensor_is_in_the_jar_and_never_all_well() -> None:
    view = wall_of(set_up=in_the_jar("th-shed"))
    assert view.form is Form.PLATE
    assert view.verdict.sentences == ("Cannot tell",)
    assert view.verdict.notes == ("14:30", "1 of 2 live")
    assert view.second.notes == ("Shed: sensor", "in the jar")


def test_with_every_sensor_in_the_jar_nothing_is_live_or_well() -> None:
    # Also where the limits are all of places that the jar took nothing from.
    set_up = replace(in_the_jar("th-shed", "th-2"), limits=())
    state = state_of(set_up)
    assert (state.live, state.in_jar, state.rest_well) == (0, 2, False)
    assert wall_of(set_up=in_the_jar("th-shed", "th-2")).form is Form.PLATE


def test_beside_all_well_it_is_told_that_a_sensor_without_limits_is_in_the_jar() -> None:
    view = wall_of(set_up=in_the_jar("th-2"))
    assert view.verdict.sentences == ("All well",)
    assert view.verdict.notes[1] == "1 live, 1 in jar"


def test_another_sensor_of_the_shed_watches_on_while_one_is_in_the_jar() -> None:
    made = set_up_with()
    both = replace(made, sensors=tuple(replace(one, place="shed") for one in made.sensors))
    values = tuple(
        replace(one, series=replace(one.series, device="th-2", place="shed")) for one in newest()
    )
    assert state_of(with_sensors_away(both, {"th-shed"}), values=values).well


def test_a_sensor_that_falls_silent_in_the_jar_is_told_and_the_rest_is_not_well() -> None:
    view = wall_of(set_up=in_the_jar("th-shed"), skip=("th-shed",))
    assert view.verdict.sentences[0] == "Salt jar silent"
    assert "rest well" not in view.verdict.notes


def test_what_another_sensor_there_can_tell_comes_before_the_jar() -> None:
    made = set_up_with()
    both = replace(made, sensors=tuple(replace(one, place="shed") for one in made.sensors))
    values = tuple(
        replace(one, series=replace(one.series, place="shed"), flag=Flag.FAIL) for one in newest()
    )
    state = state_of(with_sensors_away(both, {"th-shed"}), values=values)
    whys = {one.limit.id: one.why for one in state.untold}
    assert whys["cold"] == "not believed"
    assert whys["damp"] == "in the jar"


def shelved(told: Alarm, kind: SuppressionKind = SuppressionKind.SHELVED) -> Alarm:
    return replace(told, suppressed=kind, suppressed_until=NOW + timedelta(hours=2))


def test_beside_a_shelved_danger_it_is_never_all_well() -> None:
    view = wall_of(shelved(alarm("cold")))
    assert view.form is Form.PLAIN
    assert view.verdict.sentences == ("1 shelved",)
    assert view.verdict.notes == ("Shed cold", "until 16:30")
    assert view.shelved == "Shelved until 16:30: Shed cold."


def test_the_end_of_a_long_shelf_stays_short_enough_for_the_wall() -> None:
    longer = replace(shelved(alarm("cold")), suppressed_until=NOW + timedelta(hours=30))
    assert wall_of(longer).verdict.notes == ("Shed cold", "until 22 Apr")
    tomorrow = replace(longer, suppressed_until=NOW + timedelta(hours=14))
    assert wall_of(tomorrow).verdict.notes == ("Shed cold", "until 04:30")


def test_a_shelved_danger_is_told_at_the_foot_where_another_has_the_verdict() -> None:
    view = wall_of(alarm("dry", priority=Priority.MEDIUM), shelved(alarm("cold")))
    assert view.verdict.sentences == ("Too dry",)
    assert view.foot == "Shelved until 16:30: Shed cold"
    assert "Shelved until 16:30" in view.spoken


def test_what_is_out_of_service_is_no_comfort_either() -> None:
    view = wall_of(shelved(alarm("hot", place="box-2"), SuppressionKind.OUT_OF_SERVICE))
    assert view.verdict.sentences == ("Not all well",)
    assert view.verdict.notes == ("Box 2 hot", "out of service")


def test_a_shelved_alarm_of_low_priority_leaves_all_well() -> None:
    assert wall_of(shelved(alarm("dry", priority=Priority.LOW))).verdict.sentences == ("All well",)


def test_what_its_cause_hides_is_not_counted() -> None:
    hidden = shelved(alarm("cold", place="box-2"), SuppressionKind.BY_DESIGN)
    assert wall_of(alarm("cold"), hidden).verdict.sentences == ("Too cold",)


def test_what_only_says_that_sensors_are_silent_is_told_by_the_sensors() -> None:
    together = alarm("overdue-together:shed", priority=Priority.MEDIUM, value=2.0)
    assert wall_of(together, skip=("th-2",)).verdict.sentences[0] == "Box 2 silent"
    assert wall_of(together, skip=("th-2",)).second.sentences != ("Shed silent",)
