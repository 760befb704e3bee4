"""Networks as built, formula by formula: from the antenna back to the tube, and the stresses on the way."""

from __future__ import annotations

from math import pi

from .units import Ampere, Count, Decibel, Farad, Henry, Hertz, Ohm, Ratio, Volt, Watt

# Reactances and sums.


def coil_reactance(inductance: Henry, carrier_frequency: Hertz) -> Ohm:
    """Reactance of a coil well below its own resonance.

    Args:
        inductance: of a coil or choke.
        carrier_frequency: at which; scalar or array.

    Source: elementary, reactance of an inductance
    """
    return 2 * pi * carrier_frequency * inductance


def capacitor_reactance(capacitance: Farad, carrier_frequency: Hertz) -> Ohm:
    """Size of the reactance of a capacitor.

    Args:
        capacitance: above zero.
        carrier_frequency: at which; scalar or array.

    Source: elementary, reactance of a capacitance
    """
    return 1 / (2 * pi * carrier_frequency * capacitance)


def reactance_share(reactance: Ohm, load: Ohm) -> Ratio:
    """Reactance of a choke or blocking capacitor over the load that it stands beside.

    Args:
        reactance: of the part.
        load: plate load, or the antenna for a safety choke.

    Source: choke-practice, choke 10 or more, blocking capacitor a tenth or less
    """
    return reactance / load


def tuning_capacitance(tune_capacitor: Farad, output_capacitance: Farad) -> Farad:
    """Everything across the plate end of a tank.

    Args:
        tune_capacitor: as set, strays included.
        output_capacitance: of the tubes.

    Source: elementary, capacitors in parallel
    """
    return tune_capacitor + output_capacitance


def tubes_capacitance(output_capacitance_each: Farad, tubes_count: Count) -> Farad:
    """Output capacitance of tubes in parallel.

    Args:
        output_capacitance_each: of one tube.
        tubes_count: how many.

    Source: elementary, capacitors in parallel
    """
    return output_capacitance_each * tubes_count


def tune_capacitor_needed(tuning_needed: Farad, output_capacitance: Farad) -> Farad:
    """What is left for the tuning capacitor when the tube has brought its own.

    Args:
        tuning_needed: across the plate end of the tank.
        output_capacitance: of the tubes.

    Source: measures, section on tank Q and anode load resistance
    """
    return tuning_needed - output_capacitance


def resonant_frequency(tank_coil: Henry, tuning_capacitance: Farad) -> Hertz:
    """Where coil and capacitor have equal reactances.

    Args:
        tank_coil: inductance.
        tuning_capacitance: across it.

    Source: ncvec-e5a, question E5A10
    """
    found: float = 1 / (2 * pi * (tank_coil * tuning_capacitance) ** 0.5)
    return found


def half_power_width(carrier_frequency: Hertz, loaded_q: Ratio) -> Hertz:
    """Width between the half-power points of a single tuned circuit.

    Args:
        carrier_frequency: at its middle.
        loaded_q: with load.

    Source: ncvec-e5a, question E5A11
    """
    return carrier_frequency / loaded_q


# As built: from the antenna back to the tube. Every step is exact for lumped parts with loss in the coils.


def coil_resistance(tank_coil: Henry, coil_q: Ratio, carrier_frequency: Hertz) -> Ohm:
    """Series resistance that stands for the loss of a coil.

    Args:
        tank_coil: inductance.
        coil_q: unloaded, at this frequency.
        carrier_frequency: at which; scalar or array.

    Source: elementary, definition of Q
    """
    return 2 * pi * carrier_frequency * tank_coil / coil_q


def coil_q_on_carrier(coil_q: Ratio, carrier_frequency: Hertz, coil_q_at: Hertz) -> Ratio:
    """Unloaded Q of a coil away from where it was found: it grows as the skin depth shrinks.

    Args:
        coil_q: where it was found.
        carrier_frequency: where it is wanted.
        coil_q_at: where it was found.

    Source: elementary, reactance grows with frequency, resistance with its root
    """
    found: float = coil_q * (carrier_frequency / coil_q_at) ** 0.5
    return found


