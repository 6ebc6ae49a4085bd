"""Weeks of light brought together at once are told as if followed one by one."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from hypothesis import given, settings
from hypothesis import strategies as st

from service.climate.dark_spans import Span, dark_spans
from service.climate.light_plan import LightPlan, Site
from service.climate.light_state import LightTrack, follow_light
from service.climate.samples import Sample, at_ms

PLAN = LightPlan(site=Site(timezone=ZoneInfo("UTC")))  # darker than 20 lx for 10 min is night
MAX_GAP = timedelta(minutes=30)
START_MS = 1_772_000_000_000
MINUTE_MS = 60_000


def sampled(steps: list[tuple[int, bool]]) -> list[Sample]:
    """Each step: minutes since the last sample, and whether it is dark."""
    found, at = [], START_MS
    for minutes, dark in steps:
        at += minutes * MINUTE_MS
        found.append((at, 0.5 if dark else 300.0))
    return found


@dataclass
class FollowedOneByOne:
    """What a fold over single readings knows at each of them: is it night, and since when."""

    samples: list[Sample]

    def sure(self) -> list[tuple[datetime, bool]]:
        track, found = LightTrack(), []
        for at, lux in self.samples:
            track = follow_light(track, at_ms(at), lux, PLAN, max_gap=MAX_GAP)
            if track.is_night is not None:
                found.append((at_ms(at), track.is_night))
        return found


def told_at(spans: list[Span], at: datetime) -> set[bool]:
    return {span.dark for span in spans if span.since <= at <= span.until}


steps = st.lists(st.tuples(st.sampled_from([1, 4, 11, 45]), st.booleans()), max_size=30)


@settings(max_examples=60)
@given(steps)
def test_what_a_fold_is_sure_of_at_its_last_reading_is_told_by_the_spans(
    told: list[tuple[int, bool]],
) -> None:
    samples = sampled(told)
    for end in range(1, len(samples) + 1):
        sure = FollowedOneByOne(samples[:end]).sure()
        spans = dark_spans(samples[:end], PLAN, MAX_GAP)
        last = at_ms(samples[end - 1][0])
        if sure and sure[-1][0] == last:
            assert spans[-1].until == last
            assert spans[-1].dark is sure[-1][1]
        else:
            assert told_at(spans, last) == set()


@settings(max_examples=60)
@given(steps)
def test_spans_are_in_order_and_never_overlap(told: list[tuple[int, bool]]) -> None:
    spans = dark_spans(sampled(told), PLAN, MAX_GAP)
    edges = [edge for span in spans for edge in (span.since, span.until)]
    assert edges == sorted(edges)


def test_a_lamp_switched_on_for_some_minutes_belongs_to_the_night_around_it() -> None:
    night = [(1, True)] * 60 + [(1, False)] * 5 + [(1, True)] * 60
    [span] = dark_spans(sampled(night), PLAN, MAX_GAP)
    assert span.dark
    assert span.until - span.since == timedelta(minutes=124)


def test_after_a_gap_nothing_is_sure_until_a_run_is_long_enough() -> None:
    samples = sampled([(1, True)] * 60 + [(45, True)] + [(1, True)] * 5)
    [span] = dark_spans(samples, PLAN, MAX_GAP)
    assert span.until == datetime.fromtimestamp(samples[59][0] / 1000, UTC)
