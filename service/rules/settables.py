"""Every kind of rule of which something may be set, in the order in which pages show them.

A rule that joins states its own in its file and has its line here.
"""

from collections.abc import Mapping

from service.rules.nest_rules.all_rules import NEST_SETTABLES
from service.rules.reading_rules import READING_SETTABLES
from service.rules.settable import Settable

SETTABLES: tuple[Settable, ...] = (*READING_SETTABLES, *NEST_SETTABLES)

BY_KIND: Mapping[str, Settable] = {one.kind: one for one in SETTABLES}
