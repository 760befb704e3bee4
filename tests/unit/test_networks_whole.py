"""Settings round the circle, harmonics and filters, held against the ladder that stands for the real network."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from builder.physics import filters, harmonics, matching, networks, pulse, ranges
from builder.physics.ladder import Ladder

MHZ = 1e6
HERON = (7.29 * MHZ, 2.6e-6, 230.0, 1180.0, 50.0)
KESTREL = (3.79 * MHZ, 9.8e-6, 250.0, 2200.0, 50.0)

NO_FILTER = (0.0,) * 9
FILTER = ((390e-12, 680e-12, 390e-12), (1.2e-6, 1.2e-6))
"""Capacitors and coils of a filter as built."""


def slots(capacitors, coils):
    return (*capacitors, *(0.0,) * (5 - len(capacitors)), *coils, *(0.0,) * (4 - len(coils)))


def designed(*design):
    return (*filters.filter_design_capacitors(*design, 50.0), *filters.filter_design_coils(*design, 50.0))


def presented(settings, inputs, output_coil, load):
    frequency, coil, coil_q, _plate, _antenna = inputs
    ladder = Ladder.output_network(settings.tuning, coil, settings.load, output_coil, coil_q)
    return complex(ladder.input_impedance(frequency, load)[0])


@pytest.mark.parametrize(("inputs", "output_coil"), [(HERON, 0.0), (KESTREL, 4.7e-6)])
def test_settings_for_a_match_match(inputs, output_coil):
    found = matching.settings_for_match(*inputs, output_coil)
    assert presented(found, inputs, output_coil, inputs[4]) == pytest.approx(inputs[3], rel=1e-9)


@pytest.mark.parametrize(("inputs", "output_coil"), [(HERON, 0.0), (KESTREL, 4.7e-6)])
def test_the_circle_holds_the_settings_of_every_load_on_it(inputs, output_coil):
    frequency, coil, coil_q, plate, antenna = inputs
    found = matching.settings_on_circle(*inputs, output_coil, 2.0)
    loads = matching.mismatched_loads(antenna, 2.0, 12)
    seen = matching.behind_output_coil(frequency, coil_q, output_coil, *loads)
    each = matching.pi_settings(frequency, coil, coil_q, plate, *seen)
    assert (each.tuning >= found.tuning_least - 1e-18).all()
    assert (each.tuning <= found.tuning_most + 1e-18).all()
    assert (each.load >= found.load_least - 1e-18).all()
    assert (each.load <= found.load_most + 1e-18).all()
    middle = matching.settings_for_match(*inputs, output_coil)
    assert found.tuning_least < middle.tuning < found.tuning_most
    assert found.load_least < middle.load < found.load_most


@given(st.floats(1.0, 3.0), st.sampled_from([0.0, 2e-6, 4.7e-6]))
def test_the_highest_resistance_is_that_of_some_load(ratio, output_coil):
    found = matching.load_end_resistance(3.79 * MHZ, 250.0, 50.0, output_coil, ratio)
    plain = matching.load_end_resistance(3.79 * MHZ, 250.0, 50.0, output_coil, 1.0)
    assert found >= plain * (1 - 1e-12)
    if not output_coil:
        assert found == pytest.approx(50 * ratio)


@given(st.floats(8, 16), st.floats(800, 4000))
def test_chain_of_formulas_is_the_ladder(q, plate_load):
    """From the antenna back to the tube by one-line formulas, as the sheet of a network does it, and at once."""
    frequency, coil_q = 7.2 * MHZ, 220.0
    coil = plate_load / q / (2 * math.pi * frequency) * 1.15
    loading = q / (2 * math.pi * frequency * plate_load) * 4
    loss = networks.coil_resistance(coil, coil_q, frequency)
    load_q = networks.end_q(50.0, loading, frequency)
    resistance = networks.pi_branch_resistance(50.0, load_q, loss)
    reactance = networks.pi_branch_reactance(coil, frequency, 50.0, load_q)
    assume(reactance > 0)
    tuning = networks.tuning_needed(resistance, reactance, frequency)
    ladder = Ladder.output_network(tuning, coil, loading, coil_q=coil_q)
    seen = complex(ladder.input_impedance(frequency, 50.0)[0])
    assert seen == pytest.approx(networks.load_presented(resistance, reactance), rel=1e-9)
    efficiency = float(ladder.efficiency(frequency, 50.0)[0])
    assert efficiency == pytest.approx(networks.network_efficiency(resistance, loss), rel=1e-9)
    voltages, currents = ladder.stresses(frequency, 50.0, 100.0, 1.0)
    swing = networks.plate_swing(100.0, efficiency, networks.load_presented(resistance, reactance))
    assert voltages[0] == pytest.approx(swing, rel=1e-9)
    assert voltages[2] == pytest.approx(networks.load_swing(100.0, 50.0), rel=1e-9)
    assert currents[1] == pytest.approx(networks.tank_coil_current(100.0, efficiency, resistance), rel=1e-9)


def test_parts_of_no_size_are_left_out():
    assert len(Ladder.output_network(1e-10, 1e-6).elements) == 2
    assert len(Ladder.output_network(1e-10, 1e-6, 1e-9).elements) == 3
    assert len(Ladder.output_network(1e-10, 1e-6, 1e-9, 1e-6).elements) == 4


@pytest.mark.parametrize(
    ("count", "ripple", "elements"), [(0, 0.0, 0), (5, 0.0, 5), (9, 0.0, 9), (5, 0.1, 5), (7, 0.2, 7)]
)
def test_filters_have_as_many_elements_as_they_are_asked_for(count, ripple, elements):
    assert len(Ladder.low_pass_filter(count, ripple, 8 * MHZ, 50.0).elements) == elements


def test_a_half_wave_filter_is_not_there_on_its_frequency():
    found = Ladder.low_pass_filter(5, 0.0, 7.2 * MHZ, 50.0)
    assert complex(found.input_impedance(7.2 * MHZ, 50.0)[0]) == pytest.approx(50.0)


def test_a_chebyshev_filter_keeps_its_ripple():
    found = Ladder.low_pass_filter(5, 0.1, 9 * MHZ, 50.0)
    loss = -20 * np.log10(np.abs(found.scattering(np.linspace(1, 9, 200) * MHZ, 50.0)[:, 1, 0]))
    assert loss.max() == pytest.approx(0.1, abs=1e-3)
    assert loss.min() >= -1e-12


def test_a_filter_helps_and_no_more_is_told_than_strays_allow():
    pi = (215e-12, 2.6e-6, 990e-12, 0.0, 230.0, 50.0, 7.29 * MHZ)
    plain = harmonics.pi_harmonics(*pi, *NO_FILTER)
    helped = harmonics.pi_harmonics(*pi, *designed(5, 0.1, 9 * MHZ))
    assert helped.second > plain.second + 20
    assert max(helped) == harmonics.MOST_TOLD
    assert list(plain) == sorted(plain)


def test_a_second_coil_weakens_harmonics():
    pi = harmonics.pi_harmonics(240e-12, 9.8e-6, 985e-12, 0.0, 250.0, 300.0, 3.79 * MHZ, *NO_FILTER)
    pi_l = harmonics.pi_harmonics(240e-12, 9.8e-6, 985e-12, 4.7e-6, 250.0, 50.0, 3.79 * MHZ, *NO_FILTER)
    assert pi_l.second > pi.second + 5


def test_a_filter_of_its_design_parts_is_the_design():
    found = Ladder.of_parts(*(designed(5, 0.1, 9 * MHZ)[part] for part in (slice(5), slice(5, None))))
    assert found == Ladder.low_pass_filter(5, 0.1, 9 * MHZ, 50.0)
    assert filters.filter_departure(*designed(5, 0.1, 9 * MHZ), 5, 0.1, 9 * MHZ, 50.0) == pytest.approx(0.0)


def test_a_filter_departs_by_its_worst_part():
    parts = list(designed(5, 0.1, 9 * MHZ))
    parts[1] *= 0.9
    parts[5] *= 1.04
    assert filters.filter_departure(*parts, 5, 0.1, 9 * MHZ, 50.0) == pytest.approx(0.1)
    with pytest.raises(ValueError, match="other parts"):
        filters.filter_departure(*parts, 7, 0.1, 9 * MHZ, 50.0)


def test_loss_of_a_filter_is_the_heat_of_its_coils():
    """Loss against current squared times resistance of each coil, from the currents that the ladder tells."""
    parts = slots(*FILTER)
    carrier = 7.29 * MHZ
    currents = filters.filter_strain(*parts, 150.0, 50.0, carrier, 100.0, 1.0, 1.0)[5:]
    heat = sum(
        current**2 * 2 * math.pi * carrier * coil / 150.0 for current, coil in zip(currents, FILTER[1], strict=False)
    )
    assert filters.filter_loss(*parts, 150.0, 50.0, carrier) == pytest.approx(10 * math.log10(1 + heat / 100.0))


def test_input_and_ratio_of_a_filter_agree_with_its_scattering():
    parts = slots(*FILTER)
    seen = filters.filter_input(*parts, 150.0, 50.0, 7.29 * MHZ)
    reflection = abs(Ladder.of_parts(*FILTER, 150.0).scattering(7.29 * MHZ, 50.0)[0, 0, 0])
    assert filters.filter_swr(*seen, 50.0) == pytest.approx((1 + reflection) / (1 - reflection))


def test_the_last_capacitor_has_the_voltage_of_the_worst_load():
    """Of equal power the highest resistance has the highest voltage: 100 ohm, 100 W, and twice that at the crest."""
    parts = slots(*FILTER)
    found = filters.filter_strain(*parts, 150.0, 50.0, 7.29 * MHZ, 100.0, 2.0, 2.0)
    assert found.third_voltage == pytest.approx(2 * math.sqrt(2 * 100.0 * 100.0))
    assert found.fourth_voltage == found.fifth_voltage == 0.0
    matched = filters.filter_strain(*parts, 150.0, 50.0, 7.29 * MHZ, 100.0, 1.0, 1.0)
    assert matched.third_voltage == pytest.approx(100.0)
    assert filters.filter_voltage(*found[:5]) == max(found[:5])


def test_a_filter_may_begin_with_a_coil():
    parts = slots((0.0, 700e-12), (1.2e-6, 1.2e-6))
    found = filters.filter_strain(*parts, 150.0, 50.0, 7.29 * MHZ, 100.0, 1.0, 1.0)
    assert found.first_voltage == 0.0
    assert found.second_voltage > 0.0


LINKED = (7.2 * MHZ, 3e-6, 1.0e-6)


@pytest.mark.parametrize("coupling", [0.35, 0.45, 0.55])
def test_settings_of_a_link_match(coupling):
    found = matching.link_settings_for_match(*LINKED, coupling, 250.0, 1500.0, 50.0)
    ladder = Ladder.linked_tank(found.tuning, *LINKED[1:], coupling, 250.0, found.load)
    assert complex(ladder.input_impedance(LINKED[0], 50.0)[0]) == pytest.approx(1500.0, rel=1e-9)


@pytest.mark.parametrize("capacitor", [0.0, 400e-12, 1000e-12])
def test_the_coupling_that_is_found_gives_the_load(capacitor):
    angular = 2 * math.pi * LINKED[0]
    reactance = angular * LINKED[2] - (1 / (angular * capacitor) if capacitor else 0.0)
    resistance = 50.0 + angular * LINKED[2] / 250.0
    coupling = matching.link_coupling_for_match(*LINKED, 250.0, 1500.0, resistance, reactance)
    mutual = networks.link_mutual(*LINKED[1:], coupling, LINKED[0])
    branch = (
        networks.link_branch_resistance(mutual, resistance, reactance, angular * LINKED[1] / 250.0),
        networks.link_branch_reactance(mutual, resistance, reactance, angular * LINKED[1]),
    )
    tuning = networks.tuning_needed(*branch, LINKED[0])
    ladder = Ladder.linked_tank(tuning, *LINKED[1:], coupling, 250.0, capacitor)
    assert complex(ladder.input_impedance(LINKED[0], 50.0)[0]) == pytest.approx(1500.0, rel=1e-9)


LINK = (3e-6, 1.2e-6, 0.45, 250.0, 1500.0)
"""Tank coil, link, coupling, Q and the load that the tubes ask for."""


def test_settings_of_a_link_match_every_load_round_the_circle():
    resistance, reactance = matching.mismatched_loads(50.0, 2.0, 24)
    loads = np.append(50.0, resistance + 1j * reactance)
    found = matching.link_settings(7.2 * MHZ, *LINK, loads.real, loads.imag)
    for tuning, capacitor, load in zip(found.tuning, found.load, loads, strict=True):
        ladder = Ladder.linked_tank(tuning, *LINK[:4], capacitor)
        assert complex(ladder.input_impedance(7.2 * MHZ, load)[0]) == pytest.approx(1500.0, rel=1e-9)
    ends = matching.link_settings_on_circle(7.2 * MHZ, *LINK, 50.0, 2.0)
    assert ends.tuning_least <= found.tuning.min() < found.tuning[0] < found.tuning.max() <= ends.tuning_most
    assert ends.load_least <= found.load.min() < found.load[0] < found.load.max() <= ends.load_most


def test_a_link_that_cannot_match_the_circle_says_so():
    with pytest.raises(ValueError, match="every load"):
        matching.link_settings_on_circle(7.2 * MHZ, 3e-6, 0.8e-6, 0.3, 250.0, 1500.0, 50.0, 3.0)


@pytest.mark.parametrize(("inputs", "output_coil"), [(HERON, 0.0), (HERON, 0.8e-6)])
def test_settings_behind_a_filter_match_through_it(inputs, output_coil):
    frequency, coil, coil_q, plate, antenna = inputs
    parts = slots(*FILTER)
    found = filters.pi_circle_behind_filter(*parts, 150.0, *inputs[:4], output_coil, antenna, 1.0)
    behind = Ladder.of_parts(*FILTER, 150.0)
    whole = Ladder.output_network(found.tuning_least, coil, found.load_least, output_coil, coil_q).followed_by(behind)
    assert complex(whole.input_impedance(frequency, antenna)[0]) == pytest.approx(plate, rel=1e-9)
    swing = whole.stresses(frequency, antenna, 100.0, 1.0)[0][2]
    assert networks.load_swing(100.0, found.load_resistance) == pytest.approx(swing, rel=1e-9)
    ring = filters.pi_circle_behind_filter(*parts, 150.0, *inputs[:4], output_coil, antenna, 2.0)
    assert ring.load_least < found.load_least < ring.load_most
    assert ring.load_resistance > 1.5 * found.load_resistance


def test_the_first_filter_capacitor_has_the_voltage_of_the_loading_capacitor():
    """They lie side by side, so both ways of reckoning the worst of 2 to 1 must agree."""
    parts = slots(*FILTER)
    ring = filters.pi_circle_behind_filter(*parts, 150.0, *HERON[:4], 0.0, 50.0, 2.0)
    strain = filters.filter_strain(*parts, 150.0, 50.0, HERON[0], 79.0, 2.0, 2.0)
    assert networks.load_capacitor_voltage(79.0, ring.load_resistance, 2.0) == pytest.approx(strain.first_voltage)


def test_a_link_behind_a_filter_matches_through_it():
    parts = slots(*FILTER)
    found = filters.link_circle_behind_filter(*parts, 150.0, 7.2 * MHZ, *LINK, 50.0, 1.0)
    behind = Ladder.of_parts(*FILTER, 150.0)
    whole = Ladder.linked_tank(found.tuning_least, *LINK[:4], found.load_least).followed_by(behind)
    assert complex(whole.input_impedance(7.2 * MHZ, 50.0)[0]) == pytest.approx(1500.0, rel=1e-9)
    current = whole.stresses(7.2 * MHZ, 50.0, 100.0, 1.0)[1][2]
    assert networks.output_coil_current(100.0, found.load_resistance) == pytest.approx(current, rel=1e-9)


JUST_OUTSIDE = 1e-6


@pytest.mark.parametrize("parts", [NO_FILTER, slots(*FILTER)], ids=["plain", "filtered"])
@pytest.mark.parametrize("output_coil", [0.0, 0.8e-6])
def test_at_the_ends_of_its_range_a_capacitor_comes_to_its_stop(parts, output_coil):
    """By the ladder: matched at either end with settings inside, and no setting inside just beyond."""
    limits = (39e-12, 275e-12, 45e-12, 1500e-12)
    found = ranges.pi_range(7.29 * MHZ, 2.6e-6, output_coil, 1180.0, 50.0, *limits, *parts)
    behind = Ladder.of_parts(parts[:5], parts[5:])
    assert found.lowest < 7.29 * MHZ < found.highest

    def stands(frequency):
        seen = behind.input_impedance(frequency, 50.0)[0]
        load = matching.behind_output_coil(frequency, math.inf, output_coil, seen.real, seen.imag)
        tuning, loading = matching.pi_settings(frequency, 2.6e-6, math.inf, 1180.0, *load)
        return limits[0] <= tuning <= limits[1] and limits[2] <= loading <= limits[3]

    for end, way in ((found.lowest, -JUST_OUTSIDE), (found.highest, JUST_OUTSIDE)):
        assert stands(end)
        assert not stands(end * (1 + way))


@pytest.mark.parametrize("parts", [NO_FILTER, slots(*FILTER)], ids=["plain", "filtered"])
def test_the_range_of_a_link_ends_where_no_setting_is_left(parts):
    limits = (60e-12, 275e-12, 45e-12, 1500e-12)
    found = ranges.link_range(7.29 * MHZ, 2.6e-6, 1.2e-6, 0.45, 1200.0, 50.0, *limits, *parts)
    behind = Ladder.of_parts(parts[:5], parts[5:])
    assert found.lowest < 7.29 * MHZ < found.highest
    for end in found:
        seen = behind.input_impedance(end, 50.0)[0]
        link = matching.link_settings(end, 2.6e-6, 1.2e-6, 0.45, math.inf, 1200.0, seen.real, seen.imag)
        tank = Ladder.linked_tank(float(link.tuning), 2.6e-6, 1.2e-6, 0.45, link_capacitor=float(link.load))
        assert complex(tank.input_impedance(end, seen)[0]) == pytest.approx(1200.0, rel=1e-6)
        assert limits[0] * (1 - 1e-9) <= link.tuning <= limits[1] * (1 + 1e-9)
    wider = ranges.link_range(7.29 * MHZ, 2.6e-6, 1.2e-6, 0.45, 1200.0, 50.0, 60e-12, 400e-12, *limits[2:], *parts)
    assert wider.lowest < found.lowest


@pytest.mark.parametrize("parts", [NO_FILTER, slots(*FILTER)], ids=["plain", "filtered"])
def test_tanks_with_one_capacitor_resonate_at_the_ends_of_their_range(parts):
    """By the ladder: with the capacitor at its stop the impedance at the end of the range has no reactance."""
    behind = Ladder.of_parts(parts[:5], parts[5:])
    stops = (60e-12, 250e-12)
    linked = ranges.fixed_link_range(7.29 * MHZ, 2.6e-6, 0.4e-6, 0.3, 50.0, *stops, *parts)
    plain = ranges.l_range(7.29 * MHZ, 2.6e-6, 50.0, *stops, *parts)
    for end, capacitor in zip(linked, reversed(stops), strict=True):
        tank = Ladder.linked_tank(capacitor, 2.6e-6, 0.4e-6, 0.3).followed_by(behind)
        seen = complex(tank.input_impedance(end, 50.0)[0])
        assert abs(seen.imag) < 1e-6 * abs(seen)
    low = Ladder.l_section(stops[1], 2.6e-6).followed_by(behind)
    seen = complex(low.input_impedance(plain.lowest, 50.0)[0])
    assert abs(seen.imag) < 1e-6 * abs(seen)
    assert plain.lowest < 7.29 * MHZ < plain.highest


@pytest.mark.parametrize(("degrees", "second", "third"), [(70, 1.203 / 1.772, 0.563 / 1.772), (90, 0.521, 0.1112)])
def test_a_pulse_puts_its_harmonics_lower_than_equal_currents(degrees, second, third):
    """Ratios of the table of tests/unit/test_pulse.py for the 3/2 law, printed to four digits."""
    half = math.radians(degrees)
    for share, wanted in (
        (pulse.second_current_share(half, 1.5), second), (pulse.third_current_share(half, 1.5), third),
    ):  # fmt: skip
        assert share == pytest.approx(wanted, rel=5e-3)
        assert harmonics.of_the_pulse(40.0, share) == pytest.approx(40 - 20 * math.log10(wanted), abs=0.05)


def test_a_link_that_cannot_is_told():
    with pytest.raises(ValueError, match="too loosely"):
        matching.link_settings_for_match(7.2 * MHZ, 3e-6, 0.1e-6, 0.1, 250.0, 1500.0, 50.0)
    with pytest.raises(ValueError, match="too little reactance"):
        matching.link_settings_for_match(7 * MHZ, 2.57e-6, 0.073e-6, 0.98, 17.0, 947.0, 50.0)
    with pytest.raises(ValueError, match="too small"):
        matching.link_coupling_for_match(7.2 * MHZ, 3e-6, 0.02e-6, 250.0, 1000.0, 50.0, 0.0)
