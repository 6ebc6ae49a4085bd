"""The palette of drawings that stand in a page: the page's own colours, whatever they are.

A drawing made with it needs no second one for the night, nor for white paper: the style sheet
says what each name is.
"""

from dashboards.marks.palette import Palette

PAGE = Palette(
    name="page",
    paper="var(--paper)",
    light_ground="var(--light)",
    dark_ground="var(--dark)",
    bank="var(--bank)",
    ink="var(--ink)",
    soft="var(--soft)",
    edge="var(--edge)",
    act="var(--act)",
    watch="var(--watch)",
    not_live="var(--not-live)",
    bar="var(--bar)",
    bar_ink="var(--bar-ink)",
    bar_edge=None,
)
