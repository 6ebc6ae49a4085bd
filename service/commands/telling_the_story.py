"""A simulated nest book, typed in check by check as a keeper would."""

from collections.abc import Callable
from dataclasses import asdict

from devices.errors import ClutchweatherError
from service.clock import FixedClock
from service.nest_check_path import Asked, NestCheckPath
from service.nests.nest import (
    BeddingLevel,
    BeddingSeen,
    Candling,
    ChickFate,
    ChickGone,
    ChickRinged,
    EggCandled,
    EggFate,
    EggLost,
    HenSeen,
    NestCheck,
    Sex,
    Weighed,
)
from service.settings.settings import Settings
from service.wiring import Stores
from simulated_feeds.keeper import values as simulated
from simulated_feeds.keeper.story import Story


class StoryQuestionedError(ClutchweatherError):
    """The nest book would have asked the keeper back: the simulated story contradicts itself."""


def tell_story(
    story: Story,
    settings: Settings,
    stores: Stores,
    progress: Callable[[int], None] = lambda _checks: None,
) -> None:
    """Open a season, put up the pairs and walk every check, each at its own time.

    Nests in which no egg was ever carried to another hen: guests are known by the book's own
    numbers, which are given only now.

    Raises:
        StoryQuestionedError: a check was asked about.
    """
    book = stores.records.nest_book
    birds = {
        bird.id: book.add_bird(
            sex=Sex(bird.sex),
            ring=bird.ring,
            name=bird.name,
            variety=bird.variety,
            hatched_on=bird.hatched_on,
        )
        for bird in story.birds
    }
    if story.pairs:
        began = min(pair.put_up_on for pair in story.pairs)
        stores.records.seasons.open(str(began.year), began)
    for pair in story.pairs:
        book.put_up(
            cage=pair.cage,
            cock_id=birds[pair.cock_id].id,
            hen_id=birds[pair.hen_id].id,
            on=pair.put_up_on,
        )
    for told in story.checks:
        path = NestCheckPath(book, FixedClock(told.at), lambda: settings.site.timezone)
        answer = path.record(_check(told))
        if isinstance(answer, Asked):
            raise StoryQuestionedError(f"{told.box}, {told.at}: {asdict(answer.questions[0])}")
        progress(1)


def _check(told: simulated.NestCheck) -> NestCheck:
    return NestCheck(
        form_id=told.form_id,
        box=told.box,
        at=told.at,
        eggs=told.eggs,
        chicks=told.chicks,
        hen=HenSeen(told.hen),
        hatched=told.hatched,
        lost=tuple(EggLost(number=one.number, fate=EggFate(one.fate)) for one in told.lost),
        candled=tuple(
            EggCandled(number=one.number, result=Candling(one.result)) for one in told.candled
        ),
        ringed=tuple(ChickRinged(egg_number=one.egg_number, ring=one.ring) for one in told.ringed),
        gone=tuple(
            ChickGone(egg_number=one.egg_number, fate=ChickFate(one.fate)) for one in told.gone
        ),
        not_in_sight=told.not_in_sight,
        bedding=_bedding(told),
        weighed=tuple(
            Weighed(egg_number=one.egg_number, mass_g=one.mass_g) for one in told.weighed
        ),
        hide_in=told.hide_in,
        note=told.note,
    )


def _bedding(told: simulated.NestCheck) -> BeddingSeen | None:
    seen = BeddingSeen(
        level=None if told.bedding is None else BeddingLevel(told.bedding),
        thrown_out=told.thrown_out,
        put_back=told.put_back,
        taken_out=told.taken_out,
    )
    return None if seen == BeddingSeen() else seen
