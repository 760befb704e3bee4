"""Widths of letters, so that text can be laid out without opening a font.

Advance widths of DejaVu Sans and DejaVu Sans Bold 2.35, in units of 1/2048 em, read once from the font files that
matplotlib carries; the fonts are in the public domain but for the glyphs of Bitstream Vera, whose licence allows use.
"""

from __future__ import annotations

from functools import cache

UNITS = 2048
FIRST = 32
PLAIN = (
    651, 821, 942, 1716, 1303, 1946, 1597, 563, 799, 799, 1024, 1716, 651, 739, 651, 690, 1303, 1303,
    1303, 1303, 1303, 1303, 1303, 1303, 1303, 1303, 690, 690, 1716, 1716, 1716, 1087, 2048, 1401, 1405, 1430,
    1577, 1294, 1178, 1587, 1540, 604, 604, 1343, 1141, 1767, 1532, 1612, 1235, 1612, 1423, 1300, 1251, 1499,
    1401, 2025, 1403, 1251, 1403, 799, 690, 799, 1716, 1024, 1024, 1255, 1300, 1126, 1300, 1260, 721, 1300,
    1298, 569, 569, 1186, 569, 1995, 1298, 1253, 1300, 1300, 842, 1067, 803, 1298, 1212, 1675, 1212, 1212,
    1075, 1303, 690, 1303, 1716,
)  # fmt: skip
"""Printable ASCII from the blank on."""
BOLD = (
    713, 934, 1067, 1716, 1425, 2052, 1786, 627, 936, 936, 1071, 1716, 778, 850, 778, 748, 1425, 1425,
    1425, 1425, 1425, 1425, 1425, 1425, 1425, 1425, 819, 819, 1716, 1716, 1716, 1188, 2048, 1585, 1561, 1503,
    1700, 1399, 1399, 1681, 1714, 762, 762, 1587, 1305, 2038, 1714, 1741, 1501, 1741, 1577, 1475, 1397, 1663,
    1585, 2259, 1579, 1483, 1485, 936, 748, 936, 1716, 1024, 1024, 1382, 1466, 1214, 1466, 1389, 891, 1466,
    1458, 702, 702, 1362, 702, 2134, 1458, 1407, 1466, 1466, 1010, 1219, 979, 1458, 1335, 1892, 1321, 1335,
    1192, 1458, 748, 1458, 1716,
)  # fmt: skip
"""The same, bold."""
OTHER = {
    "µ": 1303, "Ω": 1565, "±": 1716, "−": 1716, "·": 651, "→": 1716, "●": 1787, "▲": 1575, "■": 1935, "○": 1787,
    "×": 1716, "°": 1024, "–": 1024, "—": 2048, "½": 1985, "²": 821, "√": 1305, "≈": 1716, "≤": 1716, "≥": 1716,
    "Δ": 1401, "η": 1298, "…": 2048, "§": 1024, "ä": 1255, "ö": 1253, "ü": 1298, "é": 1260, "ß": 1290, "λ": 1212,
    "π": 1233, "φ": 1351, "Ä": 1401, "Ö": 1612, "Ü": 1499, "•": 1208, "↑": 1716, "↓": 1716, "↔": 1716,
}  # fmt: skip
"""Signs beyond ASCII that drawings use."""
WIDEST = 2048
"""Taken for a sign that is in no table: a full em, so that text never turns out wider than planned."""
BOLDER = 1.31
"""How much wider the bold face is at most, for signs beyond ASCII."""
ASCENT = 0.76
"""Height of capitals and ascenders over the baseline, in em."""
DESCENT = 0.24
"""Depth of descenders below the baseline, in em."""


@cache
def width(text: str, size: float, *, bold: bool = False) -> float:
    """Width of a line of text, in the unit of its size.

    Args:
        text: one line.
        size: of the type.
        bold: in the bold face.
    """
    return sum(_advance(sign, bold=bold) for sign in text) * size / UNITS


def _advance(sign: str, *, bold: bool) -> float:
    table = BOLD if bold else PLAIN
    at = ord(sign) - FIRST
    if 0 <= at < len(table):
        return table[at]
    return OTHER.get(sign, WIDEST) * (BOLDER if bold else 1)


def shortened(text: str, size: float, room: float, *, bold: bool = False) -> str:
    """The text, cut with an ellipsis where it is wider than the room."""
    if width(text, size, bold=bold) <= room:
        return text
    while text and width(text + "…", size, bold=bold) > room:
        text = text[:-1]
    return text.rstrip() + "…"


def wrapped(text: str, size: float, room: float, lines: int, *, bold: bool = False) -> tuple[str, ...]:
    """The text on so many lines at most, broken between words; what does not fit ends in an ellipsis.

    Args:
        text: in one line.
        size: of the type.
        room: width of a line.
        lines: how many there may be.
        bold: in the bold face.
    """
    done: list[str] = []
    words = text.split()
    while words and len(done) < lines - 1:
        count = _fitting(words, size, room, bold=bold)
        done.append(shortened(" ".join(words[:count]), size, room, bold=bold))
        words = words[count:]
    if words:
        done.append(shortened(" ".join(words), size, room, bold=bold))
    return tuple(done)


def _fitting(words: list[str], size: float, room: float, *, bold: bool) -> int:
    """How many words fit on one line; one at least."""
    counts = range(len(words), 1, -1)
    return next((n for n in counts if width(" ".join(words[:n]), size, bold=bold) <= room), 1)
