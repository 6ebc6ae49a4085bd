"""What is merged: by properties over any two documents."""

import copy

from hypothesis import given

from service.settings.faults import MISSING
from service.settings.kept import (
    differing_paths,
    fixed_paths,
    is_for_the_file_alone,
    merged,
    value_at,
    without_the_file,
)
from tests.service.settings.documents import DOCUMENTS

Document = dict[str, object]


@given(kept=DOCUMENTS, file=DOCUMENTS)
def test_what_the_file_states_wins(kept: Document, file: Document) -> None:
    whole = merged(kept, file)
    for path in fixed_paths(file):
        assert value_at(whole, path) == value_at(file, path)


@given(kept=DOCUMENTS, file=DOCUMENTS)
def test_what_the_file_leaves_open_is_as_kept(kept: Document, file: Document) -> None:
    whole = merged(kept, file)
    for path in fixed_paths(kept) - fixed_paths(file):
        expected = MISSING if is_for_the_file_alone(path) else value_at(kept, path)
        assert value_at(whole, path) == expected


@given(kept=DOCUMENTS, file=DOCUMENTS)
def test_nothing_is_there_that_neither_says(kept: Document, file: Document) -> None:
    assert fixed_paths(merged(kept, file)) <= fixed_paths(file) | fixed_paths(kept)


@given(kept=DOCUMENTS, file=DOCUMENTS)
def test_neither_document_is_changed(kept: Document, file: Document) -> None:
    before = copy.deepcopy((kept, file))
    merged(kept, file)
    without_the_file(kept, file, kept)
    assert (kept, file) == before


@given(kept=DOCUMENTS, file=DOCUMENTS)
def test_what_the_file_hides_stays_kept(kept: Document, file: Document) -> None:
    again = without_the_file(merged(kept, file), file, kept)
    for path in fixed_paths(kept):
        assert value_at(again, path) == value_at(kept, path)
    assert fixed_paths(again) == fixed_paths(kept)


@given(kept=DOCUMENTS, file=DOCUMENTS, other=DOCUMENTS)
def test_a_change_beside_the_file_comes_through(
    kept: Document, file: Document, other: Document
) -> None:
    changed = merged(other, file)
    again = merged(without_the_file(changed, file, kept), file)
    assert differing_paths(again, changed) == ()


@given(one=DOCUMENTS, other=DOCUMENTS)
def test_two_documents_differ_where_a_value_differs(one: Document, other: Document) -> None:
    told = set(differing_paths(one, other))
    for path in fixed_paths(one) | fixed_paths(other):
        assert (path in told) == (value_at(one, path) != value_at(other, path))


def test_the_files_entries_come_first_and_keep_their_order() -> None:
    kept: Document = {"place": [{"id": "c"}, {"id": "a"}, {"id": "d"}]}
    file: Document = {"place": [{"id": "b"}, {"id": "a"}]}
    assert merged(kept, file)["place"] == [{"id": "b"}, {"id": "a"}, {"id": "c"}, {"id": "d"}]
