"""A nest check told on the open form as a keeper would, tap by tap; and the taps counted."""

import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from playwright.sync_api import Locator, Page

from service.nests.nest import BeddingSeen
from service.nests.nest import NestCheck as BookCheck
from simulated_feeds.keeper.values import NestCheck

LEAST_TARGET_PX = 48
MOVED = ("thrown_out", "put_back", "taken_out")
# Pointing, and pressing, and one thought before a look is told: the keystroke-level model of
# Card, Moran and Newell (Communications of the ACM 23, 1980), its times from memory.
POINT_S, PRESS_S, THINK_S = 1.1, 0.2, 1.35


@dataclass(frozen=True, slots=True, kw_only=True)
class LookTaken:
    """``seconds`` are those of the machine, from the first tap to the last."""

    box: str
    taps: int
    letters: int
    scrolls: int
    seconds: float

    @property
    def reckoned_s(self) -> float:
        """How long a person takes for these taps, reckoned."""
        return THINK_S + self.taps * (POINT_S + PRESS_S) + self.letters * PRESS_S


@dataclass(kw_only=True)
class Thumb:
    """Taps what can be hit, and counts. A target that has to be scrolled to counts as a scroll."""

    taps: int = 0
    letters: int = 0
    scrolls: int = 0
    looks: list[LookTaken] = field(default_factory=list)

    def tap(self, target: Locator) -> None:
        """One tap on a target that wet fingers hit."""
        box = target.bounding_box()
        assert box is not None, "nothing to tap"
        assert min(box["width"], box["height"]) >= LEAST_TARGET_PX, target.text_content()
        height = target.page.viewport_size["height"] if target.page.viewport_size else 844
        foot = target.page.locator(".foot")
        covered = foot.bounding_box() if foot.count() else None
        lowest = covered["y"] if covered else height
        in_foot = "xpath=ancestor-or-self::*[contains(@class,'foot')]"
        hidden = box["y"] < 0 or box["y"] + box["height"] > lowest
        if hidden and not target.locator(in_foot).count():
            self.scrolls += 1
            target.evaluate("one => one.scrollIntoView({block: 'center'})")
        target.click()
        self.taps += 1

    def choose(self, target: Locator, word: str) -> None:
        """A list opens, and one of it is taken: two taps."""
        self.tap(target)
        target.select_option(word)
        self.taps += 1

    def write(self, target: Locator, text: str) -> None:
        """A tap into a field, and letters."""
        self.tap(target)
        target.fill(text)
        self.letters += len(text)


def look_in(page: Page, told: NestCheck, thumb: Thumb) -> LookTaken:
    """Tell the open form of a box what a look saw, and press Save. It need not be saved yet.

    What is expected is told by its one tap, everything else under "Something is different".
    Guests are not told by this hand.
    """
    assert not told.guests, "this hand tells no guests"
    before, began = (thumb.taps, thumb.letters, thumb.scrolls), time.monotonic()
    hand = _Hand(page, thumb)
    hand.fates(told)
    hand.candled(told)
    hand.rings(told)
    hand.beside(told)
    hand.counts(told.eggs, told.chicks)
    hand.hen(told.hen)
    thumb.tap(page.locator("#save"))
    taken = LookTaken(
        box=told.box,
        taps=thumb.taps - before[0],
        letters=thumb.letters - before[1],
        scrolls=thumb.scrolls - before[2],
        seconds=time.monotonic() - began,
    )
    thumb.looks.append(taken)
    return taken


