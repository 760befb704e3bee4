"""A check says what it asks, why, what to do and where that is written, and reaches every verdict that it can."""

import inspect

import pytest
from uncertainties import ufloat

from builder import discover
from builder.examination.finding import CHECKS, check
from builder.examination.judge import Judgement, Verdict, at_most
from builder.physics.units import Watt
from builder.reference.tables import cite
from builder.rig.stages.rf_power import RfPower
from builder.rig.thing import Thing

discover.modules("builder.checks")
TITLES = sorted(CHECKS)
EXAMPLES = {
    "drive-available": ((4.0, 2.0), (2.2, 2.0), (1.5, 2.0)),
    "oscillator-tolerance": ((50e-6,), (90e-6,), (200e-6,)),
    "peak-envelope-power": ((300.0, 1500.0), (1480.0, 1500.0), (1600.0, 1500.0)),
    "lower-band-edge": ((7.180e6, 7.175e6), None, (7.174e6, 7.175e6)),
    "upper-band-edge": ((7.296e6, 7.300e6), None, (7.3005e6, 7.300e6)),
    "meter-low-on-its-scale": ((0.6,), None, (0.1,)),
    "square-law-meter-low-on-its-scale": ((0.6,), None, (0.3,)),
    "meter-over-its-scale": ((0.7,), (0.97,), (1.1,)),
    "audio-power": ((74.0, 57.0), (60.0, 57.0), (50.0, 57.0)),
    "modulator-load": ((4500.0, 4500.0), (5300.0, 4500.0), (9000.0, 4500.0)),
    "modulation-transformer-current": ((0.2, 0.25), (0.24, 0.25), (0.3, 0.25)),
    "depth-of-modulation": ((0.9,), (0.99,), (1.1,)),
    "blocking-capacitor": ((1000.0, 2000.0), (1300.0, 2000.0), (1500.0, 2000.0)),
    "plate-voltage": ((560.0, 600.0), (590.0, 600.0), (650.0, 600.0)),
    "plate-current": ((0.105, 0.15), (0.148, 0.15), (0.2, 0.15)),
    "plate-input": ((58.0, 85.0), (84.0, 85.0), (90.0, 85.0)),
    "plate-dissipation": ((19.0, 23.0), (22.0, 23.0), (30.0, 23.0)),
    "plate-dissipation-under-modulation": ((28.0, 35.0), (34.5, 35.0), (40.0, 35.0)),
    "screen-voltage": ((178.0, 250.0), (245.0, 250.0), (300.0, 250.0)),
    "screen-dissipation": ((1.5, 2.0), (1.95, 2.0), (3.0, 2.0)),
    "screen-books": ((178.0, 180.0), None, (178.0, 250.0)),
    "screen-resistor": ((6.0, 20.0), (9.0, 20.0), (15.0, 20.0)),
    "screen-divider": ((2.0, 10.0), (4.5, 10.0), (6.0, 10.0)),
    "grid-bias": ((-85.0, -150.0), (-148.0, -150.0), (-170.0, -150.0)),
    "grid-current": ((0.0035, 0.004 * 1.2), (0.0039, 0.004), (0.005, 0.004)),
    "bias-books": ((-85.0, -84.0), None, (-85.0, -60.0)),
    "heater-voltage": ((6.3, 6.3), (6.0, 6.3), (5.5, 6.3)),
    "tube-frequency": ((7.3e6, 60e6), None, (144e6, 60e6)),
    "output-possible": ((79.0, 112.0), None, (120.0, 112.0)),
    "inverse-voltage": ((700.0, 1000.0), (950.0, 1000.0), (1200.0, 1000.0)),
    "rectifier-current": ((0.24, 1.0), (0.95, 1.0), (1.2, 1.0)),
    "rectifier-warm-up": ((60.0, 30.0), None, (10.0, 30.0)),
    "transformer-current": ((0.3, 0.5), (0.48, 0.5), (0.6, 0.5)),
    "choke-current": ((0.3, 0.5), (0.48, 0.5), (0.6, 0.5)),
    "input-choke": ((5.0, 4.0), (4.1, 4.0), (3.0, 4.0)),
    "capacitor-voltage": ((1090.0, 1500.0), (1480.0, 1500.0), (1700.0, 1500.0)),
    "bleeder-power": ((11.0, 50.0), (24.0, 50.0), (30.0, 50.0)),
    "discharge-time": ((2.0,), (60.0,), (300.0,)),
    "discharge-stick": ((12.0, 10.0, 1.0), None, (12.0, 10.0, 0.0)),
    "primary-fuse": ((5.0, 3.0), (3.8, 3.0), (10.0, 3.0)),
    "peak-rectifier-current": ((0.6, 1.0), (0.95, 1.0), (1.2, 1.0)),
    "switch-on-surge": ((10.0, 30.0), (28.0, 30.0), (40.0, 30.0)),
    "input-capacitor-of-the-rectifier": ((20e-6, 40e-6), (39e-6, 40e-6), (80e-6, 40e-6)),
    "transformer-apparent-power": ((400.0, 600.0), (580.0, 600.0), (700.0, 600.0)),
    "filter-resonance": ((20.0, 120.0), (58.0, 120.0), (80.0, 120.0)),
    "capacitor-ripple-current": ((0.5, 1.0), (0.95, 1.0), (1.5, 1.0)),
    "capacitor-surge-voltage": ((1000.0, 1500.0), (1480.0, 1500.0), (1700.0, 1500.0)),
    "sharing-resistors": ((50e3, 100e3), (95e3, 100e3), (150e3, 100e3)),
    "heat-in-sharing-resistors": ((1.0, 3.0), (1.45, 3.0), (2.0, 3.0)),
    "voltage-across-sharing-resistors": ((400.0, 500.0), (490.0, 500.0), (600.0, 500.0)),
    "bleeder-voltage": ((1000.0, 1500.0), (1480.0, 1500.0), (1600.0, 1500.0)),
    "regulation-with-choke": ((0.05,), (0.14,), (0.3,)),
    "regulation-with-capacitor": ((0.1,), (0.28,), (0.5,)),
    "step-start-resistor": ((200.0, 500.0), (480.0, 500.0), (600.0, 500.0)),
    "step-start-time": ((1.0, 0.1), (0.31, 0.1), (0.2, 0.1)),
    "line-surge-through-step-start": ((14.0, 25.0), (240.0, 25.0), (300.0, 25.0)),
    "glow-tube-at-low-line": ((0.010, 0.005), (0.0053, 0.005), (0.003, 0.005)),
    "glow-tube-at-high-line": ((0.030, 0.040), (0.039, 0.040), (0.050, 0.040)),
    "glow-tube-starts": ((250.0, 185.0), (190.0, 185.0), (170.0, 185.0)),
    "heat-before-the-glow-tube": ((2.0, 10.0), (4.9, 10.0), (6.0, 10.0)),
    "formula-against-simulation": ((600.0, 601.0), None, (700.0, 600.0)),
    "supply-ripple": ((0.005, 0.01), (0.009, 0.01), (0.02, 0.01)),
    "conduction-angle": ((1.1, 0.9, 1.4), None, (0.7, 0.9, 1.4)),
    "plate-swing": ((0.85,), None, (1.05,)),
    "grid-current-against-the-model": ((1.2,), None, (2.6,)),
    "screen-current-against-the-model": ((0.8,), None, (0.3,)),
    "drive-power-against-the-driver": ((3.0, 0.5), (1.1, 0.5), (0.6, 0.5)),
    "grid-dissipation": ((0.4, 1.0), (0.95, 1.0), (1.3, 1.0)),
    "loss-of-drive": ((10.0, 25.0), (24.0, 25.0), (60.0, 25.0)),
    "peak-emission": ((0.03, 0.06), (0.058, 0.06), (0.09, 0.06)),
    "screen-dissipation-under-modulation": ((2.0, 2.0), (2.9, 2.0), (3.5, 2.0)),
    "efficiency-against-the-data-sheet": ((0.72, 0.75), None, (0.4, 0.75)),
    "idle-dissipation": ((10.0, 25.0), (24.0, 25.0), (40.0, 25.0)),
    "idle-dissipation-of-the-linear": ((200.0, 500.0), (480.0, 500.0), (600.0, 500.0)),
    "dissipation-with-two-tones": ((300.0, 500.0), (470.0, 500.0), (600.0, 500.0)),
    "class-B-theory": ((5200.0, 5000.0), None, (9000.0, 5000.0)),
    "carrier-in-a-linear-stage": ((200.0, 500.0, 1.0), (245.0, 500.0, 1.0), (400.0, 500.0, 1.0)),
    "screen-above-the-plate": ((150.0, 180.0), None, (20.0, 180.0)),
    "screen-cannot-run-alone": ((1.0,), None, (0.0,)),
    "loaded-Q": ((14.0,), (10.5,), (25.0,)),
    "load-presented": ((1180.0, 1160.0), (1420.0, 1160.0), (2000.0, 1160.0)),
    "tuning-capacitor-voltage": ((900.0, 2000.0), (1900.0, 2000.0), (2500.0, 2000.0)),
    "tuning-capacitor-voltage-off-tune": ((1100.0, 2000.0), (1900.0, 2000.0), (2500.0, 2000.0)),
    "loading-capacitor-voltage": ((250.0, 500.0), (470.0, 500.0), (600.0, 500.0)),
    "tuning-range": ((190e-12, 14e-12, 250e-12), (246e-12, 14e-12, 250e-12), (300e-12, 14e-12, 250e-12)),
    "tuning-as-set": ((190e-12, 191e-12), None, (240e-12, 191e-12)),
    "loading-range": ((900e-12, 45e-12, 1500e-12), (1480e-12, 45e-12, 1500e-12), (2000e-12, 45e-12, 1500e-12)),
    "loading-at-two-to-one": ((1.3e-9, 1.5e-9), (1.45e-9, 1.5e-9), (2e-9, 1.5e-9)),
    "second-harmonic": ((50.0, 43.0), (44.0, 43.0), (37.0, 43.0)),
    "third-harmonic": ((50.0, 43.0), (44.0, 43.0), (37.0, 43.0)),
    "coupling-of-the-link": ((0.30, 0.32), None, (0.5, 0.32)),
    "filter-loss": ((0.15,), (0.29,), (0.5,)),
    "SWR-into-the-filter": ((1.1,), (1.19,), (1.5,)),
    "filter-capacitor-voltage": ((250.0, 500.0), (470.0, 500.0), (600.0, 500.0)),
    "first-filter-coil-current": ((4.0, 6.0), (5.7, 6.0), (7.0, 6.0)),
    "second-filter-coil-current": ((4.0, 6.0), (5.7, 6.0), (7.0, 6.0)),
    "third-filter-coil-current": ((4.0, 6.0), (5.7, 6.0), (7.0, 6.0)),
    "fourth-filter-coil-current": ((4.0, 6.0), (5.7, 6.0), (7.0, 6.0)),
    "link-current": ((2.0, 4.0), (3.8, 4.0), (5.0, 4.0)),
    "resonance-in-reach": ((190e-12, 14e-12, 250e-12), (246e-12, 14e-12, 250e-12), (300e-12, 14e-12, 250e-12)),
    "filter-parts": ((0.05,), None, (0.4,)),
    "network-efficiency": ((0.94,), (0.91,), (0.80,)),
    "coil-current": ((3.0, 6.0), (5.7, 6.0), (7.0, 6.0)),
    "second-coil-current": ((3.0, 6.0), (5.7, 6.0), (7.0, 6.0)),
    "coil-warmth": ((40.0,), (55.0,), (80.0,)),
    "blocking-capacitor-reactance": ((0.01,), (0.045,), (0.2,)),
    "blocking-capacitor-current": ((1.0, 3.0), (2.8, 3.0), (4.0, 3.0)),
    "plate-choke-reactance": ((8.0,), (4.0,), (1.0,)),
    "plate-choke-current": ((0.2, 0.5), (0.48, 0.5), (0.6, 0.5)),
    "safety-choke-reactance": ((40.0,), (11.0,), (5.0,)),
    "coil-and-its-winding": ((2.6e-6, 2.63e-6), None, (4e-6, 2.63e-6)),
    "coil-self-resonance": ((60e6, 7e6), (8e6, 7e6), (6e6, 7e6)),
    "coil-Q-as-claimed": ((230.0, 400.0), None, (500.0, 400.0)),
    "air-flow": ((0.012, 0.00614), (0.0064, 0.00614), (0.005, 0.00614)),
    "air-temperature-rise": ((30.0, 50.0), (47.0, 50.0), (60.0, 50.0)),
    "air-interlock": ((1.0,), None, (0.0,)),
    "air-after-switching-off": ((180.0,), None, (30.0,)),
    "heater-winding-current": ((14.5, 20.0), (29.0, 30.0), (35.0, 30.0)),
    "heater-winding-voltage": ((6.3, 6.3), (6.6, 6.3), (7.0, 6.3)),
    "rectifier-winding-voltage": ((2.5, 2.5), (2.62, 2.5), (3.0, 2.5)),
    "filament-with-the-line-high": ((5.4, 5.0), (5.48, 5.0), (5.6, 5.0)),
    "plate-voltage-delay": ((200.0, 180.0), None, (30.0, 180.0)),
    "filament-choke-current": ((20.0, 30.0), (29.0, 30.0), (35.0, 30.0)),
    "rectifier-upright": ((1.0,), None, (0.0,)),
    "shunt-value": ((0.001,), None, (-0.05,)),
    "multiplier-value": ((-0.001,), None, (0.05,)),
    "accuracy-as-stated": ((0.018, 0.02), None, (0.025, 0.02)),
    "multiplier-voltage": ((350.0, 500.0), (480.0, 500.0), (554.0, 500.0)),
    "multiplier-power": ((0.245, 1.0), (0.48, 1.0), (0.7, 1.0)),
    "live-meter-on-the-panel": ((0.0, 55.0), None, (2500.0, 55.0)),
    "cord-current": ((4.0, 13.0), (12.5, 13.0), (17.0, 13.0)),
    "protective-earth-conductor": ((1.29e-3, 1.29e-3), None, (0.0, 1.29e-3)),
    "main-switch": ((4.0, 15.0), (14.0, 15.0), (17.0, 15.0)),
    "cord-and-fuse": ((5.0, 13.0), None, (20.0, 13.0)),
    "switch-and-fuse": ((5.0, 10.0), None, (20.0, 10.0)),
    "switch-current": ((3.0, 10.0), (9.5, 10.0), (12.0, 10.0)),
    "fuse-in-each-live-wire": ((2.0, 2.0), None, (1.0, 2.0)),
    "interlock": ((2.0,), None, (0.0,)),
    "interlock-current": ((0.1, 5.0), (4.8, 5.0), (6.3, 5.0)),
    "plate-voltmeter": ((12.0, 10.0, 1.0), None, (12.0, 10.0, 0.0)),
    "flashover-current": ((30.0, 40.0), (39.0, 40.0), (140.0, 40.0)),
    "glitch-resistor-power": ((15.0, 50.0), (24.0, 50.0), (40.0, 50.0)),
    "glitch-resistor-energy": ((207.0, 300.0), (280.0, 300.0), (320.0, 300.0)),
    "high-voltage-fuse": ((5000.0, 4433.0), None, (250.0, 4433.0)),
    "B-minus-with-its-meter-open": ((1.2, 55.0), (52.0, 55.0), (78.0, 55.0)),
    "B-minus-resistor": ((100.0,), None, (10e3,)),
    "B-minus-diodes": ((2.0,), None, (0.0,)),
    "return-of-its-own": ((1.0,), None, (0.0,)),
    "antenna-before-carrier": ((0.010,), (0.003,), (-0.010,)),
    "carrier-gone-before-antenna": ((0.010,), (0.003,), (-0.010,)),
    "changeover-before-drive": ((0.010,), (0.003,), (-0.010,)),
    "drive-gone-before-changeover": ((0.010,), (0.003,), (-0.010,)),
    "heaters-before-plate-voltage": ((60.0, 30.0), (32.0, 30.0), (10.0, 30.0)),
    "mercury-rectifiers-warmed-by-a-relay": ((45.0, 30.0), (31.0, 30.0), (0.0, 30.0)),
    "screen-without-plate-voltage": ((0.0,), (0.015,), (1.0,)),
    "plate-voltage-without-bias": ((0.0,), (0.08,), (1.0,)),
    "modulator-without-load": ((0.0,), (0.08,), (1.0,)),
    "air-with-the-heaters": ((0.0,), (1.5,), (60.0,)),
    "air-after-the-carrier": ((180.0,), None, (0.0,)),
    "plate-supply-off-before-heaters": ((0.0,), (1.5,), (60.0,)),
    "receiver-muted": ((0.0,), (0.0008,), (0.010,)),
    "interlocks-open-the-plate-supply": ((1.0,), None, (0.5,)),
    "interlocks-act-at-once": ((0.02,), (0.15,), (1.0,)),
    "relays-come-to-rest": ((0.0,), None, (1.0,)),
    "procedures-follow-the-switches": ((1.0,), None, (0.5,)),
    "contact-current": ((7.0, 25.0), (24.0, 25.0), (30.0, 25.0)),
    "contact-voltage": ((120.0, 250.0), None, (2500.0, 250.0)),
}  # fmt: skip
"""For each check, numbers that are within, close (None where it has no margin) and beyond."""


