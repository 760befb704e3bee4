"""The ladder solver against an independent program, itself and the books; and the formulas against the solver."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from builder.physics import filters, harmonics, matching, network_design, networks, ranges
from builder.physics.ladder import Element, Ladder

MHZ = 1e6
BRANCH = st.sampled_from(["series", "shunt"])
PART = st.tuples(BRANCH, st.sampled_from(["coil", "capacitor", "resistor"]), st.floats(-1, 1), st.floats(20, 500))
PARTS = st.lists(PART, min_size=1, max_size=7)
MIDDLE = {"coil": 3e-6, "capacitor": 200e-12, "resistor": 100.0}
FREQUENCY = np.array([1.8, 3.65, 7.1, 14.2, 28.4]) * MHZ
SVC_25 = (1500e-12, 6.58e-6, 3300e-12, 7.72e-6, 3300e-12, 6.58e-6, 1500e-12)
LPF_20 = (180e-12, 0.773e-6, 390e-12, 0.904e-6, 390e-12, 0.773e-6, 180e-12)


def ladder_of(parts, *, loss=True, reactive=False):
    return Ladder(
        tuple(
            Element(f"{branch} {kind}", MIDDLE[kind] * 10**size, q if loss else math.inf)
            for branch, kind, size, q in parts
            if not (reactive and kind == "resistor")
        )
    )


def filter_of(values):
    return Ladder(tuple(Element("series coil" if at % 2 else "shunt capacitor", v) for at, v in enumerate(values)))


def pi_by_total_q(plate_load, antenna_load, total_q, frequency):
    virtual = network_design.virtual_resistance(plate_load, antenna_load, total_q)
    plate_q, load_q = network_design.section_q(plate_load, virtual), network_design.section_q(antenna_load, virtual)
    return (
        network_design.end_capacitance(plate_load, plate_q, frequency),
        network_design.pi_coil(plate_load, plate_q, load_q, frequency),
        network_design.end_capacitance(antenna_load, load_q, frequency),
    )


def pi_by_input_q(plate_load, antenna_load, loaded_q, frequency):
    load_q = network_design.pi_load_q(plate_load, antenna_load, loaded_q)
    return (
        network_design.end_capacitance(plate_load, loaded_q, frequency),
        network_design.pi_coil(plate_load, loaded_q, load_q, frequency),
        network_design.end_capacitance(antenna_load, load_q, frequency),
    )


def loss_of(ladder, frequency, line=50.0):
    return -20 * np.log10(np.abs(ladder.scattering(frequency, line)[:, 1, 0]))


B01 = pi_by_total_q(2000.0, 50.0, 10.0, 7e6)


# An independent program.


def test_scattering_agrees_with_an_independent_program():
    skrf = pytest.importorskip("skrf")
    medium = skrf.media.DefinedGammaZ0(skrf.Frequency.from_f(FREQUENCY, unit="Hz"), z0=50)
    pick = np.random.default_rng(1952)
    for _case in range(200):
        parts = [
            (
                pick.choice(["series", "shunt"]),
                pick.choice([*MIDDLE]),
                pick.uniform(-1, 1),
                pick.uniform(20, 500),
            )
            for _part in range(pick.integers(1, 9))
        ]
        ladder = ladder_of(parts)
        other = medium.thru()
        for element in ladder.elements:
            other = other ** independent(medium, element)
        assert np.abs(ladder.scattering(FREQUENCY, 50.0) - other.s).max() < 1e-9


def independent(medium, element):
    """The same part from the other program's own lumped elements, loss as a resistor of its own."""
    angular = 2 * np.pi * FREQUENCY
    branch, kind = element.kind.split()
    if kind == "resistor":
        part = medium.resistor(element.value)
    elif kind == "coil":
        part = medium.inductor(element.value) ** medium.resistor(angular * element.value / element.q)
    else:
        part = medium.capacitor(element.value) ** medium.resistor(1 / (angular * element.value * element.q))
    return part if branch == "series" else medium.shunt(part ** medium.short())


def test_coupled_coils_agree_with_an_independent_program():
    """As the T of three coils that they are equivalent to."""
    skrf = pytest.importorskip("skrf")
    medium = skrf.media.DefinedGammaZ0(skrf.Frequency.from_f(FREQUENCY, unit="Hz"), z0=50)
    first, second, coupling = 5e-6, 0.6e-6, 0.3
    mutual = coupling * (first * second) ** 0.5
    other = (
        medium.inductor(first - mutual)
        ** medium.shunt(medium.inductor(mutual) ** medium.short())
        ** medium.inductor(second - mutual)
    )
    link = Ladder((Element("coupled coils", first, secondary=second, coupling=coupling),))
    assert np.abs(link.scattering(FREQUENCY, 50.0) - other.s).max() < 1e-9


