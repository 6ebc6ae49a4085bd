"""Changes of the settings that are made on pages.

    the edit is applied to what holds -> what the file states must not differ
    -> the same rules as for the file find no new fault -> kept, and noted -> the nest book

Nothing is changed before the last of these questions is answered.
"""

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from service.errors import ConfigurationError, InputError, StoreUnavailableError
from service.nests.place import Place, PlaceKind
from service.settings.faults import MISSING, fault_line, in_toml, key_text
from service.settings.in_force import essence, examine, settings_of
from service.settings.kept import (
    NAMED_BY,
    FixedPath,
    as_it_holds,
    differing_paths,
    fixed_paths,
    is_for_the_file_alone,
    merged,
    value_at,
    without_the_file,
)
from service.settings.settings import Settings
from service.settings.stated import Stated
from service.store.kept_settings import Change, Document, Kept, KeptSettings
from service.store.nest_book import ChangedMeanwhileError, NestBook

TRIES = 20
LONGEST_TOLD = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """``what`` is a sentence for the record of changes, ``touches`` the paths that it sets.

    ``apply`` gets the whole document, the file's part and the pages', and returns the changed
    one; it may raise InputError.
    """

    what: str
    touches: frozenset[FixedPath]
    apply: Callable[[Document], Document]


def both(*edits: Edit) -> Edit:
    """Several edits as one: all of it, or nothing."""

    def apply(document: Document) -> Document:
        for edit in edits:
            document = edit.apply(document)
        return document

    return Edit(
        what=" ".join(edit.what for edit in edits),
        touches=frozenset[FixedPath]().union(*(edit.touches for edit in edits)),
        apply=apply,
    )


class SetInFileError(InputError):
    """The file states it, so that it can't be changed on a page. ``paths`` are those."""

    def __init__(self, paths: Sequence[FixedPath], file: Path | None) -> None:
        told = ", ".join(path_text(path) for path in paths)
        where = f"in {file}" if file else "in the configuration file"
        super().__init__(f"{told}: set {where}; change it there and start the service again")
        self.paths = tuple(paths)


class SettingsEditor:
    """Safe to call from several threads, and beside other processes."""

    def __init__(
        self,
        *,
        stated: Stated,
        data: Path,
        kept: KeptSettings,
        book: NestBook,
        changed: Callable[[], None] = lambda: None,
    ) -> None:
        """``changed`` is called after each change."""
        self._stated = stated
        self._data = data
        self._kept = kept
        self._book = book
        self._changed = changed

    def change(self, edit: Edit, *, by: str | None, at: datetime) -> Settings:
        """Carry an edit out; the settings that hold from now on.

        Raises:
            ConfigurationError: with all faults that the change would bring.
            SetInFileError: it would change what the file states.
            InputError: it can't be done, in words.
            StoreUnavailableError: the records are busy.
            UnreadableSettingsError: what is kept is damaged.
            In each case nothing was changed.
        """
        for _ in range(TRIES):
            try:
                settings = self._try(edit, by, at)
            except ChangedMeanwhileError:
                continue
            self._changed()
            return settings
        raise StoreUnavailableError("the settings are changed from too many sides at once")

    def refuse_what_cannot_be(self, edit: Edit) -> None:
        """Put an edit to all its questions, and change nothing.

        Raises:
            ConfigurationError, SetInFileError, InputError, StoreUnavailableError,
            UnreadableSettingsError: as ``change`` would.
        """
        kept = self._kept.read()
        before = merged(kept.document, self._stated.document)
        self._sound(kept, before, edit.apply(before))

    def _sound(
        self, kept: Kept, before: Document, after: Document
    ) -> tuple[Document, tuple[FixedPath, ...]]:
        """What is to be kept, and the paths that it changes."""
        file = self._stated.document
        paths = differing_paths(before, after)
        self._refuse_what_is_fixed(paths)
        document = without_the_file(after, file, kept.document)
        self._refuse_new_faults(as_it_holds(kept.document, file), as_it_holds(document, file))
        return document, paths

    def _try(self, edit: Edit, by: str | None, at: datetime) -> Settings:
        kept = self._kept.read()
        before = merged(kept.document, self._stated.document)
        after = edit.apply(before)
        if after == before:
            return settings_of(self._stated, self._data, kept)
        document, paths = self._sound(kept, before, after)
        change = Change(
            at=at,
            by=by,
            what=edit.what,
            before=_told(before, paths),
            after=_told(after, paths),
        )
        return self._keep(kept, document, change)

    def _refuse_what_is_fixed(self, paths: Sequence[FixedPath]) -> None:
        fixed = fixed_paths(self._stated.document)
        refused = [path for path in paths if path in fixed or is_for_the_file_alone(path)]
        if refused:
            raise SetInFileError(refused, self._stated.file)

    def _refuse_new_faults(self, before: Document, after: Document) -> None:
        """Faults that were there (the file changed since) are told elsewhere, and no reason."""
        known = {essence(fault, before) for fault in examine(before).faults}
        new = [one for one in examine(after).faults if essence(one, after) not in known]
        if new:
            raise ConfigurationError([fault_line(one, "not changed", after) for one in new])

    def _keep(self, kept: Kept, document: Document, change: Change) -> Settings:
        """The nest book first gives up what is removed: it knows whether that may be."""
        old = settings_of(self._stated, self._data, kept)
        going = Kept(document=document, revision=kept.revision + 1)
        new = settings_of(self._stated, self._data, going)
        gone = _gone(old.places, new.places)
        if gone:
            self._book.remove_places(gone)
        try:
            self._kept.put(document, based_on=kept.revision, change=change)
        except BaseException:
            if gone:
                self._book.put_places(old.places)
            raise
        with suppress(StoreUnavailableError):  # watch puts them too, as soon as it follows
            self._book.put_places(new.places)
        return new


def _gone(before: Sequence[Place], after: Sequence[Place]) -> list[str]:
    """The places that are no more, and boxes that become something else or come of it."""
    kinds = {place.id: place.kind for place in after}

    def is_gone(place: Place) -> bool:
        kind = kinds.get(place.id)
        return kind is None or (kind is not place.kind and PlaceKind.BOX in {kind, place.kind})

    return [place.id for place in before if is_gone(place)]


def path_text(path: FixedPath) -> str:
    """A path in words: ``shed.name``, ``place "box-1"``."""
    if path[0] in NAMED_BY and len(path) > 1:
        return f"{path[0]} {in_toml(path[1])}"
    return key_text(path)


def _told(document: Document, paths: Sequence[FixedPath]) -> str | None:
    """What stands at these paths; None where nothing does. No password is ever in there."""
    values = ((path, value_at(document, path)) for path in paths)
    text = "; ".join(
        f"{path_text(path)}: {_value_in_words(path, value)}"
        for path, value in values
        if value is not MISSING
    )
    return (text if len(text) <= LONGEST_TOLD else text[: LONGEST_TOLD - 1] + "…") or None


def _value_in_words(path: FixedPath, value: object) -> str:
    if path[0] not in NAMED_BY or not isinstance(value, Mapping):
        return in_toml(value)
    keys = {key: told for key, told in value.items() if key != NAMED_BY[path[0]]}
    return in_toml(keys).removeprefix("{ ").removesuffix(" }")
