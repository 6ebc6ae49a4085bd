"""A camera reads the code: decoded by ZXing, which shares nothing with what made it."""

import re
import xml.etree.ElementTree as ET

import pytest
import zxingcpp

from dashboards.marks.palette import DAY
from dashboards.marks.qr import qr_svg

SCALE = 4


def drawn(svg: str) -> "tuple[bytes, int]":
    """The drawing as grey pixels, by its two paths: the ground, then single dark modules."""
    root = ET.fromstring(svg)
    side = int(root.attrib["viewBox"].split()[2])
    ground, dark = list(root)
    assert ground.attrib["fill"] == DAY.light_ground
    assert dark.attrib["fill"] == DAY.ink
    pixels = bytearray([int(DAY.light_ground[1:3], 16)]) * (side * SCALE) ** 2
    for x, y in re.findall(r"M(\d+) (\d+)h1v1h-1z", dark.attrib["d"]):
        for row in range(int(y) * SCALE, int(y) * SCALE + SCALE):
            start = row * side * SCALE + int(x) * SCALE
            pixels[start : start + SCALE] = bytes([int(DAY.ink[1:3], 16)]) * SCALE
    return bytes(pixels), side * SCALE


def read(svg: str) -> str:
    pixels, side = drawn(svg)
    view = memoryview(pixels).cast("B", (side, side))
    (found,) = zxingcpp.read_barcodes(view)
    assert found.format == zxingcpp.BarcodeFormat.QRCode
    return str(found.text)


@pytest.mark.parametrize(
    "text",
    [
        "http://192.168.178.24:8460/wall?token=Q2h1dGNo-d2VhdGhlcl9hX3Rva2VuX29mXzMyX2J5dGVz",
        "https://hazel.local:8460/",
        "mqtt://th-shed:Käfig & <b>@10.0.0.2:1883",
        "x" * 600,
    ],
    ids=["wall", "name", "hostile", "long"],
)
def test_a_qr_code_is_read_as_the_text_it_was_made_from(text: str) -> None:
    assert read(qr_svg(text)) == text


def test_a_qr_code_carries_nothing_that_the_page_refuses_to_draw() -> None:
    svg = qr_svg('"><script>alert(1)</script>')
    assert "script" not in svg
    assert "style" not in svg
    assert {element.tag.rpartition("}")[2] for element in ET.fromstring(svg).iter()} == {
        "svg",
        "path",
    }


def test_a_qr_code_has_its_quiet_zone_of_four_modules() -> None:
    # ISO/IEC 18004: four modules on all four sides.
    root = ET.fromstring(qr_svg("A"))
    side = int(root.attrib["viewBox"].split()[2])
    at = [(int(x), int(y)) for x, y in re.findall(r"M(\d+) (\d+)h1", root[1].attrib["d"])]
    assert min(min(one) for one in at) == 4
    assert max(max(one) for one in at) == side - 5