FILTER = (270e-12, 560e-12, 270e-12, 0.0, 0.0, 1.15e-6, 1.15e-6, 0.0, 0.0)
"""A filter as built; its coils have a Q of 180."""


def independent_chain(skrf, carrier, parts):
    """Lossy parts one behind the other by the other program: branch, kind, size, Q."""
    medium = skrf.media.DefinedGammaZ0(skrf.Frequency.from_f([carrier], unit="Hz"), z0=50)
    angular = 2 * np.pi * carrier
    whole = medium.thru()
    for branch, kind, size, q in parts:
        coil = kind == "coil"
        part = medium.inductor(size) ** medium.resistor(angular * size / q) if coil else medium.capacitor(size)
        whole = whole ** (part if branch == "series" else medium.shunt(part ** medium.short()))
    return whole


def test_a_pi_with_its_filter_agrees_with_an_independent_program():
    """Load presented, efficiency and plate end by our chain of formulas; impedance and power by the other program."""
    skrf = pytest.importorskip("skrf")
    carrier, coil, coil_q, loading, filter_q = 7.29 * MHZ, 2.6e-6, 280.0, 990e-12, 180.0
    seen = filters.filter_input(*FILTER, filter_q, 50.0, carrier)
    parallel = networks.intermediate_load(*seen)
    left = networks.remaining_load_capacitor(loading, *seen, carrier)
    load_q = networks.end_q(parallel, left, carrier)
    loss = networks.coil_resistance(coil, coil_q, carrier)
    branch = (
        networks.pi_branch_resistance(parallel, load_q, loss),
        networks.pi_branch_reactance(coil, carrier, parallel, load_q),
    )
    through = networks.filter_efficiency(filters.filter_loss(*FILTER, filter_q, 50.0, carrier))
    efficiency = networks.joined_efficiency(networks.network_efficiency(branch[0], loss), through)
    other = independent_chain(
        skrf, carrier,
        [
            ("shunt", "capacitor", networks.tuning_needed(*branch, carrier), 0), ("series", "coil", coil, coil_q),
            ("shunt", "capacitor", loading, 0), ("shunt", "capacitor", FILTER[0], 0),
            ("series", "coil", FILTER[5], filter_q), ("shunt", "capacitor", FILTER[1], 0),
            ("series", "coil", FILTER[6], filter_q), ("shunt", "capacitor", FILTER[2], 0),
        ],
    )  # fmt: skip
    s11, s21 = other.s[0, 0, 0], other.s[0, 1, 0]
    assert 50 * (1 + s11) / (1 - s11) == pytest.approx(networks.load_presented(*branch), rel=1e-9)
    assert abs(s21) ** 2 / (1 - abs(s11) ** 2) == pytest.approx(efficiency, rel=1e-9)


# What holds for any ladder.


@given(PARTS)
def test_every_ladder_is_reciprocal(parts):
    ladder = ladder_of(parts)
    chain = ladder.chain(FREQUENCY)
    assert chain.shape == (5, 2, 2)
    size = np.abs(chain).max(axis=(1, 2)) ** 2
    assert np.all(np.abs(np.linalg.det(chain) - 1) <= 1e-9 * size)
    scattering = ladder.scattering(FREQUENCY, 50.0)
    assert np.allclose(scattering[:, 0, 1], scattering[:, 1, 0], rtol=0, atol=1e-9)


@given(PARTS)
def test_a_ladder_without_loss_loses_nothing(parts):
    ladder = ladder_of(parts, loss=False, reactive=True)
    scattering = ladder.scattering(FREQUENCY, 50.0)
    product = scattering @ scattering.conj().swapaxes(1, 2)
    assert np.allclose(product, np.eye(2), rtol=0, atol=1e-8)


