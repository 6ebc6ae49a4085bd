"""What is offered to be added to the list of what runs low."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.views.running_low_view import OFFERED, USUAL, running_low_view
from service.nests.running_low import RunningLow

ZONE = ZoneInfo("Europe/Amsterdam")
NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)
SEED = RunningLow(id=3, what="seed", added_at=NOW - timedelta(days=1), added_by="Ann")


def test_what_ran_low_before_is_offered_before_the_usual() -> None:
    view = running_low_view([], ["Cuttlebone"], NOW, ZONE)
    assert view.offered == ("Cuttlebone", *USUAL)[:OFFERED]


def test_what_is_on_the_list_is_not_offered_again_however_it_is_written() -> None:
    view = running_low_view([SEED], ["grit"], NOW, ZONE)
    assert "Seed" not in view.offered
    assert "Grit" not in view.offered
    assert [(row.what, row.told) for row in view.rows] == [("seed", "Ann, yesterday 13:00")]


def test_what_stands_on_the_list_again_is_not_offered_to_be_put_back() -> None:
    assert running_low_view([SEED], [], NOW, ZONE, struck=3).struck is None
    assert running_low_view([SEED], [], NOW, ZONE, struck=4).struck == 4