def output_branch_resistance(antenna_load: Ohm, output_coil_resistance: Ohm) -> Ohm:
    """Resistance behind the reactance of the output coil of a pi-L network.

    Args:
        antenna_load: resistance.
        output_coil_resistance: loss of the coil.

    Source: elementary, resistances in series
    """
    return antenna_load + output_coil_resistance


def joined_reactance(reactance: Ohm, other_reactance: Ohm) -> Ohm:
    """Reactance of two things in series, such as the second coil and the filter behind it.

    Args:
        reactance: of one, positive for a coil.
        other_reactance: of the other.

    Source: elementary, reactances in series
    """
    return reactance + other_reactance


def end_q(end_load: Ohm, end_capacitor: Farad, carrier_frequency: Hertz) -> Ratio:
    """Q at one end of a network as built: resistance over reactance of the capacitor beside it.

    Args:
        end_load: resistance there, such as the antenna.
        end_capacitor: across it.
        carrier_frequency: at which; scalar or array.

    Source: arrl-pi-old, XC1 = R1/Q
    """
    return 2 * pi * carrier_frequency * end_capacitor * end_load


def pi_branch_resistance(antenna_load: Ohm, load_q: Ratio, coil_resistance: Ohm) -> Ohm:
    """Resistance in series with the coil of a pi network: what the load end has become, and the coil's own.

    Args:
        antenna_load: resistance across the load capacitor.
        load_q: that over the reactance of the load capacitor.
        coil_resistance: loss of the coil, zero without.

    Source: elementary, a parallel pair as a series pair
    """
    return antenna_load / (1 + load_q**2) + coil_resistance


def pi_branch_reactance(tank_coil: Henry, carrier_frequency: Hertz, antenna_load: Ohm, load_q: Ratio) -> Ohm:
    """Reactance in series in the coil branch of a pi network: the coil less what the load end has become.

    Args:
        tank_coil: inductance.
        carrier_frequency: at which; scalar or array.
        antenna_load: resistance across the load capacitor.
        load_q: that over the reactance of the load capacitor.

    Source: elementary, a parallel pair as a series pair
    """
    return 2 * pi * carrier_frequency * tank_coil - antenna_load * load_q / (1 + load_q**2)


def intermediate_load(antenna_load: Ohm, output_coil_reactance: Ohm) -> Ohm:
    """Resistance across the load capacitor where what is behind it has reactance, that reactance counted apart.

    Args:
        antenna_load: behind the capacitor, in series form, the loss of an output coil added.
        output_coil_reactance: in series with it, of an output coil, of a filter, or of both.

    Source: elementary, a series pair as a parallel pair
    """
    return (antenna_load**2 + output_coil_reactance**2) / antenna_load


def remaining_load_capacitor(
    load_capacitor: Farad, antenna_load: Ohm, output_coil_reactance: Ohm, carrier_frequency: Hertz
) -> Farad:
    """What is left of the load capacitor after it has tuned out the reactance behind it.

    Args:
        load_capacitor: as set.
        antenna_load: behind the capacitor, in series form, the loss of an output coil added.
        output_coil_reactance: in series with it, of an output coil, of a filter, or of both.
        carrier_frequency: at which; scalar or array.

    Source: elementary, a series pair as a parallel pair
    """
    square = antenna_load**2 + output_coil_reactance**2
    return load_capacitor - output_coil_reactance / (2 * pi * carrier_frequency * square)


def link_mutual(tank_coil: Henry, link_coil: Henry, coupling: Ratio, carrier_frequency: Hertz) -> Ohm:
    """Mutual reactance of a tank coil and its link.

    Args:
        tank_coil: inductance.
        link_coil: inductance.
        coupling: mutual inductance over the geometric mean of the two, 0 to 1.
        carrier_frequency: at which; scalar or array.

    Source: elementary, coupled coils
    """
    mutual: float = coupling * (tank_coil * link_coil) ** 0.5
    return 2 * pi * carrier_frequency * mutual


