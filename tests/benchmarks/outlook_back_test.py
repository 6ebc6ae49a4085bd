"""How good the outlook of tonight's low is, night after night of simulated sheds.

    .venv/bin/python -m tests.benchmarks.outlook_back_test [--series FOLDER] [EPW...]

The weather is that of typical years (three that come with pvlib, and those named), the sheds
are simulated: the ranking and the holding of bands are the useful part, the size of the skill
is likely too good. Every night is foreseen by a model of the nights before it only, from the
fifteenth on, with a prior that saw neither the target's climate nor its kind of walls. Baselines:
(a) last night's low, (b) the shed now less the mean fall of the last seven nights, both with
quantiles of their own past errors. With ``--series`` what was simulated is kept there. Bars
that were missed are named at the end, and make the exit status 1.
"""

import argparse
import pickle
import sys
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from pathlib import Path

import numpy as np

from service.climate.outlook.evaluate import Band, chance_below, chance_of_condensation, low_band
from service.climate.outlook.features import Issue
from service.climate.outlook.model import Widths
from service.study.outlook_damp import fit_damp
from service.study.outlook_fit import fit_low
from service.study.outlook_prior import Chosen, HourPrior, Numbers, OutlookPrior
from service.study.outlook_table import HourTable, ages
from service.study.outlook_watch import stretched
from tests.benchmarks.outlook_priors import prior_of, table_of
from tests.benchmarks.typical_sheds import (
    SHEDS,
    THERMOSTAT_C,
    Series,
    epw_year,
    pvlib_years,
    series,
)

HOURS = (0, 2, 4)
WARM_UP = 14
LIMITS_C = (2.0, 5.0, 10.0)
_QUANTILES = (0.1, 0.5, 0.9)
_BLOCK = 7
_DRAWS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Scored:
    """One series, hour and method: per night, losses in kelvin and whether the band held."""

    place: str
    shed: str
    loss: Numbers
    held: Numbers
    off_k: Numbers
    width_k: Numbers
    said: Mapping[float, Numbers]
    happened: Mapping[float, Numbers]
    usual: Mapping[float, Numbers]


def pinball(band: Band, low_c: float) -> float:
    """Mean pinball loss over the three quantiles [K]."""
    off = [(tau, low_c - q) for tau, q in zip(_QUANTILES, _of(band), strict=True)]
    return sum(max(tau * each, (tau - 1.0) * each) for tau, each in off) / len(off)


def _of(band: Band) -> tuple[float, float, float]:
    return band.p10, band.p50, band.p90


Foresee = Callable[[HourTable, int], Band]


def last_night(table: HourTable, k: int) -> Band:
    """Baseline (a)."""
    return _by_errors(table.low_c[: k - 1], table.low_c[1:k], float(table.low_c[k - 1]))


def mean_fall(table: HourTable, k: int) -> Band:
    """Baseline (b)."""
    falls = table.shed_c - table.low_c
    means = np.array([falls[max(0, i - 7) : i].mean() for i in range(1, k + 1)])
    said = table.shed_c[1 : k + 1] - means
    return _by_errors(said[:-1], table.low_c[1:k], float(said[-1]))


def _by_errors(said: Numbers, came: Numbers, now: float) -> Band:
    low, middle, high = (now + np.quantile(came - said, _QUANTILES)).tolist()
    return Band(p10=low, p50=middle, p90=high)


class Fitted:
    """The outlook's own method: refitted every morning, stretched by how bands held."""

    def __init__(self, prior: HourPrior, kind: str, heater_c: float | None) -> None:
        self._prior = prior.outdoors if kind == "outdoors" else prior.shed
        self._heater_c = heater_c
        self._widths = Widths()

    def __call__(self, table: HourTable, k: int) -> Band:
        seen = table.only(np.arange(len(table.evenings)) < k)
        weights = ages(seen.evenings, seen.evenings[-1])
        fall, heater = fit_low(self._prior, seen, weights, self._heater_c)
        band = low_band(fall.model(self._widths), heater, table.issues[k])
        self._widths = stretched(self._widths, band, float(table.low_c[k]))
        return band


def scored(shed: Series, table: HourTable, foresee: Foresee) -> Scored:
    """A method through one year."""
    bands, lows, issues = [], [], []
    for k in range(7, len(table.evenings)):
        band = foresee(table, k)
        if k >= WARM_UP:
            bands.append(band)
            lows.append(float(table.low_c[k]))
            issues.append(table.issues[k])
    pairs = list(zip(bands, lows, strict=True))
    return Scored(
        place=shed.place,
        shed=shed.shed,
        loss=np.array([pinball(band, low) for band, low in pairs]),
        held=np.array([band.p10 <= low <= band.p90 for band, low in pairs], dtype=np.float64),
        off_k=np.array([low - band.p50 for band, low in pairs]),
        width_k=np.array([band.p90 - band.p10 for band in bands]),
        said={limit: _chances(bands, issues, limit) for limit in LIMITS_C},
        happened={limit: _number(np.array(lows) < limit) for limit in LIMITS_C},
        usual={limit: _usual(_number(table.low_c < limit)) for limit in LIMITS_C},
    )