@given(PARTS, st.floats(5, 500), st.floats(-300, 300))
def test_power_in_is_power_out_and_loss(parts, resistance, reactance):
    ladder = ladder_of(parts)
    found = ladder.driven(FREQUENCY, resistance + 1j * reactance, 0.5)
    lost = (found.branch_voltage * found.branch_current.conj()).real.sum(axis=0) / 2
    assert np.all(lost >= -1e-9 * found.input_power)
    assert found.input_power == pytest.approx(found.output_power + lost, rel=1e-6)
    assert ladder.efficiency(FREQUENCY, resistance + 1j * reactance) == pytest.approx(
        found.output_power / found.input_power, rel=1e-9
    )


@given(PARTS, st.floats(5, 500))
def test_voltage_over_current_at_the_source_is_the_input_impedance(parts, load):
    ladder = ladder_of(parts)
    found = ladder.driven(FREQUENCY, load, 0.2)
    assert found.voltage[0] / found.current[0] == pytest.approx(ladder.input_impedance(FREQUENCY, load), rel=1e-6)
    assert found.current[0] == pytest.approx(np.full(5, 0.2))
    assert found.voltage[-1] == pytest.approx(found.current[-1] * load)


def test_q_that_holds_at_one_frequency_grows_with_the_root():
    constant, skin = Element("series coil", 5e-6, 300.0), Element("series coil", 5e-6, 300.0, q_frequency=7e6)
    frequency = np.array([7e6, 28e6])
    quality = skin.impedance(frequency).imag / skin.impedance(frequency).real
    assert quality == pytest.approx([300, 600])
    assert skin.impedance(frequency).real[1] == pytest.approx(2 * skin.impedance(frequency).real[0])
    assert constant.impedance(frequency).imag / constant.impedance(frequency).real == pytest.approx([300, 300])


def test_a_ladder_driven_by_harmonics_takes_a_current_for_each():
    ladder = Ladder.pi(*B01)
    frequency = 7e6 * np.arange(1, 4)
    found = ladder.driven(frequency, 50.0, np.array([1.0, 0.7, 0.35]))
    single = ladder.driven(frequency, 50.0, 1.0)
    assert found.voltage[-1] == pytest.approx(single.voltage[-1] * [1.0, 0.7, 0.35])


# The books.


def test_pi_of_the_handbook_matches():
    """Independent checks F01 and F02: 2000 ohm, 316.23 ohm across, 6.826 and 1.785 at the harmonics."""
    ladder = Ladder.pi(*B01)
    assert ladder.input_impedance(7e6, 50.0)[0] == pytest.approx(2000.0, abs=0.05)
    across = np.abs(ladder.driven(7e6 * np.arange(1, 4), 50.0, 1.0).voltage[-1])
    assert across == pytest.approx([316.2278, 6.82569, 1.78460], rel=1e-5)


def test_pi_left_alone_with_twice_the_load():
    """Example D18: 1428.3 + j1049.5 ohm."""
    found = Ladder.pi(*B01).input_impedance(7e6, 100.0)[0]
    assert (found.real, found.imag) == pytest.approx((1428.26, 1049.47), abs=0.005)


@pytest.mark.parametrize(
    ("plate_load", "quality", "values"),
    [
        (1000, 10, (454.7, 5.408, 1830.2)), (1000, 15, (682.1, 3.664, 2918.8)), (1500, 12, (363.8, 6.566, 1780.6)),
        (2500, 12, (218.3, 10.489, 1253.6)), (3000, 15, (227.4, 10.058, 1512.7)), (4000, 10, (113.7, 18.932, 466.0)),
        (5000, 12, (109.1, 19.868, 610.1)), (5000, 15, (136.4, 16.22, 1020.9)),
    ],
)  # fmt: skip
def test_table_of_pi_networks_by_input_q(plate_load, quality, values):
    tuning, coil, load = pi_by_input_q(float(plate_load), 50.0, float(quality), 3.5e6)
    assert (tuning * 1e12, load * 1e12) == pytest.approx((values[0], values[2]), abs=0.0501)
    assert coil * 1e6 == pytest.approx(values[1], abs=0.000501)


@pytest.mark.parametrize(
    ("plate_load", "quality", "values"),
    [
        (1000, 10, (381.8, 6.361, 1459.2)), (1500, 15, (390.1, 6.143, 1940.3)), (2500, 10, (166.7, 13.379, 760.6)),
        (3000, 12, (166.5, 13.452, 922.2)), (4000, 12, (127.7, 17.165, 698.3)), (5000, 12, (104.0, 20.703, 512.7)),
    ],
)  # fmt: skip
def test_table_of_pi_networks_by_total_q(plate_load, quality, values):
    tuning, coil, load = pi_by_total_q(float(plate_load), 50.0, float(quality), 3.5e6)
    assert (tuning * 1e12, load * 1e12) == pytest.approx((values[0], values[2]), abs=0.0501)
    assert coil * 1e6 == pytest.approx(values[1], abs=0.000501)


