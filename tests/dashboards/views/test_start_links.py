"""Who sees which pages first."""

import pytest

from dashboards.access import least_for, may
from dashboards.views.start_links import start_links
from service.people.role import Role


@pytest.mark.parametrize("role", list(Role))
def test_nobody_is_shown_a_page_that_they_may_not_open(role: Role) -> None:
    for link in start_links(role, has_keeper=True):
        assert may(role, least_for("GET", link.address)), link.address


def test_helper_is_shown_todays_list_first_and_no_set_up() -> None:
    addresses = [link.address for link in start_links(Role.HELPER, has_keeper=True)]
    assert addresses[0] == "/today"
    assert not {"/setup", "/people", "/season", "/today/workload"} & set(addresses)
