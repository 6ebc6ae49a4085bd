"""How far the shed usually falls in the first hours."""

from dataclasses import replace

import numpy as np
import pytest

from service.study.outlook_first_hours import usual_falls
from tests.service.study.made_up_nights import quarters_of, rows_of

QUARTERS = quarters_of(42)
ROWS = rows_of(QUARTERS, 40)


def test_the_usual_fall_of_the_first_hours_is_the_least_squares_line_of_three_weeks() -> None:
    # numpy's polynomial fit, of the last 21 nights.
    told = [row.issues[2] for row in ROWS[19:40]]
    per_k, constant = np.polyfit(
        [issue.gap_at_off_k or 0.0 for issue in told], [issue.fallen_k or 0.0 for issue in told], 1
    )
    usual = usual_falls(ROWS)[2]
    assert usual.per_k == pytest.approx(per_k)
    assert usual.constant_k == pytest.approx(constant)


def test_without_an_outdoor_thermometer_no_fall_is_usual() -> None:
    alone = replace(QUARTERS, outdoors_c=())
    assert not usual_falls(rows_of(alone, 18))
