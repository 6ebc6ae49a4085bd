"""Every rule on the nest book, and what is told of them by their kinds. Pure."""

from collections.abc import Mapping

from service.rules.nest_rules import (
    backup_old,
    box_unworked,
    chick_mass,
    deep_bedding,
    duties_late,
    egg_unseen,
    hatch_late,
    hide_due,
    laying_late,
    ring_closing,
)
from service.rules.nest_rules.said import NestRule
from service.rules.rationale import Rationale
from service.rules.settable import Settable

OF_BOXES: tuple[NestRule, ...] = (
    egg_unseen.RULE,
    laying_late.RULE,
    chick_mass.RULE,
    deep_bedding.RULE,
    box_unworked.RULE,
    hatch_late.RULE,
    ring_closing.RULE,
    hide_due.RULE,
)
"""Those that may be the cause of another stand before it."""

NEST_SETTABLES: tuple[Settable, ...] = (
    *(rule.settable for rule in OF_BOXES),
    duties_late.SETTABLE,
    backup_old.SETTABLE,
)
NEST_RATIONALES: Mapping[str, Rationale] = {
    **{rule.settable.kind: rule.rationale for rule in OF_BOXES},
    duties_late.KIND: duties_late.RATIONALE,
    backup_old.KIND: backup_old.RATIONALE,
}