def link_circuit_reactance(link_coil_reactance: Ohm, link_capacitor_reactance: Ohm) -> Ohm:
    """What is left of the reactance of a link when the capacitor in series with it has tuned some of it out.

    Args:
        link_coil_reactance: of the coil of the link.
        link_capacitor_reactance: size of that of its capacitor; zero without.

    Source: elementary, reactances in series
    """
    return link_coil_reactance - link_capacitor_reactance


def link_branch_resistance(link_mutual: Ohm, antenna_load: Ohm, link_reactance: Ohm, coil_resistance: Ohm) -> Ohm:
    """Resistance in series with a tank coil: what the link reflects, and the coil's own.

    Args:
        link_mutual: mutual reactance.
        antenna_load: in the link circuit, its losses added.
        link_reactance: whole reactance of the link circuit; zero where it is tuned out.
        coil_resistance: loss of the tank coil, zero without.

    Source: elementary, impedance reflected by coupled coils
    """
    return link_mutual**2 * antenna_load / (antenna_load**2 + link_reactance**2) + coil_resistance


def link_branch_reactance(link_mutual: Ohm, antenna_load: Ohm, link_reactance: Ohm, tank_reactance: Ohm) -> Ohm:
    """Reactance in series in the coil branch of a tank: the coil less what the link reflects.

    Args:
        link_mutual: mutual reactance.
        antenna_load: in the link circuit, its losses added.
        link_reactance: whole reactance of the link circuit; zero where it is tuned out.
        tank_reactance: of the tank coil.

    Source: elementary, impedance reflected by coupled coils
    """
    return tank_reactance - link_mutual**2 * link_reactance / (antenna_load**2 + link_reactance**2)


def load_presented(branch_resistance: Ohm, branch_reactance: Ohm) -> Ohm:
    """Resistance that a network offers the tube when its tuning capacitor is at resonance.

    Args:
        branch_resistance: in series in the coil branch, above zero.
        branch_reactance: in series in the coil branch.

    Source: elementary, a series pair as a parallel pair
    """
    return (branch_resistance**2 + branch_reactance**2) / branch_resistance


def tuning_needed(branch_resistance: Ohm, branch_reactance: Ohm, carrier_frequency: Hertz) -> Farad:
    """Capacitance across the plate end that tunes the network to resonance, tube included.

    Args:
        branch_resistance: in series in the coil branch.
        branch_reactance: in series in the coil branch.
        carrier_frequency: at which; scalar or array.

    Source: elementary, a series pair as a parallel pair
    """
    square = branch_resistance**2 + branch_reactance**2
    return branch_reactance / (2 * pi * carrier_frequency * square)


def loaded_q(branch_resistance: Ohm, branch_reactance: Ohm) -> Ratio:
    """Loaded Q at the plate end of a network in resonance: plate load over reactance of the tuning capacitance.

    Args:
        branch_resistance: in series in the coil branch, above zero.
        branch_reactance: in series in the coil branch.

    Source: elementary, definition of Q
    """
    return branch_reactance / branch_resistance


def network_efficiency(branch_resistance: Ohm, coil_resistance: Ohm) -> Ratio:
    """Share of the power into a network that passes its tank coil; capacitors count as without loss.

    Args:
        branch_resistance: in series in the coil branch, above zero.
        coil_resistance: the part of it that is the coil's own.

    Source: elementary, the same current flows through both
    """
    return 1 - coil_resistance / branch_resistance


def output_coil_efficiency(antenna_load: Ohm, output_coil_resistance: Ohm) -> Ratio:
    """Share of the power that passes the output coil of a pi-L network or the coil of a link.

    Args:
        antenna_load: behind it.
        output_coil_resistance: its loss.

    Source: elementary, the same current flows through both
    """
    return antenna_load / (antenna_load + output_coil_resistance)


