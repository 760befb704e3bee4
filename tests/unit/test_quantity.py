"""Text to quantities and back, with every trap that a craftsman may set by habit."""

import math

import pytest

from builder.quantity import EXAMPLE, SI_SYMBOL, Quantity, article, parse, show, typeset

GOOD = [
    ("600 V", "voltage", 600),
    ("1.8 kV", "voltage", 1800),
    ("1.8kV", "voltage", 1800),
    ("-85 V", "voltage", -85),
    ("\u221285 V", "voltage", -85),
    ("+5 V", "voltage", 5),
    (".5 V", "voltage", 0.5),
    ("5. V", "voltage", 5),
    ("2 mV", "voltage", 2e-3),
    ("3 µV", "voltage", 3e-6),
    ("3 μV", "voltage", 3e-6),
    ("3 uV", "voltage", 3e-6),
    ("200 mA", "current", 0.2),
    ("50 uA", "current", 50e-6),
    ("1 A", "current", 1),
    ("75 W", "power", 75),
    ("1.5 kW", "power", 1500),
    ("20 mW", "power", 0.02),
    ("4.7 kohm", "resistance", 4700),
    ("4.7 kΩ", "resistance", 4700),
    ("4.7 k\u2126", "resistance", 4700),
    ("1 Mohm", "resistance", 1e6),
    ("47 ohm", "resistance", 47),
    ("180 pF", "capacitance", 180e-12),
    ("10 uF", "capacitance", 10e-6),
    ("10 µF", "capacitance", 10e-6),
    ("2 nF", "capacitance", 2e-9),
    ("5.2 uH", "inductance", 5.2e-6),
    ("2.5 mH", "inductance", 2.5e-3),
    ("10 H", "inductance", 10),
    ("7.290 MHz", "frequency", 7.29e6),
    ("7290 kHz", "frequency", 7.29e6),
    ("1 GHz", "frequency", 1e9),
    ("60 Hz", "frequency", 60),
    ("30 s", "time", 30),
    ("20 ms", "time", 0.02),
    ("5 min", "time", 300),
    ("2 h", "time", 7200),
    ("1 d", "time", 86400),
    ("10 J", "energy", 10),
    ("1 kJ", "energy", 1000),
    ("70 mm", "length", 0.07),
    ("7 cm", "length", 0.07),
    ("3 m", "length", 3),
    ("2 in", "length", 0.0508),
    ('2 "', "length", 0.0508),
    ("3 ft", "length", 0.9144),
    ("20 mil", "length", 508e-6),
    ("12 kg", "mass", 12),
    ("500 g", "mass", 0.5),
    ("10 lb", "mass", 4.5359237),
    ("16 oz", "mass", 0.45359237),
    ("40 degC", "temperature", 40),
    ("-75 °C", "temperature", -75),
    ("43 dB", "level", 43),
    ("-40 dB", "level", -40),
    ("95 %", "ratio", 0.95),
    ("50 ppm", "ratio", 50e-6),
    ("2", "count", 2),
    ("1.4", "count", 1.4),
    ("12 l/s", "flow", 0.012),
    ("43.2 m3/h", "flow", 0.012),
    ("0.72 m3/min", "flow", 0.012),
    ("0.012 m3/s", "flow", 0.012),
    ("13 cfm", "flow", 13 * 0.3048**3 / 60),
    ("30 K", "temperature rise", 30),
    ("30 degC", "temperature rise", 30),
    ("1e3 V", "voltage", 1000),
    ("1E-3 A", "current", 1e-3),
]
BAD = [
    ("600", "voltage", '"600" has no unit; expected a voltage, such as 600 V'),
    ("1,8 kV", "voltage", '"1,8 kV" has a comma in its number; write a point for decimals and nothing for thousands'),
    ("1,800 V", "voltage", '"1,800 V" has a comma in its number; write a point for decimals and nothing for thousands'),
    (
        "1.800,5 V",
        "voltage",
        '"1.800,5 V" has a comma in its number; write a point for decimals and nothing for thousands',
    ),
    ("4k7", "resistance", '"4k7": "k7" is not a unit of resistance here; expected a resistance, such as 4.7 kohm'),
    ("4.7 k", "resistance", '"4.7 k": "k" is not a unit of resistance here; expected a resistance, such as 4.7 kohm'),
    ("nan", "voltage", '"nan" does not begin with a number; expected a voltage, such as 600 V'),
    ("nan V", "voltage", '"nan V" does not begin with a number; expected a voltage, such as 600 V'),
    ("inf V", "voltage", '"inf V" does not begin with a number; expected a voltage, such as 600 V'),
    ("", "voltage", '"" does not begin with a number; expected a voltage, such as 600 V'),
    ("about 600 V", "voltage", '"about 600 V" does not begin with a number; expected a voltage, such as 600 V'),
    ("1e999 V", "voltage", '"1e999 V" is too large to be a real quantity; expected a voltage, such as 600 V'),
    (
        "200 mA",
        "voltage",
        '"200 mA": "mA" is not a unit of voltage here; expected a voltage, such as 600 V (mA measures current)',
    ),
    (
        "5 min",
        "length",
        '"5 min": "min" is not a unit of length here; expected a length, such as 70 mm (min measures time)',
    ),
    ("2 in", "time", '"2 in": "in" is not a unit of time here; expected a time, such as 30 s (in measures length)'),
    ("600 v", "voltage", '"600 v": "v" is not a unit of voltage here; expected a voltage, such as 600 V'),
    ("600 volts", "voltage", '"600 volts": "volts" is not a unit of voltage here; expected a voltage, such as 600 V'),
    ("0.95", "ratio", '"0.95" has no unit; expected a ratio, such as 95 %'),
    ("2 pieces", "count", '"2 pieces": "pieces" is not a unit of count here; expected a count, such as 2'),
    (
        "200 mA",
        "energy",
        '"200 mA": "mA" is not a unit of energy here; expected an energy, such as 10 J (mA measures current)',
    ),
    ("13", "flow", '"13" has no unit; expected a flow, such as 12 l/s'),
    (
        "40 K",
        "temperature",
        (
            '"40 K": "K" is not a unit of temperature here; expected a temperature, such as 40 degC'
            " (K measures temperature rise)"
        ),
    ),
    ("5", "inductance", '"5" has no unit; expected an inductance, such as 5.2 uH'),
    ("3/8 in", "length", '"3/8 in": "/8 in" is not a unit of length here; expected a length, such as 70 mm'),
    ("1 800 V", "voltage", '"1 800 V" has a gap in its number; write the digits without a break'),
    ("200 V ±", "voltage", '"200 V ±" names no tolerance; write one, such as 2 %, or leave the sign out'),
    ("200 V ± 5", "voltage", '"5" has no unit; expected a voltage, such as 600 V'),
    ("200 V ± x %", "voltage", '"x %" does not begin with a number; expected a ratio, such as 95 %'),
]
SHOWN = [
    (0.0, "V", "0 V"),
    (600.0, "V", "600 V"),
    (1800.0, "V", "1.8 kV"),
    (-85.0, "V", "\u221285 V"),
    (0.2, "A", "200 mA"),
    (50e-6, "A", "50 µA"),
    (4700.0, "ohm", "4.7 kΩ"),
    (180e-12, "F", "180 pF"),
    (999.9, "V", "1 kV"),
    (0.0009999, "A", "1 mA"),
    (30.0, "s", "30 s"),
    (0.02, "s", "20 ms"),
    (300.0, "s", "300 s"),
    (0.5, "J", "0.5 J"),
    (0.01, "J", "10 mJ"),
    (12.0, "kg", "12 kg"),
    (43.0, "dB", "43 dB"),
    (40.0, "degC", "40 °C"),
    (20.0, "K", "20 K"),
    (0.012, "m3/s", "12 l/s"),
    (0.0061352, "m3/s", "6.14 l/s"),
    (0.0, "m3/s", "0 l/s"),
    (2.0, "", "2"),
    (0.756, "%", "75.6 %"),
    (50e-6, "ppm", "50 ppm"),
    (math.inf, "ohm", "unlimited"),
    (math.inf, "s", "without end"),
    (1e-15, "F", "0.001 pF"),
    (2e12, "ohm", "2000 GΩ"),
    (119.3333, "W", "119 W"),
]