def _chances(bands: Sequence[Band], issues: Sequence[Issue], limit: float) -> Numbers:
    return np.array(
        [chance_below(b, limit, i.low_so_far_c) for b, i in zip(bands, issues, strict=True)]
    )


def _number(happened: Chosen) -> Numbers:
    return happened.astype(np.float64)


def _usual(happened: Numbers) -> Numbers:
    """How often it happened in the last thirty nights."""
    return np.array([happened[max(0, k - 30) : k].mean() for k in range(WARM_UP, len(happened))])


def priors(sheds: Sequence[Series]) -> Mapping[tuple[str, str], OutlookPrior]:
    """For each place and kind of walls one that saw neither."""
    unheated = [shed for shed in sheds if SHEDS[shed.shed][2] == shed.shed]
    countries = {shed.place: _climate(shed.place) for shed in sheds}
    kinds = {shed.shed for shed in unheated}
    return {
        (place, kind): prior_of(
            [
                shed
                for shed in unheated
                if countries[shed.place] != countries[place] and shed.shed != kind
            ],
            "a trial",
            HOURS,
        )
        for place, kind in product(countries, kinds)
    }


def _climate(place: str) -> str:
    """The British years are one climate."""
    return "british" if any(name in place.upper() for name in ("ABERDEEN", "GATWICK")) else place


def _pooled(parts: Iterable[Scored], name: str) -> float:
    return float(np.concatenate([getattr(part, name) for part in parts]).mean())