@pytest.mark.parametrize(
    ("plate_load", "quality", "levels"),
    [
        (1500, 10, (35.5, 47.4, 55.3, 61.3)), (2000, 12, (37.1, 49.0, 56.9, 62.9)), (3000, 15, (38.9, 50.8)),
        (5000, 12, (34.2, 45.4, 53.0, 58.9)), (5000, 20, (41.3, 53.2, 61.1, 67.1)),
    ],
)  # fmt: skip
def test_table_of_harmonic_attenuation(plate_load, quality, levels):
    parts = pi_by_input_q(float(plate_load), 50.0, float(quality), 3.5e6)
    found = Ladder.pi(*parts).harmonic_attenuation(3.5e6, 50.0)
    assert found.shape == (10,)
    assert found[0] == 0
    assert found[1 : 1 + len(levels)] == pytest.approx(levels, abs=0.051)
    assert harmonics.pi_harmonic_attenuation(3, *parts, 50.0, 3.5e6) == pytest.approx(found[2])


def pi_l(plate_load, between, loaded_q, frequency):
    tuning, coil, load = pi_by_input_q(plate_load, between, loaded_q, frequency)
    quality = network_design.section_q(between, 50.0)
    section = network_design.end_capacitance(between, quality, frequency)
    output = network_design.section_coil(50.0, quality, frequency)
    return tuning, coil, network_design.pi_l_load_capacitor(load, section), output


def test_pi_l_of_the_collection():
    """Example B08, and its row of harmonic attenuation: 47.9, 63.8, 74.3, 82.3 dB."""
    parts = pi_l(2000.0, 300.0, 12.0, 3.5e6)
    scale = (1e12, 1e6, 1e12, 1e6)
    printed = (272.84, 10.384, 1029.4, 5.084)
    assert [part * size for part, size in zip(parts, scale, strict=True)] == pytest.approx(printed, rel=5e-5)
    ladder = Ladder.pi_l(*parts)
    assert ladder.input_impedance(3.5e6, 50.0)[0] == pytest.approx(2000.0, abs=1e-6)
    assert ladder.harmonic_attenuation(3.5e6, 50.0)[1:5] == pytest.approx((47.9, 63.8, 74.3, 82.3), abs=0.051)


def test_standard_value_filter_of_the_handbook():
    """Example B19, printed 3.0, 20.0 and 40.0 dB: within 0.05 dB; independent program 3.0351, 20.0184, 40.0287."""
    frequency = np.array([1.93, 2.35, 3.03]) * MHZ
    found = loss_of(filter_of(SVC_25), frequency)
    assert found == pytest.approx([3.0, 20.0, 40.0], abs=0.05)
    assert found == pytest.approx([3.0351, 20.0184, 40.0287], abs=5e-5)
    reflected = np.abs(filter_of(SVC_25).scattering(np.linspace(0.1, 1.68, 400) * MHZ, 50.0)[:, 0, 0]).max()
    assert (1 + reflected) / (1 - reflected) == pytest.approx(1.101, abs=0.0005)


def test_twenty_metre_filter():
    """Example B21: elements read, response worked out elsewhere."""
    found = loss_of(filter_of(LPF_20), np.array([16.409, 28.4, 42.6]) * MHZ)
    assert found == pytest.approx([3.0103, 47.32, 74.51], abs=0.006)


@pytest.mark.parametrize(("count", "ripple"), [(3, 0.01), (5, 0.1), (7, 0.1), (9, 0.5)])
def test_a_chebyshev_filter_has_its_ripple(count, ripple):
    ladder = Ladder.low_pass(network_design.chebyshev_prototype(count, ripple), 10e6, 50.0)
    assert loss_of(ladder, 10e6)[0] == pytest.approx(ripple, abs=1e-9)
    assert loss_of(ladder, np.linspace(0.1e6, 10e6, 2000)).max() <= ripple + 1e-9


def test_a_flat_filter_halves_the_power_at_its_edge():
    ladder = Ladder.low_pass(network_design.butterworth_prototype(7), 10e6, 50.0)
    assert loss_of(ladder, 10e6)[0] == pytest.approx(10 * math.log10(2), abs=1e-9)