@pytest.mark.parametrize("title", TITLES)
def test_declaration_is_whole(title):
    made = CHECKS[title]
    assert made.rule, f"{title}: the docstring of its function says what it asks for"
    assert made.rule.endswith("."), f"{title}: the rule is one sentence"
    assert made.why.endswith("."), f"{title}: why is a sentence"
    assert made.remedy.endswith("."), f"{title}: remedy is a sentence"
    assert 0 <= made.margin < 1, f"{title}: the margin is a share of the limit"
    assert cite(made.source), f"{title}: its source cannot be cited"
    assert issubclass(made.of, Thing)


def test_ids_are_unique():
    functions = [made.function for made in CHECKS.values()]
    assert len(functions) == len(set(functions))
    declared = [
        name
        for module in discover.modules("builder.checks")
        for name, item in vars(module).items()
        if inspect.isfunction(item) and item.__module__ == module.__name__ and not name.startswith("_")
    ]
    assert len(declared) == len(CHECKS), "two checks have one title, or a public function of checks/ is not a check"


@pytest.mark.parametrize("title", TITLES)
def test_reaches_its_verdicts(title):
    assert title in EXAMPLES, f"the check {title}: add numbers for each verdict to EXAMPLES of this test"
    made = CHECKS[title]
    for numbers, verdict in zip(EXAMPLES[title], (Verdict.WITHIN, Verdict.CLOSE, Verdict.BEYOND), strict=True):
        if numbers is not None:
            assert made.function(*numbers).verdict(made.margin) is verdict, f"{title} on {numbers}"


