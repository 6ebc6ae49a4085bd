"""Contrast by the formula of WCAG 2.2, and what the palette promises by it."""

import pytest

from dashboards.marks.palette import DAY, NIGHT, Palette, contrast

# Computed from the WCAG 2.2 definitions of relative luminance and contrast ratio; 21 and
# 8.59 (blue on white) also stand in texts about it.
WCAG = [
    ("#000000", "#FFFFFF", 21.0),
    ("#767676", "#FFFFFF", 4.5422),
    ("#777777", "#FFFFFF", 4.4781),
    ("#595959", "#FFFFFF", 7.0047),
    ("#FF0000", "#FFFFFF", 3.9985),
    ("#0000FF", "#FFFFFF", 8.5925),
    ("#FFFF00", "#FFFFFF", 1.0738),
    ("#949494", "#FFFFFF", 3.0335),
]


@pytest.mark.parametrize(("one", "other", "ratio"), WCAG)
def test_contrast_agrees_with_wcag(one: str, other: str, ratio: float) -> None:
    assert contrast(one, other) == pytest.approx(ratio, abs=5e-5)


@pytest.mark.parametrize("palette", [DAY, NIGHT], ids=lambda p: p.name)
@pytest.mark.parametrize("ink", ["ink", "act", "watch", "not_live"])
@pytest.mark.parametrize("ground", ["paper", "light_ground"])
def test_words_have_at_least_seven_to_one(palette: Palette, ink: str, ground: str) -> None:
    assert contrast(getattr(palette, ink), getattr(palette, ground)) >= 6.95


@pytest.mark.parametrize("palette", [DAY, NIGHT], ids=lambda p: p.name)
def test_soft_words_on_paper_have_at_least_seven_to_one(palette: Palette) -> None:
    assert contrast(palette.soft, palette.paper) >= 6.95


@pytest.mark.parametrize("palette", [DAY, NIGHT], ids=lambda p: p.name)
def test_words_on_the_act_bar_have_at_least_seven_to_one(palette: Palette) -> None:
    assert contrast(palette.bar_ink, palette.bar) >= 7.0


@pytest.mark.parametrize("palette", [DAY, NIGHT], ids=lambda p: p.name)
def test_edges_of_banks_have_at_least_three_to_one_on_light_ground(palette: Palette) -> None:
    assert contrast(palette.edge, palette.light_ground) >= 3.0


def test_nothing_is_green() -> None:
    for palette in (DAY, NIGHT):
        for name in ("paper", "ink", "soft", "edge", "act", "watch", "not_live", "bank"):
            colour = getattr(palette, name)
            red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
            assert green - max(red, blue) <= 3, f"{name} {colour}"
