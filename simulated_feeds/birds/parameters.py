"""All that can be set of the simulated birds, with units, ranges and where each value comes from.

Three kinds of value stand here. Those with a published source name it. Trade facts say "common
practice, no source". Those that say "model" were chosen so that the whole behaves as it should,
and have no other ground. Log-odds are natural logarithms; an effect is in log-odds per standard
deviation of its condition, as ``references`` state it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from simulated_feeds.birds.conditions import OUTCOME_CONDITIONS, Condition, Outcome
from simulated_feeds.impossible import ImpossibleParameterError, allowed, refuse_impossible


def _refuse_shares(name: str, shares: Mapping[int, float], *, most: int) -> None:
    whole = {number: share for number, share in shares.items() if 1 <= number <= most}
    if len(whole) != len(shares) or not shares or min(shares.values()) < 0:
        raise ImpossibleParameterError(name, dict(shares), f"shares of the numbers 1 to {most}")
    if abs(sum(shares.values()) - 1) > 1e-6:
        raise ImpossibleParameterError(name, dict(shares), "shares that add up to 1")


def _refuse_effect(outcome: Outcome, condition: Condition, effect: float) -> None:
    if condition not in OUTCOME_CONDITIONS[outcome]:
        words = ", ".join(OUTCOME_CONDITIONS[outcome])
        raise ImpossibleParameterError(outcome.value, condition, words)
    if not -10 <= effect <= 10:
        raise ImpossibleParameterError(
            f"{outcome}.{condition}", effect, "-10 to 10 log-odds per SD"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Masses:
    """Grown birds [g]. 26 to 40 g wild type, exhibition up to about 60: common practice."""

    hen_g: float = allowed(25.0, 70.0, "g", default=50.0)
    hen_sd_g: float = allowed(0.0, 10.0, "g", default=3.5)
    cock_share: float = allowed(0.7, 1.2, "of the hen", default=0.93)
    day_sd_g: float = allowed(0.0, 3.0, "g", default=0.6)

    def __post_init__(self) -> None:
        refuse_impossible(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bedding:
    """What the hen throws out before she lays [g]. Model; amounts common practice."""

    fill_g: float = allowed(0.0, 500.0, "g", default=150.0)
    fill_sd_g: float = allowed(0.0, 50.0, "g", default=12.0)
    throw_g: float = allowed(0.1, 30.0, "g", default=4.0)
    throws_a_day: float = allowed(0.0, 60.0, "a day", default=7.0)
    throws_when_laying: float = allowed(0.0, 60.0, "a day", default=0.8)
    left_g: float = allowed(0.0, 100.0, "g", default=22.0)
    left_sd_g: float = allowed(0.0, 20.0, "g", default=5.0)
    deep_g: float = allowed(10.0, 500.0, "g", default=90.0)
    lazy_share: float = allowed(0.0, 1.0, default=0.08)

    def __post_init__(self) -> None:
        refuse_impossible(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Laying:
    """From the box's opening to the last egg.

    ``least_days`` and ``most_days`` from entry into the box to the first egg, and their median:
    Behaviour (1977), doi 10.1163/156853977x00243 (median 9 d, range 8 to 22). They hold from
    ``full_light_h`` of light a day on; shorter days delay the egg by ``light_delay`` of a day
    for each hour less (that they delay: J. Zool. 1973,
    doi 10.1111/j.1469-7998.1973.tb05061.x; how much: model). An egg about every 48 h, the
    spread around it, and when she begins to sit: common practice, no source. Clutch sizes with
    a mean of about 5 (extension e-course, Indian agricultural statistics institute).
    """

    entry_days: float = allowed(0.0, 20.0, "days", default=1.5)
    least_days: float = allowed(1.0, 30.0, "days", default=8.0)
    median_days: float = allowed(1.0, 60.0, "days", default=9.0)
    most_days: float = allowed(1.0, 90.0, "days", default=22.0)
    full_light_h: float = allowed(0.0, 24.0, "h", default=14.0)
    light_delay: float = allowed(0.0, 0.3, "days per hour", default=0.08)
    interval_h: float = allowed(24.0, 96.0, "h", default=47.5)
    interval_sd_h: float = allowed(0.0, 12.0, "h", default=3.5)
    skip_share: float = allowed(0.0, 0.5, default=0.04)
    sizes: Mapping[int, float] = field(
        default_factory=lambda: {3: 0.08, 4: 0.22, 5: 0.36, 6: 0.22, 7: 0.08, 8: 0.04}
    )
    sits_from_egg: Mapping[int, float] = field(default_factory=lambda: {1: 0.15, 2: 0.75, 3: 0.10})
    next_round_days: float = allowed(2.0, 60.0, "days", default=6.0)

    def __post_init__(self) -> None:
        refuse_impossible(self)
        if not self.least_days < self.median_days < self.most_days:
            raise ImpossibleParameterError(
                "median_days", self.median_days, f"{self.least_days:g} to {self.most_days:g} days"
            )
        for name in ("sizes", "sits_from_egg"):
            _refuse_shares(name, getattr(self, name), most=12)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sitting:
    """How she sits, and what becomes warm by it.

    In incubation posture for 98 to 100 % of observation time after the first egg: Behaviour
    (1977) as above; so few bouts, and short. 18 days to hatch: extension e-course as above; 17
    to 20: common practice. Hens are back before eggs cool to 25 to 27 °C: Haftorn 1988 (author
    and year from memory). Egg temperature: general for birds, from memory. ``cooling_min`` is
    the time constant of an uncovered egg of 2 g: model.
    """

    bouts_a_day: float = allowed(0.0, 60.0, "a day", default=5.0)
    bout_min: float = allowed(0.5, 60.0, "min", default=3.2)
    egg_c: float = allowed(30.0, 40.0, "°C", default=36.0)
    growth_from_c: float = allowed(15.0, 35.0, "°C", default=26.0)
    cooling_min: float = allowed(1.0, 120.0, "min", default=11.0)
    days: float = allowed(10.0, 30.0, "days", default=18.1)
    days_sd: float = allowed(0.0, 2.0, "days", default=0.45)
    least_days: float = allowed(5.0, 30.0, "days", default=17.0)
    most_days: float = allowed(10.0, 40.0, "days", default=19.8)
    broods_days: float = allowed(0.0, 40.0, "days", default=10.0)
    nights_with_chicks_days: float = allowed(0.0, 40.0, "days", default=20.0)

    def __post_init__(self) -> None:
        refuse_impossible(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class EggSize:
    """Length and breadth [mm]: 18.6 x 14.2, wild, common practice; ours a little larger."""

    length_mm: float = allowed(12.0, 30.0, "mm", default=18.9)
    length_sd_mm: float = allowed(0.0, 3.0, "mm", default=0.6)
    breadth_mm: float = allowed(8.0, 25.0, "mm", default=14.5)
    breadth_sd_mm: float = allowed(0.0, 2.0, "mm", default=0.35)

    def __post_init__(self) -> None:
        refuse_impossible(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """What an egg loses, by its shell and the difference of vapour pressure.

    The shell's conductance varies between eggs by ``shell_sd`` (share, model; 0.150 +- 0.025 of
    an egg's mass is lost over incubation in 81 species: Ar and Rahn 1980, Am. Zool. 20,
    373-384). ``hen_pa`` is how much damper it is between her feathers and the nest's floor than
    in the box's air: model, so that 0.15 is lost in a box of 16 hPa.
    """

    shell_sd: float = allowed(0.0, 0.5, default=0.10)
    hen_pa: float = allowed(0.0, 3000.0, "Pa", default=1300.0)

    def __post_init__(self) -> None:
        refuse_impossible(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Growth:
    """A chick's mass: logistic to its peak, then the loss before it leaves.

    No published growth parameters of budgerigars were found. 1.4 to 2 g at hatching, a peak
    above the grown bird's mass and a loss of some 10 % before leaving: common practice, no
    source; that later chicks leave heavier: Ethology 1989,
    doi 10.1111/j.1439-0310.1989.tb00765.x. Rate: model, near the fit of hobby figures.
    """

    hatch_share: float = allowed(0.4, 0.9, "of the fresh egg", default=0.70)
    peak_g: float = allowed(15.0, 80.0, "g", default=44.0)
    peak_sd_g: float = allowed(0.0, 10.0, "g", default=2.5)
    later_share: float = allowed(0.0, 0.1, "a rank", default=0.015)
    rate_a_day: float = allowed(0.1, 0.6, "a day", default=0.29)
    rate_sd_a_day: float = allowed(0.0, 0.1, "a day", default=0.012)
    loss_share: float = allowed(0.0, 0.4, default=0.10)
    loss_sd: float = allowed(0.0, 0.1, default=0.02)
    loss_from_days: float = allowed(10.0, 40.0, "days", default=25.0)
    droppings_a_day: float = allowed(0.0, 0.2, "of its mass a day", default=0.035)

    def __post_init__(self) -> None:
        refuse_impossible(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaving:
    """Out of the box at 28 to 35 days, on its own at 6 to 8 weeks: common practice, no source."""

    days: float = allowed(20.0, 50.0, "days", default=32.0)
    days_sd: float = allowed(0.0, 5.0, "days", default=1.7)
    least_days: float = allowed(15.0, 50.0, "days", default=28.0)
    most_days: float = allowed(15.0, 60.0, "days", default=36.0)
    early_share: float = allowed(0.0, 1.0, default=0.04)
    early_days: float = allowed(15.0, 40.0, "days", default=27.0)
    weaned_days: float = allowed(30.0, 90.0, "days", default=45.0)
    weaned_sd_days: float = allowed(0.0, 5.0, "days", default=1.5)

    def __post_init__(self) -> None:
        refuse_impossible(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Survival:
    """Chances where every condition is as its reference says, and how birds differ.

    Published captive hatching runs from 30 % to above 90 % (Hussain et al., Pure and Applied
    Biology; Banaszewska et al. 2014, Acta Sci. Pol. Zootechnica 13(3), 29-36): the values here
    are between, and model. Standard deviations are of log-odds. ``egg_loss_a_day`` is the chance
    of a broken or vanished egg: model.
    """

    fertile: float = allowed(0.02, 0.99, default=0.87)
    hatched: float = allowed(0.02, 0.99, default=0.85)
    fledged: float = allowed(0.02, 0.99, default=0.92)
    cock_sd: float = allowed(0.0, 3.0, "log-odds", default=0.5)
    hen_sd: float = allowed(0.0, 3.0, "log-odds", default=0.7)
    clutch_sd: float = allowed(0.0, 3.0, "log-odds", default=0.7)
    egg_loss_a_day: float = allowed(0.0, 0.2, default=0.001)

    def __post_init__(self) -> None:
        refuse_impossible(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """What is usual of a condition: an effect counts from ``mean``, in units of ``sd``."""

    mean: float = allowed(-1e6, 1e6)
    sd: float = allowed(1e-6, 1e6)

    def __post_init__(self) -> None:
        refuse_impossible(self)


def usual_conditions() -> Mapping[Condition, Reference]:
    """What conditions are like in an ordinary season, but for the water of eggs: as measured
    over the clutches of the scenario ``nine-cages``, rounded. A box is warmer than its shed.
    """
    return {
        Condition.NIGHT_LOW_SITTING: Reference(mean=18.0, sd=2.0),
        Condition.DAMP_HOURS_SITTING: Reference(mean=5.0, sd=2.5),
        # Ar and Rahn 1980, as above.
        Condition.WATER_LOSS: Reference(mean=0.150, sd=0.025),
        # Few hens are ever off their eggs for so long: the unit is a quarter of a day.
        Condition.CHILLED_HOURS: Reference(mean=0.0, sd=6.0),
        Condition.NIGHT_LOW_LAYING: Reference(mean=15.5, sd=2.5),
        Condition.LIGHT_HOURS_LAYING: Reference(mean=14.0, sd=1.0),
        Condition.NIGHT_LOW_REARING: Reference(mean=18.5, sd=2.0),
        Condition.COLD_HOURS_REARING: Reference(mean=4.0, sd=4.0),
        Condition.DAMP_HOURS_REARING: Reference(mean=4.0, sd=2.5),
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class Effects:
    """Planted effects: for each outcome, log-odds per reference SD; what is absent is 0.

    Only that long chilling kills is not nothing at first: that it does is known in general
    (Webb 1987, Condor 89, 874-898), how much is model.
    """

    fertile: Mapping[Condition, float] = field(default_factory=dict)
    hatched: Mapping[Condition, float] = field(
        default_factory=lambda: {Condition.CHILLED_HOURS: -1.0}
    )
    fledged: Mapping[Condition, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for outcome in Outcome:
            for condition, effect in self.of(outcome).items():
                _refuse_effect(outcome, condition, effect)

    def of(self, outcome: Outcome) -> Mapping[Condition, float]:
        """The effects on one outcome."""
        found: Mapping[Condition, float] = getattr(self, outcome.value)
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdParameters:
    """All of it."""

    masses: Masses = Masses()
    bedding: Bedding = Bedding()
    laying: Laying = Laying()
    sitting: Sitting = Sitting()
    egg_size: EggSize = EggSize()
    water: Water = Water()
    growth: Growth = Growth()
    leaving: Leaving = Leaving()
    survival: Survival = Survival()
    effects: Effects = Effects()
    references: Mapping[Condition, Reference] = field(default_factory=usual_conditions)

    def __post_init__(self) -> None:
        for condition in Condition:
            if condition not in self.references:
                raise ImpossibleParameterError(
                    "references", sorted(self.references), f"one for each condition: {condition}"
                )
