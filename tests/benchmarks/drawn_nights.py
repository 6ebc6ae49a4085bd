"""Sheds whose nights something happens in, drawn by a seed: few senders, minutes apart."""

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random

from simulated_feeds.scenario_files.reading import scenario_of
from simulated_feeds.scenario_files.scenario import Scenario

NIGHTS_A_SHED = 5
_NOW = datetime(2026, 1, 1, tzinfo=UTC)
_INTERVALS_S = (60, 60, 120, 180, 300)
_Draws = Callable[[Random, int], list[str]]
_BEGINS = date(2025, 1, 6)


def drawn_scenario(seed: int, number: int, folder: Path) -> Scenario:
    """One shed and five of its nights, each with something of its own."""
    draw = Random(f"{seed}:{number}")
    begins = _BEGINS + timedelta(days=draw.randrange(350))
    lines = [
        'about = "Nights in which something happens."',
        f"begins = {begins}",
        f"days = {NIGHTS_A_SHED + 1}",
        f"seed = {draw.randrange(2**31)}",
        "[weather]",
        f"unrest = {draw.uniform(0.4, 1.0):.2f}",
        "[building]",
        f"window_w_m2_k = {draw.choice((2.8, 5.8))}",
        *_senders(draw),
    ]
    for day in range(1, NIGHTS_A_SHED + 1):
        lines += _night(draw, day, begins.month)
    file = folder / f"shed-{number}.toml"
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return scenario_of(str(file), _NOW)


def _senders(draw: Random) -> Iterator[str]:
    hung = [("th-shed", "shed", "air and light", True), ("th-outdoors", "outdoors", "air", True)]
    hung += [("th-box-2", "box-2", "air", True), ("th-box-4", "box-4", "air", False)]
    if draw.random() < 0.5:
        hung.append(("t-pane", "surface", "thermometer", True))
    if draw.random() < 0.5:
        hung.append(("mains", "shed", "mains", True))
    for device, place, kind, on_battery in hung:
        interval = draw.choice(_INTERVALS_S)
        yield from (
            "[[sender]]",
            f'device = "{device}"',
            f'place = "{place}"',
            f'kind = "{kind}"',
            f'interval = "{interval} s"',
            f'offset = "{draw.randrange(interval)} s"',
        )
        if not on_battery:
            yield "on_battery = false"


def _happens(
    what: str, begins: tuple[int, float], hours: float, *, who: str = "", amount: str = ""
) -> list[str]:
    """From an hour of a day on for so many hours."""
    day, hour = begins
    ends = day * 24.0 + hour + hours
    told = ["[[happening]]", f'what = "{what}"']
    told += [f'who = "{who}"'] if who else []
    told += [f"amount = {amount}"] if amount else []
    told += [f"from = {_at(day * 24.0 + hour)}", f"to = {_at(ends)}"]
    return told


def _at(hours: float) -> str:
    minutes = round(hours * 60.0)
    day, minute = divmod(minutes, 24 * 60)
    return f'{{ day = {day}, at = "{minute // 60:02}:{minute % 60:02}" }}'


def _cold(draw: Random, day: int) -> list[str]:
    return [
        *_happens("cold night", (day, 14.0), 20.0, amount=f"{draw.uniform(-12.0, 0.0):.1f}"),
        *_happens("heater fails", (day, 12.0), 19.5),
    ]


def _hot(draw: Random, day: int) -> list[str]:
    return _happens("heat wave", (day, 14.0), 28.0, amount=f"{draw.uniform(32.0, 40.0):.1f}")


def _damp(draw: Random, day: int) -> list[str]:
    return [
        *_happens("damp night", (day, 15.0), 20.0, amount=f"{draw.uniform(8.0, 17.0):.1f}"),
        *_happens("vent stuck shut", (day, 12.5), 22.5),
    ]


def _lamps_fail(draw: Random, day: int) -> list[str]:
    return _happens("lamps fail", (day, draw.uniform(12.5, 30.0)), draw.uniform(1.0, 5.0))


def _lamps_on(draw: Random, day: int) -> list[str]:
    return _happens("lamps on", (day, draw.uniform(23.0, 25.5)), draw.uniform(1.0, 4.0))


def _timer_off(draw: Random, day: int) -> list[str]:
    hours = draw.choice((-4.0, -1.5, 1.0, 5.5))
    return _happens("timer off", (day, 13.0), 22.0, amount=f"{hours}")


def _power_cut(draw: Random, day: int) -> list[str]:
    return _happens("power cut", (day, draw.uniform(15.0, 30.0)), draw.uniform(0.5, 5.5))


def _silence(draw: Random, day: int) -> list[str]:
    who = draw.choice(("th-shed", "th-outdoors", "th-box-2", "th-box-4"))
    begins = (day, draw.uniform(12.5, 30.0))
    return _happens("sensor stops", begins, draw.uniform(0.3, 5.5), who=who)


def _backlog(draw: Random, day: int) -> list[str]:
    who = draw.choice(("th-box-2", "th-box-4"))
    begins = (day, draw.uniform(12.5, 30.0))
    return _happens("backlog", begins, draw.uniform(0.5, 5.0), who=who)


def _lost(draw: Random, day: int) -> list[str]:
    share = f"{draw.uniform(0.05, 0.4):.2f}"
    return _happens("messages lost", (day, 12.5), 23.0, who="th-shed", amount=share)


def _night(draw: Random, day: int, month: int) -> list[str]:
    """One thing of the weather at most, and one or two others."""
    weather = [_damp, _hot] if 5 <= month <= 9 else [_damp, _cold, _cold]
    others: list[_Draws] = [
        _lamps_fail,
        _lamps_on,
        _timer_off,
        _power_cut,
        _silence,
        _backlog,
        _lost,
    ]
    chosen: list[_Draws] = [draw.choice(weather)] if draw.random() < 0.7 else []
    chosen += draw.sample(others, k=draw.choice((1, 1, 2)))
    return [line for happens in chosen for line in happens(draw, day)]
