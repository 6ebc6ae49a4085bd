"""The demo's fortnight of duties, told into real stores."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from service.answers.duty_list import DutyList, duty_list
from service.commands.telling_the_duties import DAYS, tell_duties
from service.nests.duty_templates import TEMPLATES
from service.wiring import Stores
from tests.dashboards.filled_shed import NOW, FilledShed, open_shed


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[FilledShed]:
    opened = open_shed(tmp_path)
    opened.fill_nests()
    tell_duties(opened.settings, Stores(readings=opened.readings, records=opened.records), NOW)
    yield opened
    opened.close()


def listed(shed: FilledShed) -> DutyList:
    records = shed.records
    return duty_list(records.nest_book, records.duties, shed.readings, shed.settings, NOW)


def test_every_template_is_there_and_a_fortnight_of_it_was_done(shed: FilledShed) -> None:
    assert [duty.name for duty in shed.records.duties.duties()] == [one.name for one in TEMPLATES]
    done = shed.records.duties.told(NOW - timedelta(days=DAYS + 1))
    assert all(one.stands and one.at < NOW for one in done)
    assert len({one.slot.day for one in done}) >= DAYS - 1


def test_only_what_the_keeper_puts_off_was_missed(shed: FilledShed) -> None:
    late = {(due.words, due.place) for due in listed(shed).due if due.missed_since is not None}
    looks = {("Look into the box", due.place) for due in listed(shed).due if due.duty.terms.look}
    assert late - looks == {("Trays", "cage-4")}


def test_telling_it_twice_doubles_nothing(shed: FilledShed) -> None:
    before = shed.records.duties.told(NOW - timedelta(days=DAYS + 1))
    tell_duties(shed.settings, Stores(readings=shed.readings, records=shed.records), NOW)
    assert shed.records.duties.told(NOW - timedelta(days=DAYS + 1)) == before