@pytest.mark.parametrize(("text", "dimension", "value"), GOOD)
def test_reads(text, dimension, value):
    found = parse(text, dimension)
    assert found.value == pytest.approx(value, rel=1e-12)
    assert found.unit == SI_SYMBOL[dimension]
    assert found.sigma == 0
    assert str(found) == text


@pytest.mark.parametrize(("text", "dimension", "message"), BAD)
def test_refuses_with_a_sentence(text, dimension, message):
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole message is compared below
        parse(text, dimension)
    assert str(caught.value) == message


@pytest.mark.parametrize("dimension", sorted(EXAMPLE))
def test_own_examples_are_read(dimension):
    assert parse(EXAMPLE[dimension], dimension).value > 0


@pytest.mark.parametrize("dimension", sorted(EXAMPLE))
def test_articles(dimension):
    assert article(dimension) == f"{'an' if dimension[0] in 'aeiou' else 'a'} {dimension}"


@pytest.mark.parametrize(
    ("text", "half"),
    [
        ("200 mA ± 2 %", 0.004), ("200 mA +/- 2 %", 0.004), ("200 mA +- 2 %", 0.004), ("200 mA ± 4 mA", 0.004),
        ("200 mA±4mA", 0.004), ("-200 mA ± 2 %", 0.004), ("200 mA ± 0 mA", 0.0),
    ],
)  # fmt: skip
def test_tolerance_is_an_even_spread(text, half):
    """Half-width over the root of three is the standard uncertainty; source: gum, 4.3.7."""
    assert parse(text, "current").sigma == pytest.approx(half / math.sqrt(3))


