"""The last step of every drawing, and the widths of letters."""

import re
from pathlib import Path

import pytest

from builder.drawings import typeface
from builder.drawings.drawing import Medium, plans
from builder.drawings.markup import Line
from builder.drawings.theme import COLOURS, Box, Ink, dyed, finished, number, on_paper, prefixed, schemdraw
from builder.examine import examine
from builder.rig.load import load

ROOT = Path(__file__).parents[2]


def luminance(colour):
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("ink", [ink for ink in Ink if ink is not Ink.SOFT])
def test_every_ink_can_be_read_on_white(ink):
    assert 1.05 / (luminance(COLOURS[ink][1]) + 0.05) >= 4.5


@pytest.mark.parametrize("ink", [Ink.TEXT, Ink.LIMIT, Ink.SECOND, Ink.FIRST])
def test_text_in_blocks_can_be_read_on_their_ground(ink):
    assert (luminance(COLOURS[Ink.SOFT][1]) + 0.05) / (luminance(COLOURS[ink][1]) + 0.05) >= 4.5


def test_every_ink_has_a_colour_in_each_medium():
    assert set(COLOURS) == set(Ink)
    text = " ".join(Ink)
    assert dyed(text, Medium.PAGE).count("var(--fig-") == len(Ink) - 1
    assert not re.search("#0101f|var|current", dyed(text, Medium.PAPER))


def test_ids_are_prefixed_inside_tags_only():
    body = '<g id="a"><use href="#a" clip-path="url(#a)"/><text>id="a" url(#a)</text></g>'
    wanted = '<g id="n-a"><use href="#n-a" clip-path="url(#n-a)"/><text>id="a" url(#a)</text></g>'
    assert prefixed(body, "n") == wanted


def test_blank_lines_go_and_the_frame_is_padded():
    drawing = finished("n", "t", "d", "<g/>\n\n  \n<g/>", Box(0, 0, 100, 50), Medium.PAPER)
    assert "\n\n" not in drawing.svg
    assert 'viewBox="-8 -8 116 66"' in drawing.svg
    assert drawing.width == 29.0


def test_numbers_are_short():
    assert [number(value) for value in (1.0, -0.001, 2.346, 0.5)] == ["1", "0", "2.35", "0.5"]


def test_widths_are_those_of_the_font():
    from fontTools.ttLib import TTFont
    from matplotlib import get_data_path

    for name, bold in (("DejaVuSans.ttf", False), ("DejaVuSans-Bold.ttf", True)):
        font = TTFont(Path(get_data_path()) / "fonts" / "ttf" / name)
        for sign in map(chr, range(32, 127)):
            wide = font["hmtx"][font.getBestCmap()[ord(sign)]][0]
            assert typeface.width(sign, 2048, bold=bold) == wide, sign
        for sign in typeface.OTHER:
            wide = font["hmtx"][font.getBestCmap()[ord(sign)]][0]
            assert typeface.width(sign, 2048, bold=bold) >= (0.95 if bold else 1) * wide, sign


def test_an_unknown_sign_counts_as_a_full_em():
    assert typeface.width("漢", 10) == 10


def test_text_is_shortened_and_wrapped_to_the_room():
    assert typeface.width(typeface.shortened("word " * 20, 12, 100), 12) <= 100
    rows = typeface.wrapped("one two three four five six seven eight", 12, 80, 2)
    assert len(rows) == 2
    assert rows[-1].endswith("…")
    assert all(typeface.width(row, 12) <= 80 for row in rows)
    assert typeface.wrapped("short", 12, 80, 2) == ("short",)


def test_a_line_knows_its_box_and_is_escaped():
    line = Line((100, 50), "a<b", "end", 10)
    assert line.box.right == 100
    assert line.box.left == pytest.approx(100 - typeface.width("a<b", 10))
    assert "a&lt;b" in str(line)


@pytest.mark.parametrize("rig", ["bittern", "heron", "kestrel"])
def test_a_page_drawing_turned_to_paper_is_the_one_made_for_paper(rig):
    content = load(ROOT / "content")
    for name, plan in plans(examine(content, content.rig(rig))).items():
        assert on_paper(plan.make(Medium.PAGE)) == plan.make(Medium.PAPER), name


@pytest.mark.parametrize("middle", [(0.0, 0.0), (3.0, -2.0), (-7.5, 4.25)])
@pytest.mark.parametrize(
    ("start", "end", "turned", "box"),
    [
        (0, 360, 0, (-2, -1, 2, 1)),
        (0, 180, 0, (-2, 0, 2, 1)),
        (90, 270, 0, (-2, -1, 0, 1)),
        (0, 180, 90, (-1, -2, 0, 2)),
    ],
)
def test_an_arc_has_the_box_of_its_ellipse_wherever_it_stands(middle, start, end, turned, box):
    """Half axes of 2 and 1; plain geometry of the ellipse."""
    arc = schemdraw().segments.SegmentArc(middle, 4, 2, theta1=start, theta2=end, angle=turned)
    expected = [side + middle[at % 2] for at, side in enumerate(box)]
    assert list(arc.get_bbox()) == pytest.approx(expected, abs=1e-4)
