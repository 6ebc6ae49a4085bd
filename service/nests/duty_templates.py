"""Duties to begin with, made by one tap each and edited as the keeper likes. Pure.

Invented by us from common practice; there is no source. Nothing here names a dose: medicines
and supplements are given as the label or a vet says.
"""

from dataclasses import dataclass
from datetime import date, datetime

from service.nests.duty import (
    BeforeItSours,
    ByCalendar,
    ByStage,
    DutyTerms,
    DutyWhere,
    EveryDays,
    Missed,
    RotaStep,
    Schedule,
    Visit,
    Weekday,
    WhereKind,
)
from service.nests.stage import Stage

SUPPLEMENT = "Supplement and amount only as the label or your vet says."
_FUMES = (
    "What is used against mites gives off fumes that can harm birds and you: one meant for "
    "birds, by its label, never two together; birds out, air in, until all is dry."
)
_CLEANING = (
    "Cleaning agents give off fumes, old droppings and seed dust harm your lungs: damp them, "
    "wear a mask, never mix two agents; birds out, air in, until all is dry. Mains and lamps "
    "off before anything wet."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyTemplate:
    """``key`` stays; the rest is what the duty begins as."""

    key: str
    name: str
    where: WhereKind
    schedule: Schedule
    visits: tuple[Visit, ...] = (Visit.MORNING,)
    rota: tuple[RotaStep, ...] = ()
    minutes: float = 1.0
    missed: Missed = Missed.DROPPED
    caution: str = ""
    look: bool = False


_DAILY = ByCalendar()
_BREEDING = frozenset({Stage.LAYING, Stage.SITTING, Stage.HATCHING, Stage.REARING, Stage.LEAVING})
_CHICKS = frozenset({Stage.HATCHING, Stage.REARING, Stage.LEAVING})
_FROM_ITS_FIRST_DAY = date(1970, 1, 5)
"""Stands for the day on which the duty is made."""

TEMPLATES = (
    DutyTemplate(
        key="seed",
        name="Seed",
        where=WhereKind.EVERY_CAGE,
        schedule=_DAILY,
        minutes=0.5,
        missed=Missed.CARRIED,
    ),
    DutyTemplate(
        key="water",
        name="Water",
        where=WhereKind.EVERY_CAGE,
        schedule=_DAILY,
        rota=(
            RotaStep(words="plain water", days=2),
            RotaStep(words="with supplement", days=2),
        ),
        missed=Missed.CARRIED,
        caution=SUPPLEMENT,
    ),
    DutyTemplate(
        key="soft food",
        name="Soft food and tonic seed",
        where=WhereKind.EVERY_CAGE,
        schedule=ByStage(stages=_CHICKS),
        visits=(Visit.MORNING, Visit.EVENING),
        caution="Take away what is left of the last; soft food sours, sooner when it is warm.",
    ),
    DutyTemplate(
        key="soft food out",
        name="Soft food out, before it sours",
        where=WhereKind.EVERY_CAGE,
        schedule=BeforeItSours(stages=_CHICKS),
        visits=(Visit.MORNING,),
        minutes=0.5,
    ),
    DutyTemplate(
        key="box check",
        name="Look into the box",
        where=WhereKind.EVERY_BOX,
        schedule=ByStage(stages=_BREEDING),
        visits=(Visit.EVENING,),
        minutes=1,
        missed=Missed.CARRIED,
        look=True,
    ),
    DutyTemplate(
        key="grit and charcoal",
        name="Grit and charcoal",
        where=WhereKind.EVERY_CAGE,
        schedule=ByCalendar(weekdays=frozenset({Weekday.SUNDAY})),
        minutes=0.5,
        missed=Missed.CARRIED,
    ),
    DutyTemplate(
        key="trays",
        name="Trays",
        where=WhereKind.EVERY_CAGE,
        schedule=ByCalendar(weekdays=frozenset({Weekday.WEDNESDAY, Weekday.SATURDAY})),
        minutes=2,
        missed=Missed.CARRIED,
        caution="Damp the droppings first: their dust harms your lungs.",
    ),
    DutyTemplate(
        key="mite look",
        name="Look for mites",
        where=WhereKind.EVERY_BOX,
        schedule=EveryDays(days=7, first=_FROM_ITS_FIRST_DAY),
        visits=(Visit.EVENING,),
        minutes=1,
        missed=Missed.CARRIED,
        caution=_FUMES,
    ),
    DutyTemplate(
        key="deep clean",
        name="Deep clean",
        where=WhereKind.SHED,
        schedule=EveryDays(days=28, first=_FROM_ITS_FIRST_DAY),
        minutes=60,
        missed=Missed.CARRIED,
        caution=_CLEANING,
    ),
)


def terms_of(template: DutyTemplate, *, now: datetime, today: date) -> DutyTerms:
    """The duty as it begins: intervals and the rota count from ``today``, the shed's own day."""
    schedule = template.schedule
    if isinstance(schedule, EveryDays):
        schedule = EveryDays(days=schedule.days, first=today)
    return DutyTerms(
        name=template.name,
        where=DutyWhere(kind=template.where),
        schedule=schedule,
        since=now,
        visits=template.visits,
        rota=template.rota,
        rota_first=today if template.rota else None,
        minutes=template.minutes,
        missed=template.missed,
        caution=template.caution,
        look=template.look,
    )
