"""How phones and tablets reach the pages."""

from dataclasses import replace
from pathlib import Path

import pytest

from dashboards.marks.qr import qr_svg
from dashboards.views.phones_view import PhonesView, phones_view
from service.settings.settings import Settings
from tests.dashboards.filled_shed import settings

ADDRESSES = ("192.0.2.7", "198.51.100.4")
NAMES = ("shed", "shed.local")


def view(shed: Settings, *, has_keeper: bool = True) -> PhonesView:
    return phones_view(shed, has_keeper=has_keeper, addresses=ADDRESSES, names=NAMES, port=8460)


def test_while_they_are_out_no_address_is_promised(tmp_path: Path) -> None:
    found = view(settings(tmp_path))
    assert (found.let_in, found.addresses, found.code) == (False, (), None)


def test_let_in_they_are_told_every_address_and_the_first_as_a_code(tmp_path: Path) -> None:
    found = view(replace(settings(tmp_path), bind="0.0.0.0"))
    assert found.addresses == (
        "http://192.0.2.7:8460",
        "http://198.51.100.4:8460",
        "http://shed.local:8460",
    )
    assert found.code == qr_svg("http://192.0.2.7:8460")


def test_with_a_certificate_the_address_says_so(tmp_path: Path) -> None:
    shed = replace(settings(tmp_path), bind="0.0.0.0", certificate_file=tmp_path / "own.pem")
    assert view(shed).addresses[0] == "https://192.0.2.7:8460"


@pytest.mark.parametrize(
    ("fixed", "has_keeper", "may"), [((), True, True), ((), False, False), (("x",), True, False)]
)
def test_the_switch_is_there_for_a_keeper_where_the_file_leaves_it(
    tmp_path: Path, fixed: tuple[str, ...], *, has_keeper: bool, may: bool
) -> None:
    paths = frozenset({("pages", "bind")}) if fixed else frozenset[tuple[str, ...]]()
    shed = replace(settings(tmp_path), fixed=paths)
    assert view(shed, has_keeper=has_keeper).may_change is may
