"""A QR code (ISO/IEC 18004) as a drawing for a page.

Dark on light whatever the page: readers want that contrast, and by night the code is the one
light field. The quiet zone of four modules around it is part of the drawing (ISO/IEC 18004,
"Quiet zone").
"""

import segno

from dashboards.marks.palette import DAY

_QUIET_MODULES = 4
_SIDE_PX = 300


def qr_svg(text: str) -> str:
    """Inline SVG that a phone's camera reads as ``text``; no style in it, only attributes."""
    code = segno.make_qr(text, error="m")
    dark = [
        f"M{x + _QUIET_MODULES} {y + _QUIET_MODULES}h1v1h-1z"
        for y, row in enumerate(code.matrix)
        for x, module in enumerate(row)
        if module
    ]
    side = len(code.matrix) + 2 * _QUIET_MODULES
    return (
        f'<svg class="qr" xmlns="http://www.w3.org/2000/svg" width="{_SIDE_PX}" '
        f'height="{_SIDE_PX}" viewBox="0 0 {side} {side}" shape-rendering="crispEdges" '
        'role="img" aria-label="QR code">'
        f'<path fill="{DAY.light_ground}" d="M0 0h{side}v{side}h-{side}z"/>'
        f'<path fill="{DAY.ink}" d="{"".join(dark)}"/></svg>'
    )
