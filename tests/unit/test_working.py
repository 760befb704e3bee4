"""The arithmetic shown: in symbols, with numbers, in three notations, and always the number that was computed."""

import math
import re

import pytest
from cases import formulas

from builder.examination.notation import Latex, Paper, Term, Terminal, mathml
from builder.examination.value import Value
from builder.examination.working import chain, steps_of, working
from builder.quantity import EXAMPLE, SI_SYMBOL, parse

BY_SYMBOL = {symbol: dimension for dimension, symbol in SI_SYMBOL.items() if symbol}
WRITTEN = [
    ("stages.pa", "dc_input", "P_i = V_p × I_p", "P_i = 560 V × 210 mA = 118 W"),
    ("stages.pa", "efficiency", "η = P_o / P_i", "η = 79 W / (118 W) = 67.2 %"),
    ("stages.pa", "plate_dissipation", "P_p = P_i − P_o", "P_p = 118 W − 79 W = 38.6 W"),
    ("stages.pa", "plate_dissipation_per_tube", "P_p,1 = P_p / n", "P_p,1 = 38.6 W / 2 = 19.3 W"),
    ("stages.pa", "grid_leak_bias", "V_gl = −R_g × I_g", "V_gl = −(12 kΩ) × 7 mA = −84 V"),
    ("stages.pa", "most_output", "P_om = 1.9 / 2 × P_i", "P_om = 1.9 / 2 × 118 W = 112 W"),
    ("stages.pa", "screen_resistor_power", "P_sr = R_s × I_s²", "P_sr = 22 kΩ × (17 mA)² = 6.36 W"),
    ("stages.pa", "screen_voltage_behind_resistor", "V_sr = V_p − R_s × I_s", "V_sr = 560 V − 22 kΩ × 17 mA = 186 V"),
    ("stages.pa", "crest_plate_voltage", "V_pc = V_p × (1 + m_+)", "V_pc = 560 V × (1 + 100 %) = 1.12 kV"),
    ("supplies.hv", "no_load_voltage", "V_nl = √2 × k × V_e", "V_nl = √2 × 1.1 × 700 V = 1.09 kV"),
    ("supplies.hv", "driving_voltage", "V_e = V_t / n_s", "V_e = 1.4 kV / 2 = 700 V"),
    (
        "supplies.hv",
        "critical_inductance",
        "L_cr = R_max / (6 × π × f_m)",
        "L_cr = 4.52 kΩ / (6 × π × 60 Hz) = 3.99 H",
    ),
    (
        "supplies.hv",
        "discharge_time",
        "t = R_b × C × ln(max(V_0 / V_safe, 1))",
        "t = 30 kΩ × 20 µF × ln(max(1.09 kV / (55 V), 1)) = 1.79 s",
    ),
    ("rig", "peak_envelope_power", "P_x = P_c × (1 + m_+)²", "P_x = 79 W × (1 + 100 %)² = 316 W"),
    ("carriers.a", "emission_low", "f_l = f_c − B_l − Δf", "f_l = 7.290 MHz − 3 kHz − 364 Hz = 7.28664 MHz"),
]


@pytest.fixture(scope="module")
def examination(tmp_path_factory):
    from small_rig import Small

    return Small(tmp_path_factory.mktemp("working") / "content").examine()


def computed(examination):
    """Every computed value of the rig on its carrier."""
    things = examination.sheets[examination.carrier].things
    found = (value for path in things for value in examination.sheet(path).all())
    return [value for value in found if isinstance(value, Value) and working(value)]


@pytest.mark.parametrize(("thing", "name", "formula", "filled"), WRITTEN, ids=lambda part: str(part)[:20])
def test_written_for_a_terminal(examination, thing, name, formula, filled):
    shown = working(examination.sheet(thing)[name])
    assert shown.formula(Terminal()) == formula
    assert shown.filled_in(Terminal()) == filled