def joined_efficiency(tank_coil_efficiency: Ratio, output_coil_efficiency: Ratio) -> Ratio:
    """Share of the power that passes two things one behind the other.

    Args:
        tank_coil_efficiency: of the first, such as the tank coil.
        output_coil_efficiency: of the second, such as the output coil or the filter.

    Source: elementary, shares multiply
    """
    return tank_coil_efficiency * output_coil_efficiency


def filter_efficiency(filter_loss: Decibel) -> Ratio:
    """Share of the power that passes a filter.

    Args:
        filter_loss: on the carrier.

    Source: elementary, definition of the decibel
    """
    share: float = 10 ** (-filter_loss / 10)
    return share


def filter_power(output_power: Watt, filter_efficiency: Ratio) -> Watt:
    """Power that goes into a filter.

    Args:
        output_power: that comes out of it.
        filter_efficiency: share that passes, above zero.

    Source: elementary, definition of efficiency
    """
    return output_power / filter_efficiency


def network_loss(output_power: Watt, network_efficiency: Ratio) -> Watt:
    """Heat in a network and in the filter behind it.

    Args:
        output_power: into the antenna, unmodulated.
        network_efficiency: of everything between tube and antenna, above zero.

    Source: elementary, conservation of energy
    """
    return output_power * (1 / network_efficiency - 1)


# Stresses as built, for a power in the load.


def plate_swing(output_power: Watt, network_efficiency: Ratio, load_presented: Ohm) -> Volt:
    """Peak radio-frequency voltage at the plate end of a network in resonance.

    Args:
        output_power: into the antenna, unmodulated.
        network_efficiency: of everything between.
        load_presented: to the tube.

    Source: terman43-rf, V1pk = sqrt(2 P R1)
    """
    swing: float = (2 * output_power / network_efficiency * load_presented) ** 0.5
    return swing


def tune_capacitor_voltage(plate_swing: Volt, crest_factor: Ratio) -> Volt:
    """Peak voltage on a tuning capacitor that is behind the blocking capacitor.

    Args:
        plate_swing: peak, unmodulated.
        crest_factor: crest of the envelope over the carrier, 1 for telegraphy, 2 for full modulation.

    Source: arrl-network, 100 per cent modulation doubles the voltage
    """
    return crest_factor * plate_swing


def tune_capacitor_voltage_series_feed(plate_voltage: Volt, plate_swing: Volt, crest_factor: Ratio) -> Volt:
    """Peak voltage on a tuning capacitor that has the plate supply across it as well.

    Args:
        plate_voltage: mean, unmodulated.
        plate_swing: peak, unmodulated.
        crest_factor: crest of the envelope over the carrier; plate modulation raises the supply alike.

    Source: arrl-network, series feed
    """
    return crest_factor * (plate_voltage + plate_swing)


def load_capacitor_voltage(output_power: Watt, antenna_load: Ohm, crest_factor: Ratio) -> Volt:
    """Peak voltage on a capacitor across the load.

    Args:
        output_power: into that load, unmodulated.
        antenna_load: resistance across it; in a pi-L network the intermediate load.
        crest_factor: crest of the envelope over the carrier.

    Source: terman43-rf, V2rms = sqrt(P R2)
    """
    peak: float = crest_factor * (2 * output_power * antenna_load) ** 0.5
    return peak


def series_capacitor_voltage(
    output_power: Watt, antenna_load: Ohm, capacitor_reactance: Ohm, crest_factor: Ratio
) -> Volt:
    """Peak voltage at the crest on a capacitor in series with the load.

    Args:
        output_power: of the carrier, into the load.
        antenna_load: resistance in series with it, the lowest that is met.
        capacitor_reactance: size of its reactance.
        crest_factor: crest of the envelope over its mean height.

    Source: elementary, the current of the load flows through it
    """
    swing: float = (2 * output_power / antenna_load) ** 0.5 * capacitor_reactance
    return crest_factor * swing


def lowest_resistance(antenna_load: Ohm, standing_wave_ratio: Ratio) -> Ohm:
    """Lowest series resistance among loads of one standing-wave ratio.

    Args:
        antenna_load: at the middle of the circle.
        standing_wave_ratio: 1 or more.

    Source: elementary, the end of the circle
    """
    return antenna_load / standing_wave_ratio


