"""The settings as they are now, while pages of this and another process change them."""

from pathlib import Path

from service.errors import StoreUnavailableError
from service.settings import edits
from service.settings.current import CurrentSettings, read_settings
from service.settings.stated import Stated
from service.store.kept_settings import Kept
from tests.service.settings.editing_shed import editing_in


class Watchmaker:
    """Monotonic time that is put on by hand."""

    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


class ScriptedStore:
    """A store whose document and mood can be set."""

    def __init__(self) -> None:
        self.kept = Kept(document={}, revision=0)
        self.asked = 0
        self.broken = False

    def read(self) -> Kept:
        self._try()
        return self.kept

    def revision(self) -> int:
        self.asked += 1
        self._try()
        return self.kept.revision

    def put(self, *_: object, **__: object) -> int:
        raise AssertionError("nobody writes here")

    def name(self, name: str) -> None:
        self.kept = Kept(document={"shed": {"name": name}}, revision=self.kept.revision + 1)

    def _try(self) -> None:
        if self.broken:
            raise StoreUnavailableError("busy")


def test_a_change_elsewhere_is_seen_after_a_second_and_the_store_asked_no_oftener(
    tmp_path: Path,
) -> None:
    clock, kept = Watchmaker(), ScriptedStore()
    current = CurrentSettings(
        lambda: read_settings(Stated(), tmp_path, kept), kept.revision, monotonic=clock
    )
    kept.asked = 0
    kept.name("Hazel shed")
    clock.now += 0.9
    assert [current().shed_name for _ in range(50)] == ["Shed"] * 50
    assert kept.asked == 0
    clock.now += 0.1
    assert [current().shed_name for _ in range(50)] == ["Hazel shed"] * 50
    assert kept.asked == 1


def test_ones_own_change_is_seen_at_once(tmp_path: Path) -> None:
    with editing_in(tmp_path) as shed:
        shed.do(edits.shed(name="Hazel shed"))
        assert shed.current().shed_name == "Hazel shed"


def test_while_the_records_are_busy_the_settings_stay_and_are_asked_for_again(
    tmp_path: Path,
) -> None:
    clock, kept = Watchmaker(), ScriptedStore()
    current = CurrentSettings(
        lambda: read_settings(Stated(), tmp_path, kept), kept.revision, monotonic=clock
    )
    kept.asked = 0
    kept.name("Hazel shed")
    kept.broken = True
    clock.now += 5
    assert current().shed_name == "Shed"
    kept.broken = False
    clock.now += 1
    assert current().shed_name == "Hazel shed"
