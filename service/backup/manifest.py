"""The list that stands first in every backup: what is in it, how much, and by which version.

It holds names, sizes, digests and counts, and never what stands in a file.
"""

from datetime import UTC, datetime
from pathlib import PurePosixPath
from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError, model_validator

from service.backup.errors import DamagedBackupError

MANIFEST = "manifest.json"
KIND = "clutchweather backup"
FORMAT = 1

DATA = "data"
"""Members that lay in the data folder."""

ELSEWHERE = "elsewhere"
"""Members that the configuration names and that lay outside; never put back by us."""

MOST_MEMBERS = 2000
_LONGEST_NAME = 240
_DEEPEST = 6


def member_name(text: str) -> str:
    """A name that can only lie inside the folder it is unpacked into.

    Raises:
        ValueError: absolute, ``..``, empty parts, control signs, too deep or too long.
    """
    parts = text.split("/")
    if len(text) > _LONGEST_NAME or not 2 <= len(parts) <= _DEEPEST or not text.isprintable():
        raise ValueError("not the name of a member")
    if any(part in {"", ".", ".."} for part in parts) or "\\" in text:
        raise ValueError("not the name of a member")
    if parts[0] not in {DATA, ELSEWHERE}:
        raise ValueError("not the name of a member")
    return text


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Member(_Strict):
    """``lay_at`` is the full name where it lay; told for those of ELSEWHERE."""

    name: Annotated[str, AfterValidator(member_name)]
    size: int = Field(ge=0)
    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")
    mode: int = Field(ge=0, le=0o777)
    group: str | None = None
    lay_at: str | None = None

    @property
    def in_data(self) -> PurePosixPath | None:
        """Its name in the data folder; None where it lay elsewhere."""
        name = PurePosixPath(self.name)
        return name.relative_to(DATA) if name.parts[0] == DATA else None


class Folder(_Strict):
    """A folder of members within the data folder; ``mode`` with the set-group-ID bit."""

    name: Annotated[str, AfterValidator(member_name)]
    mode: int = Field(ge=0, le=0o2777)
    group: str | None = None


class DatabaseFacts(_Strict):
    """What a database holds: ``layout`` is its number, ``counts`` the rows of each table."""

    layout: int = Field(ge=0)
    counts: dict[str, int]
    newest_reading_at: datetime | None = None


class Manifest(_Strict):
    """The first member, whole. ``readings`` and ``records`` are names of members."""

    kind: str = Field(pattern=f"^{KIND}$")
    format: int = Field(ge=1)
    version: str
    made_at: datetime
    shed_name: str
    readings: str | None
    records: str | None
    databases: dict[str, DatabaseFacts]
    members: tuple[Member, ...] = Field(min_length=1, max_length=MOST_MEMBERS)
    folders: tuple[Folder, ...] = Field(default=(), max_length=MOST_MEMBERS)

    @model_validator(mode="after")
    def _agrees(self) -> "Manifest":
        names = [PurePosixPath(member.name) for member in self.members]
        folders = {folder for name in names for folder in name.parents}
        if len(set(names)) != len(names) or folders & set(names):
            raise ValueError("two members have one name")
        if not {PurePosixPath(folder.name) for folder in self.folders} <= folders:
            raise ValueError("a folder without a member")
        if self.made_at.tzinfo is None:
            raise ValueError("a time without an offset")
        told = {str(name) for name in names}
        databases = {name for name in (self.readings, self.records) if name is not None}
        if databases != set(self.databases) or not databases <= told:
            raise ValueError("the databases are not among the members")
        return self

    @property
    def size(self) -> int:
        """Bytes of all members."""
        return sum(member.size for member in self.members)

    def counts(self) -> dict[str, int]:
        """Rows of every table of both databases."""
        return {
            table: count
            for facts in self.databases.values()
            for table, count in sorted(facts.counts.items())
        }

    @property
    def newest_reading_at(self) -> datetime | None:
        """When the newest reading came; None where there is none."""
        facts = self.databases.get(self.readings or "")
        found = None if facts is None else facts.newest_reading_at
        return None if found is None else found.astimezone(UTC)


def read_manifest(text: bytes) -> Manifest:
    """The list as it stands in a backup.

    Raises:
        DamagedBackupError: it is not such a list.
    """
    try:
        return Manifest.model_validate_json(text)
    except ValidationError as error:
        first = error.errors(include_input=False, include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"]) or "as a whole"
        raise DamagedBackupError(f"its list of contents is not sound ({where})") from None