@pytest.mark.parametrize("title", TITLES)
def test_close_is_tried_wherever_there_is_a_margin(title):
    assert (EXAMPLES[title][1] is None) == (CHECKS[title].margin == 0), f"{title}: give numbers that are close"


@pytest.mark.parametrize("title", sorted(set(TITLES) - {"discharge-stick", "plate-voltmeter"}))
def test_a_poor_meter_leaves_it_open(title):
    """At the limit, a reading that may be far off shows nothing either way."""
    made = CHECKS[title]
    good, bad = EXAMPLES[title][0], EXAMPLES[title][2]
    first = ufloat((good[0] + bad[0]) / 2, abs(good[0]) + abs(bad[0]))
    assert made.function(first, *good[1:]).verdict(made.margin) is Verdict.NOT_SHOWN


def test_examples_are_of_checks_that_exist():
    assert set(EXAMPLES) == set(TITLES)


def test_a_new_check_is_listed_and_made(small):
    """One function is enough: it is found, judged and cited."""

    @check("test of a check", of=RfPower, source="common-practice", why="It tests.", remedy="None.", margin=0.1)
    def output_is_modest(output_power: Watt) -> Judgement:
        """Output at most a kilowatt."""
        return at_most(output_power, 1000.0)

    try:
        found = [row for row in small.examine().findings if row.check.function is output_is_modest]
    finally:
        del CHECKS["test-of-a-check"]
    assert [(row.thing, row.verdict) for row in found] == [("stages.pa", Verdict.WITHIN)]
