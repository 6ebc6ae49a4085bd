"""Passwords are kept as argon2id, compared in the same time for anybody, and never short."""

import re
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from statistics import median

import argon2
import pytest

from service.errors import InputError
from service.people import passwords
from service.people.first_code import as_kept, new_first_code
from service.people.letters import LETTERS
from service.people.passwords import (
    acceptable,
    is_outdated,
    is_password,
    one_time_password,
    password_hash,
)

GOOD = "a few good words"


def test_a_password_is_kept_as_argon2id_with_the_least_that_owasp_names() -> None:
    # OWASP Password Storage cheat sheet, argon2id: m=19456 (19 MiB), t=2, p=1.
    found = argon2.extract_parameters(password_hash(GOOD))
    assert found.type is argon2.Type.ID
    assert (found.memory_cost, found.time_cost, found.parallelism) == (19456, 2, 1)
    assert found.salt_len >= 16  # RFC 9106, 3.1: 16 bytes recommended


def test_only_the_password_itself_is_right() -> None:
    kept = password_hash(GOOD)
    assert is_password(kept, GOOD)
    for other in ("", GOOD.upper(), f"{GOOD} ", GOOD[:-1], kept):
        assert not is_password(kept, other)
    assert password_hash(GOOD) != kept


def test_a_letter_written_in_two_ways_is_one() -> None:
    # Unicode: U+00E9 and U+0065 U+0301 are canonically equivalent.
    assert is_password(
        password_hash("caf\u00e9 caf\u00e9 caf\u00e9"), "cafe\u0301 " * 2 + "cafe\u0301"
    )


@pytest.mark.parametrize("kept", [None, "", "no hash", "$argon2id$v=19$broken"])
def test_nobody_has_no_right_password(kept: str | None) -> None:
    assert not is_password(kept, GOOD)
    assert not is_password(kept, "")


def test_for_nobody_the_same_work_is_done() -> None:
    kept = password_hash(GOOD)
    is_password(None, GOOD)

    def took(of: str | None) -> float:
        began = time.perf_counter()
        is_password(of, "wrong password")
        return time.perf_counter() - began

    somebody, nobody = (median(took(of) for _ in range(7)) for of in (kept, None))
    assert nobody > somebody / 3  # far from nothing, on a busy machine too


def test_at_most_two_are_hashed_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    running, most, lock = 0, 0, threading.Lock()
    real = passwords._HASHER.hash

    class Counting:
        def hash(self, password: str) -> str:
            nonlocal running, most
            with lock:
                running += 1
                most = max(most, running)
            try:
                return real(password)
            finally:
                with lock:
                    running -= 1

    monkeypatch.setattr(passwords, "_HASHER", Counting())
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(password_hash, [GOOD] * 12))
    assert most == 2


@pytest.mark.parametrize(
    ("password", "wrong"),
    [
        ("", "has 0 characters"),
        ("nine char", "has 9 characters"),
        ("Mara Hazel", "is the name"),
        ("MARA HAZEL ", "is the name"),
        ("x" * 201, "longer than 200"),
        ("aaaaaaaaaaaa", "one character"),
    ],
)
def test_what_is_no_password_is_told_in_words(password: str, wrong: str) -> None:
    with pytest.raises(InputError, match=wrong):
        acceptable(password, "Mara Hazel")


def test_ten_characters_are_enough_and_two_hundred_not_too_many() -> None:
    acceptable("ten chars!", "Mara")
    acceptable("x" * 199 + "y", "Mara")


def test_a_hash_with_weaker_parameters_is_outdated() -> None:
    weak = argon2.PasswordHasher(time_cost=1, memory_cost=8, parallelism=1).hash(GOOD)
    assert is_outdated(weak)
    assert is_password(weak, GOOD)
    assert not is_outdated(password_hash(GOOD))


@pytest.mark.parametrize("made", [new_first_code, one_time_password])
def test_codes_are_four_groups_of_letters_that_are_not_taken_for_one_another(made: object) -> None:
    assert callable(made)
    codes = {made() for _ in range(200)}
    assert len(codes) == 200
    for code in codes:
        assert re.fullmatch(rf"[{LETTERS}]{{4}}(-[{LETTERS}]{{4}}){{3}}", code)
    assert not set("il1o0") & set(LETTERS)


def test_a_code_may_be_typed_in_any_way() -> None:
    assert as_kept("abcd-efgh-jkmn-pqrs") == as_kept(" ABCD efgh JKMN-pqrs ")
