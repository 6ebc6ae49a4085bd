"""Makes the stated prior of the outlook anew, out of simulated sheds in typical years.

    .venv/bin/python -m tests.benchmarks.outlook_priors OUT.json [EPW...]

Unheated sheds of three kinds, in the three years of pvlib and in those named, with lamps for
14 hours and for 8 hours a day. Takes some minutes.
"""

import sys
from collections.abc import Iterable, Iterator, Sequence
from itertools import product
from pathlib import Path

import msgspec
import numpy as np

from service.climate.outlook.features import DAMP, FEATURES, OUTDOORS, SHED
from service.climate.outlook.night_span import FIRST_HOUR, LAST_HOUR
from service.study.outlook_damp import chances_by
from service.study.outlook_prior import DampPrior, FallPrior, HourPrior, Numbers, OutlookPrior
from service.study.outlook_ridge import sizes, standardised
from service.study.outlook_table import HourTable, hour_table
from tests.benchmarks.typical_sheds import LIT, SHEDS, Series, epw_year, pvlib_years, series

ERRORS = 40
UNHEATED = tuple(name for name, (_, _, kind) in SHEDS.items() if kind == name)
_PULL = 1e-3
_LOGIT_PULL = 1e-3
_DIGITS = 6


ALL_HOURS = range(FIRST_HOUR, LAST_HOUR + 1)


def prior_of(sheds: Sequence[Series], made: str, hours: Iterable[int] = ALL_HOURS) -> OutlookPrior:
    """The prior that these sheds, all of them pooled, would state."""
    return OutlookPrior(made=made, hours={hour: _hour(sheds, hour) for hour in hours})


def _hour(sheds: Sequence[Series], hour: int) -> HourPrior:
    outdoors = pooled([table_of(shed, hour) for shed in sheds])
    inside = pooled([table_of(shed, hour, indoors=True) for shed in sheds])
    return HourPrior(
        shed=_fall(SHED, inside, inside.shed_c - inside.low_c),
        outdoors=_fall(SHED + OUTDOORS, outdoors, outdoors.shed_c - outdoors.low_c),
        damp=_damp(SHED, inside),
        damp_outdoors=_damp(SHED + OUTDOORS + DAMP, outdoors),
    )


def table_of(shed: Series, hour: int, *, indoors: bool = False) -> HourTable:
    """The table of one shed and hour, with its outdoor thermometer or without."""
    rows, by = (shed.indoors, "below") if indoors else (shed.rows, "factor")
    return hour_table(rows, hour, surface_by=by, looks={})


def pooled(tables: Sequence[HourTable]) -> HourTable:
    """One table under the other."""
    names = ("features", "shed_c", "low_c", "margin_k", "least_margin_k", "wet", "wet_before")
    return HourTable(
        evenings=tuple(evening for table in tables for evening in table.evenings),
        issues=tuple(issue for table in tables for issue in table.issues),
        **{name: np.concatenate([getattr(table, name) for table in tables]) for name in names},
    )


def _fall(names: tuple[str, ...], table: HourTable, falls: Numbers) -> FallPrior:
    chosen = table.features[:, [FEATURES.index(name) for name in names]]
    mean = np.asarray(np.nanmean(chosen, axis=0))
    sd = np.asarray(np.nanstd(chosen, axis=0))
    sd[sd < 1e-6] = 1.0
    mean[0] = 0.0
    bare = FallPrior(
        names=names,
        mean=_told(mean),
        sd=_told(sd),
        moments=(),
        weights=(),
        size_k=0.0,
        size_per_k=0.0,
        errors=(),
    )
    z = standardised(bare, table.features)
    moments = z.T @ z / len(z)
    weights = np.linalg.solve(moments + _PULL * np.eye(len(names)), z.T @ falls / len(z))
    foreseen = z @ weights
    off = falls - foreseen
    size_per_k, size_k = np.polyfit(foreseen, np.abs(off), 1)
    shaped = FallPrior(
        names=names,
        mean=bare.mean,
        sd=bare.sd,
        moments=_told(moments[np.tril_indices(len(names))]),
        weights=_told(weights.astype(np.float64)),
        size_k=round(float(size_k), _DIGITS),
        size_per_k=round(float(size_per_k), _DIGITS),
        errors=(),
    )
    errors = np.quantile(off / sizes(shaped, foreseen), (np.arange(ERRORS) + 0.5) / ERRORS)
    return msgspec.convert(
        {**msgspec.to_builtins(shaped), "errors": _told(np.asarray(errors))}, FallPrior
    )


def _damp(names: tuple[str, ...], table: HourTable) -> DampPrior:
    margin = _fall(names, table, table.margin_k - table.least_margin_k)
    z = standardised(margin, table.features)
    foreseen = z @ np.array(margin.weights)
    middle = foreseen + np.median(margin.errors) * sizes(margin, foreseen)
    so_far = [issue.least_margin_so_far_k for issue in table.issues]
    bound = np.array([np.inf if value is None else value for value in so_far])
    x = chances_by(np.minimum(table.margin_k - middle, bound), table.wet_before)
    logit, information = _logit(x, table.wet)
    return DampPrior(
        margin=margin,
        logit=(logit[0], logit[1], logit[2]),
        information=_told(information.ravel()),
    )


def _logit(x: Numbers, wet: Numbers) -> tuple[tuple[float, ...], Numbers]:
    b = np.zeros(3)
    bend = np.eye(3)
    for _ in range(30):
        chance = 1.0 / (1.0 + np.exp(-np.clip(x @ b, -30.0, 30.0)))
        bend = x.T @ (x * (chance * (1.0 - chance))[:, None]) / len(x)
        slope = x.T @ (wet - chance) / len(x) - _LOGIT_PULL * b
        b = b + np.linalg.solve(bend + _LOGIT_PULL * np.eye(3), slope)
    return _told(b), bend


def _told(values: Numbers) -> tuple[float, ...]:
    """Numbers as they are written down: no finer than they matter."""
    return tuple(round(float(value), _DIGITS) for value in values)


def sheds_of(epw: Sequence[Path]) -> Iterator[Series]:
    """All unheated sheds, in all years, by both programmes of light."""
    years = (*pvlib_years(), *(epw_year(path) for path in epw))
    for year, shed, lit in product(years, UNHEATED, LIT):
        yield series(year, shed, lit)


def main() -> None:
    """Make it and write it."""
    out, *epw = (Path(name) for name in sys.argv[1:])
    sheds = list(sheds_of(epw))
    out.write_bytes(msgspec.json.encode(prior_of(sheds, words_of(sheds))))


def words_of(sheds: Sequence[Series]) -> str:
    """How it was made."""
    places = ", ".join(dict.fromkeys(shed.place for shed in sheds))
    return (
        f"python -m tests.benchmarks.outlook_priors: {len(sheds)} simulated years of "
        f"{', '.join(UNHEATED)} sheds without heater ({places}); lamps "
        + " and ".join(f"{on:%H:%M} to {off:%H:%M}" for on, off in LIT.values())
    )


if __name__ == "__main__":
    main()