def evaluated(text):
    """A filled-in formula worked out from its printed text, as a reader with a pocket calculator would."""
    plain = text.replace("\u2212", "-").replace("×", "*").replace("²", "**2").replace("^", "**").replace("π", "pi")
    plain = re.sub(r"√\(", "sqrt(", plain)
    plain = re.sub(r"√([\d.]+)", r"sqrt(\1)", plain)
    plain = re.sub(r"(?<![\w.)])([\d.]+(?:e-?\d+)?) ([pnµmkMG]?(?:V|A|W|Ω|F|H|Hz|s|J|°C|dB|%|ppm))(?!\w)", si, plain)
    plain = re.sub(r"\|([^|]*)\|", r"abs(\1)", plain.replace("log(", "log10(").replace("ln(", "log("))
    known = {"pi": math.pi, "sqrt": math.sqrt, "log": math.log, "max": max, "abs": abs, "arccos": math.acos}
    known |= {"log10": math.log10, "min": min}
    return eval(plain, {"__builtins__": {}}, known)  # noqa: S307 - text of our own making


def si(match):
    text = f"{match[1]} {match[2].replace('Ω', 'ohm').replace('°C', 'degC')}"
    for dimension in EXAMPLE:
        try:
            return f"({parse(text, dimension).value!r})"
        except ValueError:
            continue
    raise AssertionError(text)


def test_the_text_gives_the_number(examination):
    """Whoever works a line out again from what is printed arrives at the printed result, within its rounding."""
    met = 0
    for value in computed(examination):
        if not working(value).steps or not math.isfinite(value.nominal):
            continue
        _left, middle, _result = working(value).filled_in(Terminal()).split(" = ")
        differences = any(sign in middle for sign in (" \u2212 ", " + (\u2212", " + \u2212"))
        size = max([abs(part.nominal) for _name, part in value.inputs if part.unit == value.unit] or [0])
        tolerance = 0.015 * (size if differences else abs(value.nominal)) + 1e-12
        assert evaluated(middle) == pytest.approx(value.nominal, rel=0.015, abs=tolerance), (value.thing, value.name)
        met += 1
    assert met > 60


SEARCHES = {
    "metering.decibels", "coils.lundin_coefficient", "coils.nagaoka_coefficient", "coils.solenoid_turns",
    "coils.self_capacitance", "network_design.chebyshev_prototype", "matching.load_end_resistance",
    "harmonics.pi_harmonic_attenuation", "matching.pi_settings", "matching.ends_of_settings",
    "matching.settings_on_circle", "matching.behind_output_coil", "coils.solenoid_inductance",
    "matching.settings_for_match", "matching.pi_tuning_setting", "matching.pi_load_setting",
    "matching.mismatched_loads", "matching.link_settings_for_match", "matching.link_coupling_for_match",
    "matching.link_settings", "matching.link_settings_for_load", "matching.link_settings_on_circle",
    "matching.settings_for_load", "supply_parts.largest_equaliser", "supply_parts.light_load",
    "network_design.butterworth_prototype", "supplies.load_resistance",
}  # fmt: skip
"""Searches and tables, whose working is their source."""
SOLVING = {
    "operating", "supply_simulation", "tubes", "pulse", "envelope", "harmonics", "filters", "ranges",
}  # fmt: skip
"""Modules of integrals over a cycle and of solutions by trial, which no line of arithmetic can show."""


def test_every_formula_is_shown_or_says_why_not():
    """A formula with branches or loops refers to its source; all others are plain."""
    not_plain = {name for name, function in formulas().items() if not steps_of(function)}
    not_plain = {name for name in not_plain if name.partition(".")[0] not in SOLVING}
    assert not_plain <= SEARCHES, "write these as assignments and one return, so that they can be shown"


def test_given_values_have_no_working(examination):
    assert working(examination.sheet("stages.modulator")["plate_voltage"]) is None
    assert working(examination.sheet("supplies.hv")["plates_current"]) is None


def test_chain_goes_from_the_file_to_the_number(examination):
    names = [value.name for value in chain(examination.sheet("stages.pa")["plate_dissipation_per_tube"])]
    assert names == [
        "plate_voltage",
        "plate_current",
        "dc_input",
        "output_power",
        "plate_dissipation",
        "tubes_count",
        "plate_dissipation_per_tube",
    ]


