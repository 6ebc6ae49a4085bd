"""What a scale under a nest box is like. Pure.

Counts: a 24-bit converter for bridges with 128-fold gain spans ±20 mV with ±2**23 counts; a
bar for 2 kg that gives 1 mV/V at 5 V then has 2**21 counts at 2 kg (from a converter's
data sheet). Creep: OIML R 60 allows a cell 0.7 of its largest error in 30 minutes; cheap bars
are said to creep 0.05 to 0.1 %, and to drift 0.05 to 0.1 % of their span for 10 °C, which is
0.5 g of 1 kg (common practice, no source). All else is common practice, no source.
"""

from dataclasses import dataclass

from simulated_feeds.impossible import allowed, refuse_impossible

LEAST_COUNT, MOST_COUNT = -(2**23), 2**23 - 1
"""The rails of a 24-bit converter: beyond them it can only stay at them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleParameters:
    """The instrument first, then what lies and moves on it.

    ``drift_g_per_10k`` is added for each 10 °C above 20 °C. ``creep_share`` of a load comes
    late, with a time constant of ``creep_min``. ``glitch_share`` of all samples are no
    weights, ``bad_glitch_share`` while a happening makes it so. ``retare_share`` of the times
    that the keeper had the lid up end with the scale set to zero.

    ``moisture_g_per_pct``: how much heavier box and bedding get for each percent of humidity,
    after ``moisture_lag_h``. A bird's mass differs from visit to visit by ``visit_spread_g``
    and falls by ``breath_g_per_h`` while she sits; a cock leaves ``fed_g`` with a sitting hen.
    """

    counts_per_g: float = allowed(10.0, 100_000.0, "counts per g", default=1048.576)
    gain_error_share: float = allowed(0.0, 0.2, default=0.002)
    noise_g: float = allowed(0.0, 10.0, "g", default=0.1)
    drift_g_per_10k: float = allowed(-50.0, 50.0, "g per 10 °C", default=0.5)
    cell_lag_min: float = allowed(0.0, 600.0, "min", default=20.0)
    creep_share: float = allowed(0.0, 0.5, default=0.001)
    creep_min: float = allowed(0.1, 600.0, "min", default=10.0)
    glitch_share: float = allowed(0.0, 0.5, default=0.0005)
    bad_glitch_share: float = allowed(0.0, 0.5, default=0.03)
    retare_share: float = allowed(0.0, 1.0, default=0.0)
    box_g: float = allowed(0.0, 7000.0, "g", default=600.0)
    lid_g: float = allowed(0.0, 2000.0, "g", default=120.0)
    moisture_g_per_pct: float = allowed(0.0, 10.0, "g per %", default=0.15)
    moisture_lag_h: float = allowed(0.1, 1000.0, "h", default=36.0)
    visit_spread_g: float = allowed(0.0, 10.0, "g", default=1.2)
    breath_g_per_h: float = allowed(0.0, 2.0, "g per h", default=0.15)
    fed_g: float = allowed(0.0, 5.0, "g", default=1.0)
    stir_g: float = allowed(0.0, 20.0, "g", default=0.3)
    hand_g: float = allowed(0.0, 2000.0, "g", default=60.0)

    def __post_init__(self) -> None:
        refuse_impossible(self)
