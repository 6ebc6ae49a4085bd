"""People, sessions and tokens in a real file: what ends what, and what can't be done."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from service.errors import InputError, NotKnownError
from service.people.digest import digest_of
from service.people.first_code import MOST_WRONG
from service.people.role import Role
from service.store.people_store import Person, Session
from service.store.sql_people import SqlPeople
from service.store.sql_records import open_records

NOW = datetime(2026, 4, 21, 12, 30, tzinfo=UTC)
LATER = NOW + timedelta(days=30)


@pytest.fixture
def people(tmp_path: Path) -> Iterator[SqlPeople]:
    records = open_records("sqlite:///records.db", tmp_path)
    yield records.people
    records.close()


def keeper(people: SqlPeople, name: str = "Mara") -> Person:
    return people.add(name, Role.KEEPER, "hash", NOW)


def session_of(person: Person, digest: str = "d1", ends_at: datetime = LATER) -> Session:
    return Session(digest=digest, person_id=person.id, made_at=NOW, seen_at=NOW, ends_at=ends_at)


def test_a_person_is_found_as_they_were_added(people: SqlPeople) -> None:
    until = NOW + timedelta(days=3)
    added = people.add("Jo", Role.HELPER, "hash", NOW, one_time_until=until)
    assert people.people() == [added]
    assert added == Person(
        id=added.id,
        name="Jo",
        role=Role.HELPER,
        password_hash="hash",
        made_at=NOW,
        one_time_until=until,
    )
    assert not people.has_keeper()


def test_a_name_is_taken_whatever_the_size_of_its_letters(people: SqlPeople) -> None:
    keeper(people, "Mara")
    with pytest.raises(InputError, match="Mara is there already"):
        people.add("MARA", Role.HELPER, "hash", NOW)


def test_who_had_left_can_come_back(people: SqlPeople) -> None:
    keeper(people)
    helper = people.add("Jo", Role.HELPER, "old", NOW)
    people.leave(helper.id, NOW)
    back = people.add("Jo", Role.HELPER, "new", LATER)
    assert (back.id, back.left_at, back.password_hash) == (helper.id, None, "new")


def test_a_wall_is_no_person(people: SqlPeople) -> None:
    with pytest.raises(InputError):
        people.add("Tablet", Role.WALL, "hash", NOW)


def test_the_first_code_makes_one_keeper_once(people: SqlPeople) -> None:
    people.put_first_code(digest_of("code"), NOW)
    assert people.add_first_keeper("Mara", "hash", digest_of("code"), NOW).role is Role.KEEPER
    assert people.has_keeper()
    with pytest.raises(InputError, match="a keeper already"):
        people.add_first_keeper("Eve", "hash", digest_of("code"), NOW)
    people.put_first_code(digest_of("another"), NOW)
    held = people.first_code()
    assert held is not None
    assert held.digest == digest_of("code")
    assert held.used_at == NOW


def test_a_new_first_code_ends_the_one_before(people: SqlPeople) -> None:
    people.put_first_code(digest_of("old"), NOW)
    people.put_first_code(digest_of("new"), NOW)
    with pytest.raises(InputError):
        people.add_first_keeper("Mara", "hash", digest_of("old"), NOW)
    assert people.add_first_keeper("Mara", "hash", digest_of("new"), NOW).name == "Mara"


def test_after_ten_wrong_codes_the_right_one_opens_nothing(people: SqlPeople) -> None:
    people.put_first_code(digest_of("code"), NOW)
    assert [people.wrong_first_code() for _ in range(MOST_WRONG)] == list(range(1, 11))
    with pytest.raises(InputError):
        people.add_first_keeper("Mara", "hash", digest_of("code"), NOW)
    assert not people.has_keeper()


def test_without_a_code_nobody_is_made(people: SqlPeople) -> None:
    with pytest.raises(InputError):
        people.add_first_keeper("Mara", "hash", digest_of(""), NOW)
    assert people.people() == []


def test_a_session_holds_until_it_ends(people: SqlPeople) -> None:
    mara = keeper(people)
    people.open_session(session_of(mara))
    assert people.session("d1", NOW) == (session_of(mara), mara)
    assert people.session("d1", LATER - timedelta(seconds=1)) is not None
    assert people.session("d1", LATER) is None
    assert people.session("d2", NOW) is None


def test_use_moves_the_end_of_a_session(people: SqlPeople) -> None:
    people.open_session(session_of(keeper(people)))
    people.seen("d1", NOW + timedelta(days=1), LATER + timedelta(days=1))
    assert people.session("d1", LATER) is not None
    assert dict(people.last_seen()) == {1: NOW + timedelta(days=1)}


def test_signing_out_ends_one_session(people: SqlPeople) -> None:
    mara = keeper(people)
    people.open_session(session_of(mara, "d1"))
    people.open_session(session_of(mara, "d2"))
    people.close_session("d1")
    assert people.session("d1", NOW) is None
    assert people.session("d2", NOW) is not None


def test_a_new_password_ends_all_sessions_of_its_person_alone(people: SqlPeople) -> None:
    mara, jo = keeper(people), people.add("Jo", Role.HELPER, "hash", NOW)
    for person, digest in ((mara, "d1"), (mara, "d2"), (jo, "d3")):
        people.open_session(session_of(person, digest))
    people.set_password(mara.id, "other")
    assert [people.session(one, NOW) is None for one in ("d1", "d2", "d3")] == [True, True, False]


def test_a_hash_renewed_at_sign_in_ends_no_session(people: SqlPeople) -> None:
    mara = keeper(people)
    people.open_session(session_of(mara))
    people.renew_hash(mara.id, "hash", "stronger")
    people.renew_hash(mara.id, "hash", "too late")
    found = people.session("d1", NOW)
    assert found is not None
    assert found[1].password_hash == "stronger"


def test_who_leaves_may_come_in_no_more(people: SqlPeople) -> None:
    keeper(people)
    jo = people.add("Jo", Role.HELPER, "hash", NOW)
    people.open_session(session_of(jo))
    people.leave(jo.id, NOW)
    assert people.session("d1", NOW) is None
    assert people.people()[1].left_at == NOW


def test_the_last_keeper_cant_leave(people: SqlPeople) -> None:
    mara = keeper(people)
    people.add("Jo", Role.HELPER, "hash", NOW)
    with pytest.raises(InputError, match="last keeper"):
        people.leave(mara.id, NOW)
    second = keeper(people, "Ana")
    people.leave(mara.id, NOW)
    with pytest.raises(InputError, match="last keeper"):
        people.leave(second.id, NOW)


def test_nobody_can_be_changed_who_is_not_there(people: SqlPeople) -> None:
    keeper(people)
    with pytest.raises(NotKnownError):
        people.set_password(99, "hash")
    with pytest.raises(NotKnownError):
        people.leave(99, NOW)
    with pytest.raises(NotKnownError):
        people.revoke_wall_token(99, NOW)


def test_opening_a_session_drops_those_that_have_ended(people: SqlPeople) -> None:
    mara = keeper(people)
    people.open_session(session_of(mara, "old", NOW + timedelta(hours=1)))
    late = NOW + timedelta(days=2)
    people.open_session(
        Session(digest="new", person_id=mara.id, made_at=late, seen_at=late, ends_at=LATER)
    )
    assert people.session("old", NOW) is None
    assert people.session("new", late) is not None


def test_a_token_holds_until_it_is_revoked(people: SqlPeople) -> None:
    token = people.add_wall_token("Tablet", digest_of("secret"), by="Mara", at=NOW)
    assert people.wall_token(digest_of("secret")) == token
    people.wall_seen(token.id, LATER)
    assert people.wall_tokens()[0].seen_at == LATER
    people.revoke_wall_token(token.id, LATER)
    people.revoke_wall_token(token.id, LATER + timedelta(days=1))
    assert people.wall_token(digest_of("secret")) is None
    assert people.wall_tokens()[0].revoked_at == LATER


def test_nothing_secret_stands_in_the_file(tmp_path: Path) -> None:
    records = open_records("sqlite:///records.db", tmp_path)
    records.people.put_first_code(digest_of("mark-of-the-code"), NOW)
    records.people.add_wall_token("Tablet", digest_of("mark-of-the-token"), by=None, at=NOW)
    records.close()
    kept = (tmp_path / "records.db").read_bytes()
    assert b"mark-of-the" not in kept
    assert digest_of("mark-of-the-code").encode() in kept