@pytest.mark.parametrize("sections", [1, 2, 3])
@pytest.mark.parametrize("load", [50.0, 20 + 30j])
def test_a_half_wave_filter_repeats_its_load(sections, load):
    ladder = Ladder.half_wave(50.0, 7e6, sections)
    assert len(ladder.elements) == 4 * sections + 1
    assert ladder.input_impedance(7e6, load)[0] == pytest.approx(load)


def test_parallel_tank_choke_and_blocking_capacitor():
    """Examples B30 and B32."""
    assert network_design.end_capacitance(4000.0, 12.0, 3.6e6) * 1e12 == pytest.approx(132.63, abs=0.005)
    assert network_design.tank_inductance(4000.0, 12.0, 3.6e6) * 1e6 == pytest.approx(14.737, abs=0.0005)
    assert network_design.tank_loss(12.0, 300.0) == pytest.approx(0.04)
    choke = networks.coil_reactance(1.8189e-3, 3.5e6)
    assert networks.reactance_share(choke, 4000.0) == pytest.approx(10, rel=1e-4)
    block = networks.capacitor_reactance(227.36e-12, 3.5e6)
    assert networks.reactance_share(block, 4000.0) == pytest.approx(1 / 20, rel=1e-4)


def test_posting_on_a_tank_near_its_least_q():
    """Example B04: printed 125 pF, 13.3 uH, 500 pF, 1.6 A and 700 V; the collection allows 6 per cent."""
    tuning, coil, load = pi_by_input_q(5500.0, 20.0, 17.0, 3.9e6)
    load_q = networks.end_q(20.0, load, 3.9e6)
    current = networks.tank_coil_current(50.0, 1.0, networks.pi_branch_resistance(20.0, load_q, 0.0))
    assert (tuning * 1e12, coil * 1e6, load * 1e12) == pytest.approx((125, 13.3, 500), rel=0.06)
    assert current == pytest.approx(1.6, abs=0.05)
    assert networks.plate_swing(50.0, 1.0, 5500.0) == pytest.approx(741.62, abs=0.005)


def test_load_from_power_of_a_sweep_tube():
    """Example A05: 3700 ohm printed to two figures."""
    assert network_design.load_from_power(690.0, 65.0) == pytest.approx(3700, abs=50)
    assert network_design.load_from_power(850.0, 83.088) == pytest.approx(4347.8, abs=0.05)


# As built: step by step from the antenna, against the solver.

BUILT = st.tuples(
    st.floats(500, 6000),
    st.sampled_from([20.0, 50.0, 75.0, 300.0]),
    st.floats(1.2, 3),
    st.sampled_from([1.9, 7.1, 29.0]),
)


@given(BUILT, st.floats(80, 800), st.floats(1, 2000))
def test_steps_of_a_pi_network_agree_with_the_solver(built, coil_q, power):
    plate_load, antenna, over, megahertz = built
    frequency = megahertz * MHZ
    tuning, coil, load = pi_by_input_q(plate_load, antenna, over * max(plate_load / antenna, 2) ** 0.5, frequency)
    load_q = networks.end_q(antenna, load, frequency)
    loss = networks.coil_resistance(coil, coil_q, frequency)
    resistance = networks.pi_branch_resistance(antenna, load_q, loss)
    reactance = networks.pi_branch_reactance(coil, frequency, antenna, load_q)
    tuning = networks.tuning_needed(resistance, reactance, frequency)
    presented = networks.load_presented(resistance, reactance)
    efficiency = networks.network_efficiency(resistance, loss)
    ladder = Ladder.pi(tuning, coil, load, coil_q)
    assert ladder.input_impedance(frequency, antenna)[0] == pytest.approx(presented, rel=1e-9)
    assert ladder.efficiency(frequency, antenna)[0] == pytest.approx(efficiency, rel=1e-9)
    assert networks.end_q(presented, tuning, frequency) == pytest.approx(networks.loaded_q(resistance, reactance))
    voltage, current = ladder.stresses(frequency, antenna, power, 2.0)
    swing = networks.plate_swing(power, efficiency, presented)
    assert voltage[0] == pytest.approx(networks.tune_capacitor_voltage(swing, 2.0))
    assert voltage[2] == pytest.approx(networks.load_capacitor_voltage(power, antenna, 2.0))
    assert current[0] == pytest.approx(networks.capacitor_current(swing, tuning, frequency))
    assert current[1] == pytest.approx(networks.tank_coil_current(power, efficiency, resistance))
    assert current[2] == pytest.approx(networks.capacitor_current(voltage[2] / 2, load, frequency))


