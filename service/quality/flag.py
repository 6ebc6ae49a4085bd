"""Quality flags, as in the IOOS QARTOD manuals, beside the raw value and never instead of it.

Source: U.S. Integrated Ocean Observing System, Manual for the Use of Real-Time
Oceanographic Data Quality Control Flags (flag values 1, 2, 3, 4, 9).
"""

from dataclasses import dataclass, replace
from enum import IntEnum

from devices.reading import Reading


class Flag(IntEnum):
    """Danger counts PASS and SUSPECT; an all-clear only PASS."""

    PASS = 1
    NOT_EVALUATED = 2
    SUSPECT = 3
    FAIL = 4
    MISSING = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A reading with its flag, and why, in words; the reason of a PASS is empty.

    ``value_flag`` is the flag of the value alone where ``flag`` also doubts the sender's
    time; None where the two are the same.
    """

    reading: Reading
    flag: Flag
    reason: str = ""
    value_flag: Flag | None = None

    @property
    def flag_for_rules(self) -> Flag:
        """How far the value can be trusted.

        A sender whose clock is wrong still tells the air as it is on arrival: its doubtful
        time must not hold an alarm up for ever.
        """
        return self.flag if self.value_flag is None else self.value_flag

    def doubted(self, flag: Flag, reason: str) -> "Judged":
        """The same reading with one reason more, and no better a flag."""
        return replace(
            self,
            flag=max(self.flag, flag),
            reason=f"{self.reason}; {reason}" if self.reason else reason,
            value_flag=None if self.value_flag is None else max(self.value_flag, flag),
        )
