"""What covers the wall when the page itself hears nothing any more.

It lies ready in every wall page, hidden, so that it needs neither server nor script. Its
colours are the style sheet's, because it may have to appear by day or by night.
"""

from dashboards.marks.channel import hatch
from dashboards.marks.page_palette import PAGE
from dashboards.marks.signs import Sign, sign
from dashboards.marks.svg import drawing, element, line, rect, text


def cover_picture(clock: str) -> str:
    """NOT LIVE, and when the page last heard: ``clock`` until a script knows better."""
    colours = PAGE
    blue = colours.not_live
    heard = element(
        "text",
        f"Last heard {element('tspan', clock, id='last-heard')}",
        x=36.0,
        y=255.0,
        font_size=123.0,
        fill=colours.ink,
    )
    return drawing(
        element("defs", hatch("cover-hatch", colours))
        + rect(0, 0, 1280, 800, colours.paper)
        + rect(0, 0, 1280, 154, "url(#cover-hatch)")
        + rect(36, 11, 1208, 134, colours.paper, stroke=blue, stroke_width=5)
        + sign(Sign.NOT_LIVE, 44, 42, 88, blue)
        + text("NOT LIVE", 154, 126, 154, blue, bold=True)
        + text("this screen", 1226, 60, 41, blue, bold=True, anchor="end")
        + text("hears nothing", 1226, 114, 41, blue, anchor="end")
        + heard
        + rect(0, 288, 1280, 141, "url(#cover-hatch)")
        + line((40, 429), (84, 288), blue, 8)
        + text("Go and look", 36, 535, 123, colours.ink)
        + text("The birds first; then see whether the computer runs", 40, 640, 41, colours.ink)
        + text("and this screen has its network.", 40, 694, 41, colours.ink),
        1280,
        800,
        label="Not live: this screen hears nothing from the shed.",
        name="cover-picture",
    )
