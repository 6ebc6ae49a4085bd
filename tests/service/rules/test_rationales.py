"""Every rule says why it is there."""

from datetime import timedelta

import pytest

import service.clock_path
import service.overdue_path
import service.twins_path
from devices.reading import Quantity
from service.rules.built_in import built_in_limits
from service.rules.limit import Limit, Priority
from service.rules.limit_rationales import rationale_of_limit
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.rationales import RATIONALES, kind_of, rationale_of

BUILT_IN = built_in_limits(("shed",), ("flight-1",))


@pytest.mark.parametrize("limit", BUILT_IN, ids=lambda limit: limit.id)
def test_a_built_in_limit_has_the_priority_of_its_rationale(limit: Limit) -> None:
    assert rationale_of_limit(limit).priority is limit.priority


@pytest.mark.parametrize("path", [service.overdue_path, service.twins_path, service.clock_path])
def test_a_path_raises_only_what_says_why(path: object) -> None:
    kind = kind_of(path.RULE_PREFIX)  # type: ignore[attr-defined]
    assert kind is not None
    assert kind in RATIONALES


@pytest.mark.parametrize("kind", RATIONALES)
def test_a_source_is_published_or_said_to_be_none(kind: str) -> None:
    source = RATIONALES[kind].source
    assert COMMON_PRACTICE in source or any(sign.isdigit() for sign in source)


@pytest.mark.parametrize("quantity", Quantity)
@pytest.mark.parametrize("side", ["low", "high"])
def test_a_limit_of_any_quantity_has_a_rationale(quantity: Quantity, side: str) -> None:
    limit = Limit(id="mine", place="shed", quantity=quantity, **{side: 1.0})  # type: ignore[arg-type]
    assert rationale_of("mine", [limit]) == rationale_of_limit(limit)


def test_what_is_set_no_more_has_no_rationale() -> None:
    assert rationale_of("gone", BUILT_IN) is None
    assert rationale_of("nothing-like-it:shed", BUILT_IN) is None


@pytest.mark.parametrize("lacking", ["cause", "consequence", "response", "source"])
def test_a_rationale_lacks_no_part(lacking: str) -> None:
    parts = dict.fromkeys(("cause", "consequence", "response", "why_setpoint", "source"), "Told.")
    with pytest.raises(ValueError, match=lacking):
        Rationale(
            **(parts | {lacking: " "}),  # type: ignore[arg-type]
            respond_within=timedelta(hours=1),
            priority=Priority.LOW,
        )