def load_swing(output_power: Watt, antenna_load: Ohm) -> Volt:
    """Peak voltage on a capacitor across the load, unmodulated.

    Args:
        output_power: into that load, unmodulated.
        antenna_load: resistance across it; in a pi-L network the intermediate load.

    Source: elementary, power and peak voltage
    """
    peak: float = (2 * output_power * antenna_load) ** 0.5
    return peak


def capacitor_current(peak_voltage: Volt, capacitance: Farad, carrier_frequency: Hertz) -> Ampere:
    """Effective current in a capacitor.

    Args:
        peak_voltage: across it, unmodulated.
        capacitance: of it alone.
        carrier_frequency: at which; scalar or array.

    Source: terman43-rf, IC1 = V1rms / XC1
    """
    return 2 * pi * carrier_frequency * capacitance * peak_voltage / 2**0.5


def tank_coil_current(output_power: Watt, network_efficiency: Ratio, branch_resistance: Ohm) -> Ampere:
    """Effective current in the tank coil.

    Args:
        output_power: into the antenna, unmodulated.
        network_efficiency: of everything between.
        branch_resistance: in series in the coil branch.

    Source: terman43-rf, current of the coil branch
    """
    current: float = (output_power / network_efficiency / branch_resistance) ** 0.5
    return current


def blocking_current(
    plate_swing: Volt, load_presented: Ohm, output_capacitance: Farad, carrier_frequency: Hertz
) -> Ampere:
    """Effective current in a blocking capacitor with the tuning capacitor behind it, network in resonance.

    Args:
        plate_swing: peak, unmodulated.
        load_presented: to the tube.
        output_capacitance: of the tubes, in front of the blocking capacitor.
        carrier_frequency: at which; scalar or array.

    Source: elementary, the network brings the current of the tube's capacitance as well as that of the load
    """
    susceptance = 2 * pi * carrier_frequency * output_capacitance
    current: float = plate_swing / 2**0.5 * (1 / load_presented**2 + susceptance**2) ** 0.5
    return current


def choke_current(plate_swing: Volt, choke_reactance: Ohm) -> Ampere:
    """Effective radio-frequency current in a choke, well below its own resonance.

    Args:
        plate_swing: peak across it, unmodulated.
        choke_reactance: at that frequency.

    Source: elementary, Ohm's law
    """
    return plate_swing / (2**0.5 * choke_reactance)


def coil_loss(coil_current: Ampere, coil_resistance: Ohm) -> Watt:
    """Heat in a coil, unmodulated.

    Args:
        coil_current: effective.
        coil_resistance: at the carrier.

    Source: elementary, Joule's law
    """
    return coil_current**2 * coil_resistance


def coil_loss_modulated(coil_loss: Watt, modulation_depth: Ratio) -> Watt:
    """Heat in a coil averaged over sine modulation: the power of carrier and sidebands.

    Args:
        coil_loss: unmodulated.
        modulation_depth: 1 for 100 per cent, zero without.

    Source: kennedy, ex. 3.2 (p. 38): mean power rises by half the square of the depth, and the heat of a coil with it
    """
    return coil_loss * (1 + modulation_depth**2 / 2)


def output_coil_current(output_power: Watt, antenna_load: Ohm) -> Ampere:
    """Effective current in a coil in series with the antenna.

    Args:
        output_power: into the antenna, unmodulated.
        antenna_load: resistance.

    Source: elementary, Joule's law
    """
    current: float = (output_power / antenna_load) ** 0.5
    return current


def swing_at_most(plate_voltage: Volt, crest_factor: Ratio) -> Volt:
    """Peak voltage that a mistuned network can meet at the plate end: the plate swings no farther than its supply.

    Args:
        plate_voltage: mean, unmodulated.
        crest_factor: crest of the envelope over the carrier; plate modulation raises the supply alike.

    Source: arrl-network, 100 per cent modulation doubles the voltage
    """
    return crest_factor * plate_voltage