@pytest.mark.parametrize(("value", "unit", "text"), SHOWN)
def test_shows(value, unit, text):
    assert show(value, unit) == text


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.01, "F", "10000 µF"), (4.7e-3, "F", "4700 µF"), (270e-6, "F", "270 µF"), (0.5, "ohm", "0.5 Ω"),
        (0.022, "ohm", "22 mΩ"),
    ],
)  # fmt: skip
def test_no_millifarad_and_no_hundreds_of_milliohms(value, unit, text):
    """In this trade an old part marked mF holds microfarads."""
    assert show(value, unit) == text


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("8 uF", "8 µF"), ("400 mA, 70 ohm", "400 mA, 70 Ω"), ("4.7 kohm", "4.7 kΩ"), ("2200 uS", "2200 µS"),
        ("-8.5 V", "\u22128.5 V"), ("4-250A", "4-250A"), ("9-pin", "9-pin"), ("3900 pF", "3900 pF"),
        ("50 mohm ± 1 %", "50 mΩ ± 1 %"), ("", ""),
    ],
)  # fmt: skip
def test_text_is_typeset(text, printed):
    assert typeset(text) == printed


def test_frequencies_keep_three_decimals():
    assert show(7.29e6, "Hz", 6) == "7.290 MHz"
    assert show(7293364.5, "Hz", 6) == "7.29336 MHz"


def test_a_computed_quantity_shows_its_number():
    assert str(Quantity(1800.0, "V")) == "1.8 kV"


@pytest.mark.parametrize("text", ["1e300 V ± 1e300 %", "5 V ± 1e999 V"])
def test_tolerance_without_end_is_refused(text):
    with pytest.raises(ValueError, match="too large"):
        parse(text, "voltage")


def test_what_is_no_number_is_unknown():
    assert show(math.nan, "V") == "unknown"


@pytest.mark.parametrize("number", ["1e308", "-1e308", "nan", "inf", "-inf", "5e-324"])
@pytest.mark.parametrize("unit", ["%", "ppm", "V", "s", "", "J"])
def test_showing_never_fails(number, unit):
    assert show(float(number), unit)