@given(st.floats(500, 6000), st.floats(100, 450), st.floats(8, 20), st.floats(80, 800))
def test_steps_of_a_pi_l_network_agree_with_the_solver(plate_load, between, quality, coil_q):
    assume(quality**2 + 1 > 1.1 * plate_load / between)
    frequency, antenna = 7.1e6, 50.0
    _tuning, coil, load, output = pi_l(plate_load, between, quality, frequency)
    ends = antenna + networks.coil_resistance(output, coil_q, frequency)
    behind = networks.coil_reactance(output, frequency)
    seen = networks.intermediate_load(ends, behind)
    load_q = networks.end_q(seen, networks.remaining_load_capacitor(load, ends, behind, frequency), frequency)
    loss = networks.coil_resistance(coil, coil_q, frequency)
    resistance = networks.pi_branch_resistance(seen, load_q, loss)
    reactance = networks.pi_branch_reactance(coil, frequency, seen, load_q)
    tuning = networks.tuning_needed(resistance, reactance, frequency)
    ladder = Ladder.pi_l(tuning, coil, load, output, coil_q)
    presented = networks.load_presented(resistance, reactance)
    assert ladder.input_impedance(frequency, antenna)[0] == pytest.approx(presented, rel=1e-9)
    through = networks.output_coil_efficiency(antenna, ends - antenna) * networks.network_efficiency(resistance, loss)
    assert ladder.efficiency(frequency, antenna)[0] == pytest.approx(through, rel=1e-9)
    voltage, current = ladder.stresses(frequency, antenna, 100.0, 1.0)
    assert voltage[2] == pytest.approx(networks.load_capacitor_voltage(100.0 * ends / antenna, seen, 1.0))
    assert current[1] == pytest.approx(networks.tank_coil_current(100.0, through, resistance))


@given(st.floats(0.1, 0.9), st.floats(0, 0.7), st.floats(80, 800))
def test_steps_of_a_linked_tank_agree_with_the_solver(coupling, link_size, coil_q):
    frequency, antenna, coil, link = 7.1e6, 50.0, 8e-6, 1e-7 + link_size * 1e-6
    mutual = networks.link_mutual(coil, link, coupling, frequency)
    loss = networks.coil_resistance(coil, coil_q, frequency)
    ends = antenna + networks.coil_resistance(link, coil_q, frequency)
    reactance = networks.coil_reactance(link, frequency)
    branch = networks.link_branch_resistance(mutual, ends, reactance, loss)
    series = networks.link_branch_reactance(mutual, ends, reactance, networks.coil_reactance(coil, frequency))
    tuning = networks.tuning_needed(branch, series, frequency)
    ladder = Ladder.linked_tank(tuning, coil, link, coupling, coil_q)
    presented = networks.load_presented(branch, series)
    assert ladder.input_impedance(frequency, antenna)[0] == pytest.approx(presented, rel=1e-9)
    through = networks.network_efficiency(branch, loss) * networks.output_coil_efficiency(antenna, ends - antenna)
    assert ladder.efficiency(frequency, antenna)[0] == pytest.approx(through, rel=1e-9)


def test_an_l_section_matches():
    quality = network_design.section_q(500.0, 50.0)
    parts = network_design.end_capacitance(500.0, quality, 100e6), network_design.section_coil(50.0, quality, 100e6)
    assert Ladder.l_section(*parts).input_impedance(100e6, 50.0)[0] == pytest.approx(500.0)


def test_current_in_the_blocking_capacitor():
    """Tube with its capacitance, blocking capacitor of no reactance, network: the solver's current between them."""
    output_capacitance = 25e-12
    tube = Element("shunt capacitor", output_capacitance)
    block = Element("series capacitor", 1.0)
    tuned = Ladder.pi(B01[0] - output_capacitance, *B01[1:])
    _voltage, current = Ladder((tube, block, *tuned.elements)).stresses(7e6, 50.0, 100.0, 1.0)
    swing = networks.plate_swing(100.0, 1.0, 2000.0)
    assert networks.blocking_current(swing, 2000.0, output_capacitance, 7e6) == pytest.approx(current[1])
    assert networks.tuning_capacitance(B01[0] - output_capacitance, output_capacitance) == pytest.approx(B01[0])
    choke = networks.coil_reactance(1e-3, 7e6)
    assert networks.choke_current(swing, choke) == pytest.approx(swing / choke / math.sqrt(2))
    assert networks.tune_capacitor_voltage_series_feed(1000.0, 900.0, 2.0) == 3800.0


