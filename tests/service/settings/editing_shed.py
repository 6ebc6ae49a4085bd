"""An editor over real stores, with or without a file."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from service.settings.current import CurrentSettings
from service.settings.editing import Edit, SettingsEditor
from service.settings.settings import Settings
from service.settings.stated import Stated
from service.store.sql_records import Records, open_records
from service.wiring import current_settings

NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)


@dataclass(kw_only=True)
class EditingShed:
    """``do`` carries an edit out as Ida at NOON."""

    records: Records
    current: CurrentSettings
    editor: SettingsEditor
    stated: Stated = field(default_factory=Stated)

    def do(self, *edits: Edit) -> Settings:
        """The settings after the last of them."""
        settings = self.current()
        for edit in edits:
            settings = self.editor.change(edit, by="Ida", at=NOON)
        return settings


@contextmanager
def editing_in(data: Path, file: dict[str, Any] | None = None) -> Iterator[EditingShed]:
    """``file`` is what a configuration file states."""
    records = open_records("sqlite:///records.db", data)
    stated = Stated(document=file or {}, file=data / "clutchweather.toml" if file else None)
    current = current_settings(stated, data, records)
    editor = SettingsEditor(
        stated=stated,
        data=data,
        kept=records.kept,
        book=records.nest_book,
        changed=current.renew,
    )
    try:
        yield EditingShed(records=records, current=current, editor=editor, stated=stated)
    finally:
        records.close()