class _Hand:
    def __init__(self, page: Page, thumb: Thumb) -> None:
        self._page = page
        self._thumb = thumb
        self._form = page.locator("#check")

    def _named(self, name: str, kind: str = "") -> Locator:
        return self._form.locator(f'{kind}[name="{name}"]')

    def _offered(self, name: str) -> Locator:
        return self._form.locator(".tap", has=self._page.locator(f'[name="{name}"]'))

    def _different(self) -> None:
        self._open(".different")

    def _open(self, which: str) -> None:
        part = self._form.locator(which)
        if part.get_attribute("open") is None:
            self._thumb.tap(part.locator("summary"))

    def _tell(self, tap: str, field_name: str, word: str) -> None:
        """By the one tap if it is offered, else where everything can be told."""
        offered = self._offered(tap)
        if tap and offered.count():
            self._thumb.tap(offered)
            return
        self._different()
        self._thumb.choose(self._named(field_name, "select"), word)

    def fates(self, told: NestCheck) -> None:
        for number in told.hatched:
            self._tell(f"tap.hatched.egg.{number}", f"egg.{number}.fate", "hatched")
        for lost in told.lost:
            self._tell("", f"egg.{lost.number}.fate", lost.fate)
        for number in told.not_in_sight:
            self._tell("", f"egg.{number}.fate", "not in sight")
        for gone in told.gone:
            name = {"fledged": "out", "weaned": "weaned"}.get(gone.fate, "")
            tap = f"tap.{name}.chick.{gone.egg_number}" if name else ""
            self._tell(tap, f"chick.{gone.egg_number}.fate", gone.fate)

    def candled(self, told: NestCheck) -> None:
        results = {f"egg.{one.number}": one.result for one in told.candled}
        rest = self._named("tap.candle")
        if rest.count():
            listed = [one for one in (rest.get_attribute("value") or "").split(",") if one]
            lost = {f"egg.{number}" for number in (*told.hatched, *(e.number for e in told.lost))}
            if "fertile" in results.values() and {*results, *lost} >= {*listed}:
                self._thumb.tap(self._offered("tap.candle"))
                results = {one: r for one, r in results.items() if r != "fertile"}
        for one, result in results.items():
            radio = self._named(f"{one}.candled", "input")
            if radio.count():
                self._open(".not-all")
                chosen = self._page.locator(f'[name="{one}.candled"][value="{result}"]')
                self._thumb.tap(self._form.locator(".choice", has=chosen))
            else:
                self._tell("", f"{one}.candled", result)

    def rings(self, told: NestCheck) -> None:
        for one in told.ringed:
            offered = self._named(f"ring.chick.{one.egg_number}")
            if not offered.count():
                self._different()
                self._thumb.write(self._named(f"chick.{one.egg_number}.ring"), one.ring)
            elif offered.input_value() == one.ring:
                self._thumb.tap(self._offered(f"tap.ring.chick.{one.egg_number}"))
            else:
                self._thumb.write(offered, one.ring)

    def beside(self, told: NestCheck) -> None:
        if told.hide_in:
            offered = self._offered("hide_in")
            if not offered.count():
                self._different()
                offered = self._form.locator(".tick", has=self._page.locator("[name=hide_in]"))
            self._thumb.tap(offered)
        if told.bedding:
            self._different()
            self._thumb.choose(self._named("bedding", "select"), told.bedding)
        for name in MOVED:
            if getattr(told, name):
                self._different()
                ticks = self._form.locator(".tick", has=self._page.locator(f"[name={name}]"))
                self._thumb.tap(ticks)
        for one in told.weighed:
            self._different()
            egg = self._named(f"egg.{one.egg_number}.mass")
            field_there = egg if egg.count() else self._named(f"chick.{one.egg_number}.mass")
            self._thumb.write(field_there, f"{one.mass_g:g}")
        if told.note:
            self._different()
            self._thumb.write(self._named("note"), told.note)

    def counts(self, eggs: int, chicks: int) -> None:
        """New eggs by their taps where they are offered, else counted by hand."""
        for offered in self._form.locator(".tap:has([data-egg]:not(:checked))").all():
            if int(self._page.locator("#eggs").input_value()) < eggs:
                self._thumb.tap(offered)
        for name, wanted in (("eggs", eggs), ("chicks", chicks)):
            shown = int(self._page.locator(f"#{name}").input_value())
            by = 1 if wanted > shown else -1
            for _ in range(abs(wanted - shown)):
                self._thumb.tap(self._form.locator(f'[data-for={name}][data-by="{by}"]'))

    def hen(self, seen: str) -> None:
        chosen = self._page.locator(f'[name=hen][value="{seen}"]')
        if not chosen.is_checked():
            self._thumb.tap(self._form.locator(".choice", has=chosen))


def same_look(stored: BookCheck, truth: NestCheck) -> list[str]:
    """In what a look in the book differs from what was seen; empty where it is equal."""
    pairs = {
        "box": (stored.box, truth.box),
        "eggs": (stored.eggs, truth.eggs),
        "chicks": (stored.chicks, truth.chicks),
        "hen": (stored.hen, truth.hen),
        "hatched": ({*stored.hatched}, {*truth.hatched}),
        "lost": (
            {(e.number, e.fate) for e in stored.lost},
            {(e.number, e.fate) for e in truth.lost},
        ),
        "candled": (
            {(e.number, e.result) for e in stored.candled},
            {(e.number, e.result) for e in truth.candled},
        ),
        "ringed": (
            {(c.egg_number, c.ring) for c in stored.ringed},
            {(c.egg_number, c.ring) for c in truth.ringed},
        ),
        "gone": (
            {(c.egg_number, c.fate) for c in stored.gone},
            {(c.egg_number, c.fate) for c in truth.gone},
        ),
        "not in sight": ({*stored.not_in_sight}, {*truth.not_in_sight}),
        "bedding": (_bedding(stored), (truth.bedding, *(getattr(truth, one) for one in MOVED))),
        "hide in": (stored.hide_in, truth.hide_in),
        "weighed": (
            {(w.egg_number, w.mass_g) for w in stored.weighed},
            {(w.egg_number, w.mass_g) for w in truth.weighed},
        ),
    }
    return [
        f"{name}: {one!r} for {other!r}" for name, (one, other) in pairs.items() if one != other
    ]


def _bedding(stored: BookCheck) -> tuple[object, ...]:
    seen = stored.bedding or BeddingSeen()
    return (seen.level, *(getattr(seen, one) for one in MOVED))


def same_looks(stored: Iterable[BookCheck], truth: Sequence[NestCheck]) -> list[str]:
    """What is missing, twice there, or told otherwise in the book; looks of one box in order."""
    told: list[str] = []
    by_box: dict[str, list[BookCheck]] = {}
    for check in sorted(stored, key=lambda one: one.at):
        by_box.setdefault(check.box, []).append(check)
    for box in {*by_box, *(one.box for one in truth)}:
        theirs = [one for one in truth if one.box == box]
        ours = by_box.get(box, [])
        if len(ours) != len(theirs):
            told.append(f"{box}: {len(ours)} looks in the book for {len(theirs)}")
        for stored_one, true_one in zip(ours, theirs, strict=False):
            told += [f"{box} {true_one.at}: {one}" for one in same_look(stored_one, true_one)]
    return told