def test_terminal_and_latex_and_paper_of_one_formula(examination):
    shown = working(examination.sheet("stages.pa")["plate_dissipation_modulated"])
    assert shown.formula(Terminal()) == "P_pm = P_p,1 × (1 + m² / 2)"
    assert shown.formula(Latex()) == r"P_{\mathrm{pm}} = P_{\mathrm{p,1}} \times  \left(1 + \frac{m^{2}}{2}\right)"
    assert shown.formula(Paper()) == 'P_"pm" = P_"p,1" times (1 + frac(m^(2), 2))'


@pytest.mark.parametrize("notation", [Terminal(), Latex(), Paper()], ids=lambda part: type(part).__name__)
def test_brackets_of_latex_and_paper_close(examination, notation):
    for value in computed(examination):
        for text in (working(value).formula(notation), working(value).filled_in(notation)):
            for opening, closing in ("()", "{}"):
                assert text.count(opening) == text.count(closing), text


def test_browser_notation_is_well_formed(examination):
    from xml.etree import ElementTree

    for value in computed(examination):
        for text in (working(value).formula(Latex()), working(value).filled_in(Latex())):
            made = mathml(text)
            root = ElementTree.fromstring(made)  # noqa: S314 - text of our own making
            assert root.tag.endswith("math")
            assert root.get("alttext") == text
            assert not [node for node in root.iter() if node.tag.endswith("merror")], text


def all_on_paper(examination):
    """Every formula there is, used by the rig or not, in the notation for papers."""
    from inspect import signature

    from builder.examination.value import Origin, Value
    from builder.rig.thing import formula

    for value in computed(examination):
        yield working(value).formula(Paper())
        yield working(value).filled_in(Paper())
    for name, function in formulas().items():
        inputs = tuple((part, Value(part, -1.5, "", Origin.GIVEN, "rig")) for part in signature(function).parameters)
        yield working(
            Value(name.split(".")[1], 2.0, "", Origin.COMPUTED, "rig", formula=formula(function), inputs=inputs)
        ).formula(Paper())
        yield working(
            Value(name.split(".")[1], 2.0, "", Origin.COMPUTED, "rig", formula=formula(function), inputs=inputs)
        ).filled_in(Paper())


def test_paper_notation_is_valid(examination, tmp_path):
    """One document with every formula goes through the typesetter."""
    import typst

    lines = list(all_on_paper(examination))
    path = tmp_path / "all.typ"
    path.write_text("\n\n".join(f"$ {line} $" for line in lines), encoding="utf-8")
    assert len(lines) > 200
    assert typst.compile(str(path)).startswith(b"%PDF")


@pytest.mark.parametrize("name", sorted(formulas()))
def test_every_formula_is_well_formed_for_the_browser(name):
    from xml.etree import ElementTree

    from builder.examination.value import Origin
    from builder.rig.thing import formula

    function = formulas()[name]
    from inspect import signature

    inputs = tuple((part, Value(part, 1.5, "V", Origin.GIVEN, "rig")) for part in signature(function).parameters)
    value = Value(name.split(".")[1], 2.0, "W", Origin.COMPUTED, "rig", formula=formula(function), inputs=inputs)
    ElementTree.fromstring(mathml(working(value).formula(Latex())))  # noqa: S314
    ElementTree.fromstring(mathml(working(value).filled_in(Latex())))  # noqa: S314


@pytest.mark.parametrize(
    ("notation", "symbol", "number"),
    [
        (Terminal(), "P_p,max", "560 V"),
        (Latex(), r"P_{\mathrm{p,max}}", r"560\,\mathrm{V}"),
        (Paper(), 'P_"p,max"', '"560 V"'),
    ],
)
def test_terms(notation, symbol, number):
    assert notation.term(Term.symbol("P_p,max")) == symbol
    assert notation.term(Term("560 V", is_number=True)) == number


def test_words_in_place_of_a_formula():
    assert Terminal().words("see the source") == "(see the source)"
    assert Latex().words("see the source") == r"\text{see the source}"
    assert Paper().words("see the source") == '"see the source"'
