"""What the judge must remember, taken up from the stored readings at a start."""

from datetime import UTC, datetime, timedelta

from service.quality.judging import Judge
from service.quality.terms import TERMS, USUAL_DAYS
from service.store.reading_store import Latest, ReadingStore

_HOUR = timedelta(hours=1)
_AHEAD = timedelta(minutes=5)
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def recall(judge: Judge, store: ReadingStore, now: datetime) -> None:
    """Let ``judge`` know what it would know, had it run all the time.

    Of each series the last hours reading by reading, and of those that are compared with
    their own past the last fortnight by hours.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    judge.forget()
    for latest in store.latest():
        if latest.series.quantity in TERMS:
            _recall_series(judge, store, latest, now)


def _recall_series(judge: Judge, store: ReadingStore, latest: Latest, now: datetime) -> None:
    series = latest.series
    terms, key = TERMS[series.quantity], (series.device, series.place, series.quantity)
    # Whole hours since 1970: their means and the readings after them make no hour twice.
    since = _whole_hour(now - timedelta(seconds=terms.remembers_s))
    if terms.unusual is not None or terms.apart is not None:
        means = store.means(series.id, since - timedelta(days=USUAL_DAYS), since, width=_HOUR)
        judge.recall_past(key, [((one.start - _EPOCH) // _HOUR, one.mean) for one in means])
    for one in store.window(series.id, since, now + _AHEAD):
        raw = one.value if one.raw is None else one.raw
        judge.recall(key, one.measured_at.timestamp(), one.value, raw, one.flag)
    judge.recall_doubts(key, latest.reason)


def _whole_hour(at: datetime) -> datetime:
    return _EPOCH + (at - _EPOCH) // _HOUR * _HOUR
