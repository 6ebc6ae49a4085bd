"""Typical years as pvlib reads them, and what is said of files that are none."""

import warnings
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from pvlib.iotools import read_tmy2 as pvlib_tmy2  # type: ignore[import-untyped]
from pvlib.iotools import read_tmy3 as pvlib_tmy3

from simulated_feeds.outdoors.typical_year import TypicalYearError, read_tmy2, read_tmy3
from tests.simulated_feeds.outdoors.hourly_statistics import FILES

SAND_POINT = FILES / "703165TY.csv"
MIAMI = FILES / "12839.tm2"


# Under the heading "GH illum (lx)" the second file has hundreds of lx.
@pytest.mark.parametrize(("name", "light_unit"), [("703165TY.csv", 1), ("723170TYA.CSV", 100)])
def test_tmy3_reads_as_pvlib_reads_it(name: str, light_unit: int) -> None:
    ours = read_tmy3(FILES / name)
    theirs, place = pvlib_tmy3(FILES / name, map_variables=False)
    assert (ours.latitude, ours.longitude) == (place["latitude"], place["longitude"])
    assert ours.utc_offset_h == place["TZ"]
    for found, column in (
        (ours.temperature_c, "Dry-bulb (C)"),
        (ours.dew_point_c, "Dew-point (C)"),
        (ours.humidity_pct, "RHum (%)"),
        (ours.cloud * 10.0, "TotCld (tenths)"),
        (ours.wind_m_s, "Wspd (m/s)"),
        (ours.sun_w_m2, "GHI (W/m^2)"),
        (ours.light_lx / light_unit, "GH illum (lx)"),
    ):
        assert found == pytest.approx(theirs[column].to_numpy(), abs=1e-9)


def test_tmy2_reads_as_pvlib_reads_it() -> None:
    ours = read_tmy2(MIAMI)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of its own date parsing
        theirs, place = pvlib_tmy2(MIAMI)
    assert ours.latitude == pytest.approx(place["latitude"])
    assert ours.longitude == pytest.approx(place["longitude"])
    assert ours.name == place["City"]
    for found, column in (
        (ours.month, "month"),
        (ours.temperature_c * 10.0, "DryBulb"),
        (ours.dew_point_c * 10.0, "DewPoint"),
        (ours.humidity_pct, "RHum"),
        (ours.cloud * 10.0, "TotCld"),
        (ours.wind_m_s * 10.0, "Wspd"),
        (ours.sun_w_m2, "GHI"),
        (ours.light_lx / 100.0, "GHillum"),
    ):
        assert found == pytest.approx(theirs[column].to_numpy(dtype=float), abs=1e-6)


def test_day_of_a_typical_year_holds_its_hours_in_local_standard_time() -> None:
    year = read_tmy3(SAND_POINT)  # nine hours behind UTC; the first row is 1 January, 01:00
    day = year.day(datetime(2026, 1, 1, 10, 0, tzinfo=UTC))
    assert day.temperature_c[0::60] == pytest.approx(year.temperature_c[:24])
    assert day.temperature_c[30] == pytest.approx(np.mean(year.temperature_c[:2]))


def test_leap_day_is_a_second_28th_of_february() -> None:
    year = read_tmy3(SAND_POINT)
    leap, before = (year.day(datetime(2028, 2, day, 9, 0, tzinfo=UTC)) for day in (29, 28))
    assert leap.temperature_c == pytest.approx(before.temperature_c)


def test_days_go_round_from_december_to_january() -> None:
    year = read_tmy3(SAND_POINT)
    day = year.day(datetime(2026, 12, 31, 12, 0, tzinfo=UTC))
    assert day.temperature_c[21 * 60] == pytest.approx(year.temperature_c[-1])
    assert day.temperature_c[22 * 60] == pytest.approx(year.temperature_c[0])


@pytest.mark.parametrize("read", [read_tmy2, read_tmy3])
@pytest.mark.parametrize("text", ["", "nothing\n", "a,b,c,d,e,f,g\nx,y\n1,2\n"])
def test_file_that_is_no_typical_year_is_refused(
    read: "type[object]", text: str, tmp_path: Path
) -> None:
    path = tmp_path / "weather.csv"
    path.write_text(text, encoding="ascii")
    with pytest.raises(TypicalYearError, match=r"weather\.csv"):
        read(path)  # type: ignore[call-arg]


def test_typical_year_that_lacks_hours_is_refused(tmp_path: Path) -> None:
    lines = SAND_POINT.read_text(encoding="ascii").splitlines(keepends=True)
    path = tmp_path / "short.csv"
    path.write_text("".join(lines[:100]), encoding="ascii")
    with pytest.raises(TypicalYearError, match="98 hours; a typical year has 8760"):
        read_tmy3(path)