def _ratio_error(one: Sequence[Scored], other: Sequence[Scored]) -> float:
    """Standard error of a ratio of losses: blocks of nights drawn anew, a place's sheds
    together, places apart.
    """
    rng = np.random.default_rng(1)
    places: dict[str, list[int]] = defaultdict(list)
    for k, part in enumerate(one):
        places[part.place].append(k)
    found = []
    for _ in range(_DRAWS):
        sums = np.zeros(2)
        for members in places.values():
            length = len(one[members[0]].loss)
            starts = rng.integers(0, length, length // _BLOCK + 1)
            drawn = ((starts[:, None] + np.arange(_BLOCK)) % length).ravel()[:length]
            for k in members:
                sums += one[k].loss[drawn].sum(), other[k].loss[drawn % len(other[k].loss)].sum()
        found.append(sums[0] / sums[1])
    return float(np.std(found))


@dataclass(slots=True)
class Report:
    """Lines as they are printed, and bars that were missed."""

    missed: list[str]

    def bar(self, name: str, value: float, least: float, most: float) -> None:
        """A figure against its bar."""
        good = least <= value <= most
        bounds = f"{least:g} to {most:g}"
        print(f"  {'held  ' if good else 'MISSED'} {name}: {value:.3f} (bar {bounds})")
        if not good:
            self.missed.append(name)


def main_table(
    sheds: Sequence[Series], stated: Mapping[tuple[str, str], OutlookPrior], report: Report
) -> None:
    """Unheated sheds: the main table, each series, chances, and their bars."""
    unheated = [shed for shed in sheds if SHEDS[shed.shed][2] == shed.shed]
    print("hour sensor    PL    MAE  holds (of series)  width  vs (a)  vs (b)  ratio to better")
    for hour, kind in product(HOURS, ("shed", "outdoors")):
        tables = [table_of(shed, hour, indoors=kind == "shed") for shed in unheated]
        pairs = list(zip(unheated, tables, strict=True))
        before = [scored(shed, table, last_night) for shed, table in pairs]
        falls = [scored(shed, table, mean_fall) for shed, table in pairs]
        own = [
            scored(shed, t, Fitted(stated[shed.place, shed.shed].hours[hour], kind, None))
            for shed, t in pairs
        ]
        _main_line(hour, kind, (before, falls, own), report)
        if hour == 0:
            _series_table(kind, (before, falls, own), report)
            _chance_table(kind, falls, own, report)


Three = tuple[Sequence[Scored], Sequence[Scored], Sequence[Scored]]


def _main_line(hour: int, kind: str, three: Three, report: Report) -> None:
    before, falls, own = three
    loss, a, b = (_pooled(parts, "loss") for parts in (own, before, falls))
    holds = [float(part.held.mean()) for part in own]
    error = _ratio_error(own, falls)
    print(
        f"{hour:+4d} {kind:8} {loss:.3f}  {_mae(own):.2f}  {np.mean(holds):.3f}; "
        f"{min(holds):.2f}-{max(holds):.2f}   {_pooled(own, 'width_k'):.2f}  "
        f"{1 - loss / a:.3f}  {1 - loss / b:.3f} ± {error:.3f}  {loss / min(a, b):.3f}"
    )
    most = 0.68 if kind == "shed" else 0.66
    report.bar(f"loss over better baseline, {hour:+d} {kind}", loss / min(a, b), 0.0, most)
    report.bar(f"band holds, pooled, {hour:+d} {kind}", float(np.mean(holds)), 0.77, 0.83)
    report.bar(f"band holds, worst series, {hour:+d} {kind}", min(holds), 0.74, 0.86)
    report.bar(f"band holds, best series, {hour:+d} {kind}", max(holds), 0.74, 0.86)


def _mae(parts: Sequence[Scored]) -> float:
    return float(np.abs(np.concatenate([part.off_k for part in parts])).mean())


def _series_table(kind: str, three: Three, report: Report) -> None:
    worst = 0.0
    print(f"  series at lamps-off, {kind}: PL (a), (b), own, ratio to better, MAE, holds")
    for before, falls, own in zip(*three, strict=True):
        a, b, loss = (float(part.loss.mean()) for part in (before, falls, own))
        worst = max(worst, loss / min(a, b))
        print(
            f"  {own.place[:18]:18} {own.shed:8} {a:.3f} {b:.3f} {loss:.3f} "
            f"{loss / min(a, b):.2f} {np.abs(own.off_k).mean():.2f} {own.held.mean():.2f}"
        )
    report.bar(f"worst series over better baseline, {kind}", worst, 0.0, 0.83)


def _chance_table(
    kind: str, falls: Sequence[Scored], own: Sequence[Scored], report: Report
) -> None:
    """Without the warmest place, where none of these limits is ever near."""
    chosen = [k for k, part in enumerate(own) if "MIAMI" not in part.place.upper()]
    for limit in LIMITS_C:
        happened = np.concatenate([own[k].happened[limit] for k in chosen]).astype(np.float64)
        usual, said, base = (
            _brier(np.concatenate([values[k] for k in chosen]), happened)
            for values in (
                [part.usual[limit] for part in own],
                [part.said[limit] for part in own],
                [part.said[limit] for part in falls],
            )
        )
        print(
            f"  below {limit:g} °C ({happened.mean():.3f} of nights), {kind}: Brier of 30 nights "
            f"{usual:.4f}, own {said:.4f}, skill {1 - said / usual:.3f}, (b) {1 - base / usual:.3f}"
        )
        if limit == 5.0:
            report.bar(f"Brier skill below 5 °C, {kind}", 1 - said / usual, 0.60, 1.0)
    all_said = np.concatenate([own[k].said[limit] for k in chosen for limit in LIMITS_C])
    came = np.concatenate([own[k].happened[limit] for k in chosen for limit in LIMITS_C])
    for low, high in ((0, 0.05), (0.05, 0.2), (0.2, 0.5), (0.5, 0.8), (0.8, 0.95), (0.95, 1.01)):
        here = (all_said >= low) & (all_said < high)
        print(
            f"    said {all_said[here].mean():.3f} happened {came[here].mean():.3f} ({here.sum()})"
        )


def _brier(said: Numbers, happened: Numbers) -> float:
    return float(((said - happened) ** 2).mean())


def heated_table(
    sheds: Sequence[Series], stated: Mapping[tuple[str, str], OutlookPrior], report: Report
) -> None:
    """Sheds with a heater, whose setting the keeper declared, at lamps-off."""
    for name, kind in product(("heated", "weakheat"), ("shed", "outdoors")):
        chosen = [shed for shed in sheds if shed.shed == name]
        tables = [table_of(shed, 0, indoors=kind == "shed") for shed in chosen]
        pairs = list(zip(chosen, tables, strict=True))
        falls = [scored(shed, table, mean_fall) for shed, table in pairs]
        found = {}
        for heater_c in (None, THERMOSTAT_C):
            found[heater_c] = [
                scored(
                    shed,
                    table,
                    Fitted(stated[shed.place, SHEDS[name][2]].hours[0], kind, heater_c),
                )
                for shed, table in pairs
            ]
        base = _pooled(falls, "loss")
        plain, mapped = (_pooled(parts, "loss") for parts in found.values())
        holds = _pooled(found[THERMOSTAT_C], "held")
        print(
            f"{name} {kind}: (b) {base:.3f}, without map {plain:.3f}, with map {mapped:.3f}, "
            f"ratio {mapped / base:.3f}, holds {holds:.3f}"
        )
        if name == "heated":
            report.bar(f"heater that holds, {kind}, over (b)", mapped / base, 0.0, 0.60)


def learning_table(sheds: Sequence[Series], stated: Mapping[tuple[str, str], OutlookPrior]) -> None:
    """What so many nights teach, at lamps-off: every fourth night, unstretched bands."""
    print("nights seen, sensor: PL, holds")
    unheated = [shed for shed in sheds if SHEDS[shed.shed][2] == shed.shed]
    for kind, count in product(("shed", "outdoors"), (0, 7, 14, 30, 60)):
        losses, held = [], []
        for shed in unheated:
            table = table_of(shed, 0, indoors=kind == "shed")
            hour = stated[shed.place, shed.shed].hours[0]
            prior = hour.outdoors if kind == "outdoors" else hour.shed
            for k in range(60, len(table.evenings), 4):
                nights = np.arange(len(table.evenings))
                seen = table.only((nights < k) & (nights >= k - count))
                weights = ages(seen.evenings, table.evenings[k])
                fall, _ = fit_low(prior, seen, weights, None)
                band, low = low_band(fall.model(Widths()), None, table.issues[k]), table.low_c[k]
                losses.append(pinball(band, float(low)))
                held.append(band.p10 <= low <= band.p90)
        print(f"  {count:3d} {kind:8} {np.mean(losses):.3f}  {np.mean(held):.3f}")


def damp_table(sheds: Sequence[Series], stated: Mapping[tuple[str, str], OutlookPrior]) -> None:
    """Conditions for condensation, and truly wet panes learned from a morning's look."""
    chosen = [
        shed
        for shed in sheds
        if SHEDS[shed.shed][2] == shed.shed and "MIAMI" not in shed.place.upper()
    ]
    print("condensation: event, hour: rate, Brier of 30 nights, own, skill")
    for event, hour in product(("margin", "glass", "spread"), HOURS):
        said: list[Numbers] = []
        happened: list[Numbers] = []
        usual: list[Numbers] = []
        for shed in chosen:
            prior = stated[shed.place, shed.shed].hours[hour]
            one = _damp_series(shed, hour, event, prior)
            for kept, values in zip((said, happened, usual), one, strict=True):
                kept.append(values)
        wet = np.concatenate(happened)
        own, base = _brier(np.concatenate(said), wet), _brier(np.concatenate(usual), wet)
        print(
            f"  {event:6} {hour:+d}: {wet.mean():.3f}, {base:.4f}, {own:.4f}, {1 - own / base:.3f}"
        )


def _damp_series(
    shed: Series, hour: int, event: str, prior: HourPrior
) -> tuple[Numbers, Numbers, Numbers]:
    table = table_of(shed, hour, indoors=event == "spread")
    damp = prior.damp if event == "spread" else prior.damp_outdoors
    if event == "glass":
        table = _looked(table, shed)
    said = []
    for k in range(WARM_UP, len(table.evenings)):
        seen = table.only(np.arange(len(table.evenings)) < k)
        model = fit_damp(damp, seen, ages(seen.evenings, seen.evenings[-1]))
        chance = chance_of_condensation(model, table.issues[k], bool(table.wet_before[k]))
        said.append(float("nan") if chance is None else chance)
    return np.array(said), table.wet[WARM_UP:], _usual(table.wet)


def _looked(table: HourTable, shed: Series) -> HourTable:
    """As if the keeper had looked every morning."""
    wet = np.array([float(shed.wet[evening]) for evening in table.evenings])
    return HourTable(
        **{
            name: getattr(table, name) for name in HourTable.__slots__ if not name.startswith("wet")
        },
        wet=wet,
        wet_before=np.concatenate([[0.0], wet[:-1]]),
    )


def _sheds(folder: Path | None, epw: Sequence[Path]) -> Iterator[Series]:
    years = (*pvlib_years(), *(epw_year(path) for path in epw))
    for number, (year, shed) in enumerate(product(years, SHEDS)):
        kept = folder / f"{number}.pickle" if folder else None
        if kept and kept.exists():
            yield pickle.loads(kept.read_bytes())
            continue
        found = series(year, shed)
        if kept:
            kept.write_bytes(pickle.dumps(found))
        yield found


def main() -> int:
    """Simulate, foresee, score, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--series", type=Path, help="a folder in which to keep what was simulated")
    parser.add_argument("epw", type=Path, nargs="*")
    told = parser.parse_args()
    sheds = list(_sheds(told.series, told.epw))
    stated = priors(sheds)
    report = Report(missed=[])
    main_table(sheds, stated, report)
    heated_table(sheds, stated, report)
    damp_table(sheds, stated)
    learning_table(sheds, stated)
    print("all bars held" if not report.missed else f"missed: {'; '.join(report.missed)}")
    return 1 if report.missed else 0


if __name__ == "__main__":
    sys.exit(main())