# Settings and range.


@given(st.floats(500, 6000), st.floats(8, 20), st.floats(100, 1000), st.floats(1, 3), st.floats(0.9, 1.1))
def test_settings_match_every_load_of_the_circle_or_say_that_they_cannot(plate_load, quality, coil_q, ratio, shift):
    assume(quality**2 + 1 > 1.1 * plate_load / 50)
    _tuning, coil, _load = pi_by_input_q(plate_load, 50.0, quality, 7.1e6)
    frequency = 7.1e6 * shift
    resistance, reactance = matching.mismatched_loads(50.0, ratio, 24)
    tuning, load = matching.pi_settings(frequency, coil, coil_q, plate_load, resistance, reactance)
    assert tuning.shape == load.shape == (24,)
    for at in np.flatnonzero(np.isfinite(tuning) & (load > 0) & (tuning > 0)):
        ladder = Ladder.pi(tuning[at], coil, load[at], coil_q)
        found = ladder.input_impedance(frequency, resistance[at] + 1j * reactance[at])[0]
        assert found == pytest.approx(plate_load, rel=1e-6)


def test_settings_of_the_handbook_pi_come_back():
    found = matching.pi_settings(7e6, B01[1], math.inf, 2000.0, 50.0, 0.0)
    assert tuple(map(float, found)) == pytest.approx((B01[0], B01[2]))
    assert matching.pi_tuning_setting(7e6, B01[1], math.inf, 2000.0, 50.0) == pytest.approx(B01[0])
    assert matching.pi_load_setting(7e6, B01[1], math.inf, 2000.0, 50.0) == pytest.approx(B01[2])


def test_settings_are_not_a_number_where_the_coil_is_too_large():
    found = matching.pi_settings(7e6, 10e-6, 300.0, 2000.0, 50.0, 0.0)
    assert np.isnan(found.load)
    assert np.isnan(found.tuning)


def test_loads_of_a_circle_have_its_ratio():
    """With example D07: 400 + j250 ohm on 600 ohm has 0.3106 and 1.901."""
    resistance, reactance = matching.mismatched_loads(600.0, 1.90106, 360)
    load = resistance + 1j * reactance
    assert np.abs((load - 600) / (load + 600)) == pytest.approx(np.full(360, 0.310597), abs=1e-5)
    assert np.abs(load - (400 + 250j)).min() < 6
    assert (resistance.max(), resistance.min()) == pytest.approx((600 * 1.90106, 600 / 1.90106))


NO_FILTER = (0.0,) * 9


def test_tuning_range_is_where_the_settings_meet_their_limits():
    limits = (30e-12, 250e-12, 100e-12, 1500e-12)
    found = ranges.pi_range(7e6, B01[1], 0.0, 2000.0, 50.0, *limits, *NO_FILTER)
    low = matching.pi_settings(found.lowest, B01[1], math.inf, 2000.0, 50.0, 0.0)
    high = matching.pi_settings(found.highest, B01[1], math.inf, 2000.0, 50.0, 0.0)
    assert max(float(low.tuning) / limits[1], float(low.load) / limits[3]) == pytest.approx(1, rel=1e-4)
    assert min(float(high.tuning) / limits[0], float(high.load) / limits[2]) >= 1 - 1e-4
    assert found.lowest < 7e6 < found.highest


def test_there_is_no_range_where_the_capacitors_are_too_small():
    with pytest.raises(ValueError, match="no frequency"):
        ranges.pi_range(7e6, B01[1], 0.0, 2000.0, 50.0, 5e-12, 6e-12, 5e-12, 6e-12, *NO_FILTER)


def test_the_range_of_a_tank_that_misses_its_carrier_is_told_all_the_same():
    limits = (30e-12, 250e-12, 100e-12, 1500e-12)
    here = ranges.pi_range(7e6, B01[1], 0.0, 2000.0, 50.0, *limits, *NO_FILTER)
    off = ranges.pi_range(14e6, B01[1], 0.0, 2000.0, 50.0, *limits, *NO_FILTER)
    assert off == pytest.approx(here, rel=1e-9)
