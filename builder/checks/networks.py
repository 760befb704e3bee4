"""Output networks: the load that the tubes see, the room of every part, harmonics, chokes and coils."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from builder.examination.finding import check
from builder.examination.judge import Judgement, agrees, at_least, at_most, between
from builder.rig.network import Network

if TYPE_CHECKING:
    from builder.physics.units import Ampere, Celsius, Count, Decibel, Farad, Henry, Hertz, Ohm, Ratio, Volt

LEAST_Q = 10
"""Below it harmonics pass too easily and tuning is flat; source: common-practice."""
MOST_Q = 20
"""Above it currents, losses and voltages grow; source: common-practice."""
LOAD_AGREES = 0.25
"""How far the load presented may be from the one that the tubes ask for; source: common-practice."""
LEAST_EFFICIENCY = 0.90
"""Share of the power that a network lets through; source: common-practice."""
MOST_BLOCKING = 0.05
"""Reactance of a blocking capacitor over the load that it feeds; source: choke-practice."""
LEAST_CHOKE = 3.0
"""Reactance of a plate choke over the load beside it; source: common-practice."""
LEAST_SAFETY = 10.0
"""Reactance of a safety choke over the load that it lies across; source: choke-practice."""
SETTING_AGREES = 0.15
"""How far a recorded setting may be from the one that the parts ask for; source: common-practice."""
WINDING_AGREES = 0.10
"""How far a coil may be from what its winding makes; source: common-practice."""
WARMEST = 60.0
"""Warmer than the air a coil softens its form, and its solder in a closed cabinet; source: common-practice."""

MOST_FILTER_LOSS = 0.3
"""Loss of a low-pass filter on the carrier, in decibels; source: common-practice."""
MOST_FILTER_SWR = 1.2
"""Standing-wave ratio into a low-pass filter; source: common-practice."""
FILTER_AGREES = 0.15
"""How far a part of a filter may be from its design; source: common-practice."""


def _has(*fields: str) -> Any:
    return lambda network: all(getattr(network, field) is not None for field in fields)


def _set_by_hand(network: Any) -> bool:
    return network.form in {"pi", "pi-L", "link"} and network.tune is not None and network.loading is not None


def _only_tuned(network: Any) -> bool:
    return network.tune is not None and network.loading is None


def _linked(network: Any) -> bool:
    return bool(network.form == "link")


def _filter_built(network: Any) -> bool:
    return bool(network.low_pass and network.low_pass.parts)


def _filter_coil(count: str) -> Any:
    name = f"filter_{count}_coil"
    return lambda network: _filter_built(network) and name in dict(network.low_pass.slots())


def _filter_designed(network: Any) -> bool:
    return _filter_built(network) and network.low_pass.form is not None


@check(
    "loaded Q", of=Network, source="common-practice", margin=0.05, every_carrier=True,
    why="Too low, and harmonics reach the antenna; too high, and the coil carries much current and much of the power.",
    remedy="Another tap of the coil: less inductance raises the Q, more lowers it.",
)  # fmt: skip
def flywheel_turns(loaded_q: Ratio) -> Judgement:
    """Loaded Q between 10 and 20."""
    return between(loaded_q, LEAST_Q, MOST_Q)


@check(
    "load presented", of=Network, source="common-practice", margin=0.05, each_carrier=True,
    why="Too high a load drives screen or grid hard and clips the crests; too low a one heats the plates.",
    remedy="Load heavier or lighter until the meters read what the tubes are meant to draw, and note the setting.",
)  # fmt: skip
def tubes_see_their_load(load_presented: Ohm, plate_load: Ohm) -> Judgement:
    """Load presented at resonance within 25 per cent of the one that the operating point asks for."""
    return agrees(load_presented, plate_load, LOAD_AGREES)


@check(
    "tuning capacitor voltage", of=Network, source="arrl-network", margin=0.10, each_carrier=True, applies=_has("tune"),
    why="Plates that arc at the crest burn, and the arc throws the tubes off resonance.",
    remedy="A capacitor of wider spacing.",
)  # fmt: skip
def tuning_plates_hold(tune_voltage: Volt, tune_voltage_rating: Volt) -> Judgement:
    """Peak voltage on the tuning capacitor at the crest, network in resonance, at most its rating."""
    return at_most(tune_voltage, tune_voltage_rating)


@check(
    "tuning capacitor voltage off tune", of=Network, source="arrl-network", margin=0.10, applies=_has("tune"),
    why="While the knob is turned, and with the antenna off, the plate swings as far as its supply lets it.",
    remedy="A capacitor of wider spacing, and tuning at reduced voltage.",
)  # fmt: skip
def tuning_plates_hold_off_tune(tune_voltage_mistuned: Volt, tune_voltage_rating: Volt) -> Judgement:
    """Plate voltage at the crest, as far as the plate can swing, at most the rating of the tuning capacitor."""
    return at_most(tune_voltage_mistuned, tune_voltage_rating)


@check(
    "loading capacitor voltage", of=Network, source="arrl-network", margin=0.10, each_carrier=True,
    applies=_set_by_hand,
    why="An antenna that is off raises the voltage at the output; receiving capacitors have little to spare.",
    remedy="A capacitor of wider spacing, or an antenna that fits better.",
)  # fmt: skip
def loading_plates_hold(loading_voltage_mismatched: Volt, loading_voltage_rating: Volt) -> Judgement:
    """Peak voltage at the crest into the worst load of a standing-wave ratio of 2 to 1 at most the rating."""
    return at_most(loading_voltage_mismatched, loading_voltage_rating)


@check(
    "tuning range", of=Network, source="common-practice", margin=0.05, every_carrier=True, applies=_set_by_hand,
    why="Where the capacitor comes to its stop the network cannot be brought to resonance.",
    remedy="Another tap of the coil, a fixed capacitor beside it, or a capacitor with less at its least.",
)  # fmt: skip
def tuning_reaches(tune_for_match: Farad, tune_least: Farad, tune: Farad) -> Judgement:
    """What a match asks of the tuning capacitor between its least and its most."""
    return between(tune_for_match, tune_least, tune)


@check(
    "resonance in reach", of=Network, source="common-practice", margin=0.05, every_carrier=True,
    applies=_only_tuned,
    why="Where the capacitor comes to its stop the network cannot be brought to resonance.",
    remedy="Another tap of the coil, a fixed capacitor beside it, or a capacitor with less at its least.",
)  # fmt: skip
def resonance_is_in_reach(tune_needed: Farad, tune_least: Farad, tune: Farad) -> Judgement:
    """What resonance asks of the tuning capacitor between its least and its most."""
    return between(tune_needed, tune_least, tune)


@check(
    "tuning as set", of=Network, source="common-practice", margin=0.0, each_carrier=True, applies=_set_by_hand,
    why="When the recorded setting is not where the parts resonate, a stray, a tap or a part is not what it seems.",
    remedy="Compare the dial with a bridge, and read the inductance of the coil in use.",
)  # fmt: skip
def dial_and_parts_agree(tune_set: Farad, tune_needed: Farad) -> Judgement:
    """Recorded setting of the tuning capacitor within 15 per cent of where the network resonates."""
    return agrees(tune_set, tune_needed, SETTING_AGREES)


@check(
    "loading range", of=Network, source="common-practice", margin=0.05, every_carrier=True, applies=_set_by_hand,
    why="Where the capacitor comes to its stop the tubes cannot be loaded as they should.",
    remedy="Another tap of the coil, or a fixed capacitor switched beside it.",
)  # fmt: skip
def loading_reaches(loading_for_match: Farad, loading_least: Farad, loading: Farad) -> Judgement:
    """What a match asks of the loading capacitor between its least and its most."""
    return between(loading_for_match, loading_least, loading)


@check(
    "loading at two to one", of=Network, source="common-practice", margin=0.05, each_carrier=True,
    applies=_set_by_hand,
    why="An antenna is seldom 50 ohms; a network without room wants a matching unit for each of them.",
    remedy="A larger loading capacitor, or an antenna that fits better.",
)  # fmt: skip
def loading_reaches_round_the_circle(loading_most_needed: Farad, loading: Farad) -> Judgement:
    """What the worst load of a standing-wave ratio of 2 to 1 asks of the loading capacitor at most its most."""
    return at_most(loading_most_needed, loading)


@check(
    "coupling of the link", of=Network, source="common-practice", margin=0.0, each_carrier=True, applies=_linked,
    why="A link too loose leaves the tubes unloaded, one too tight drags the tank out of tune.",
    remedy="Move the link, change its turns, or tune more of its reactance out.",
)  # fmt: skip
def link_couples_as_asked(link_coupling: Ratio, coupling_for_match: Ratio) -> Judgement:
    """Coupling within 25 per cent of the one that gives the tubes their load, the link as it stands."""
    return agrees(link_coupling, coupling_for_match, LOAD_AGREES)


@check(
    "second harmonic", of=Network, source="p97-307, 97.307(d)", margin=0.05, every_carrier=True,
    why="Harmonics fall on other people's bands.",
    remedy="A low-pass filter behind the network, or a pi-L network.",
)  # fmt: skip
def second_harmonic_stays_in(second_harmonic: Decibel, spurious_attenuation_rated: Decibel) -> Judgement:
    """Second harmonic as far below the carrier as the rules ask, by network, filter and the pulse of plate current."""
    return at_least(second_harmonic, spurious_attenuation_rated)


@check(
    "third harmonic", of=Network, source="p97-307, 97.307(d)", margin=0.05, every_carrier=True,
    why="Harmonics fall on other people's bands.",
    remedy="A low-pass filter behind the network, or a pi-L network.",
)  # fmt: skip
def third_harmonic_stays_in(third_harmonic: Decibel, spurious_attenuation_rated: Decibel) -> Judgement:
    """Third harmonic as far below the carrier as the rules ask, by network, filter and the pulse of plate current."""
    return at_least(third_harmonic, spurious_attenuation_rated)


@check(
    "filter loss", of=Network, source="common-practice", margin=0.10, every_carrier=True, applies=_filter_built,
    why="What the filter keeps heats its coils, and their drift moves its edge.",
    remedy="Coils of better Q, or an edge farther above the carrier.",
)  # fmt: skip
def filter_lets_through(filter_loss: Decibel) -> Judgement:
    """Loss of the low-pass filter on the carrier at most 0.3 decibels."""
    return at_most(filter_loss, MOST_FILTER_LOSS)


@check(
    "SWR into the filter", of=Network, source="common-practice", margin=0.02, every_carrier=True, applies=_filter_built,
    why="A filter that does not look like the line changes the load of the network, and differently on each band.",
    remedy="Compare the parts with the design, or move the edge farther above the carrier.",
)  # fmt: skip
def filter_looks_like_the_line(filter_swr: Ratio) -> Judgement:
    """Standing-wave ratio into the low-pass filter at most 1.2, the line behind it matched."""
    return at_most(filter_swr, MOST_FILTER_SWR)


@check(
    "filter capacitor voltage", of=Network, source="common-practice", margin=0.10, each_carrier=True,
    applies=_filter_built,
    why="A capacitor that punctures at the crest takes the filter off its design, and harmonics pass.",
    remedy="Capacitors for more voltage, or two in series.",
)  # fmt: skip
def filter_capacitors_hold(filter_voltage: Volt, filter_voltage_rating: Volt) -> Judgement:
    """Peak voltage on the capacitor that has most, worst load of 2 to 1, at most the rating of the weakest."""
    return at_most(filter_voltage, filter_voltage_rating)


@check(
    "first filter coil current", of=Network, source="common-practice", margin=0.10, each_carrier=True,
    applies=_filter_coil("first"),
    why="A coil that is too thin grows hot, drifts, and takes the edge of the filter with it.",
    remedy="Thicker wire, or an antenna that fits better.",
)  # fmt: skip
def first_filter_coil_carries(filter_first_coil_current: Ampere, filter_first_coil_current_rating: Ampere) -> Judgement:
    """Effective current in the first filter coil at the crest, worst load of 2 to 1, at most what it is made for."""
    return at_most(filter_first_coil_current, filter_first_coil_current_rating)


@check(
    "second filter coil current", of=Network, source="common-practice", margin=0.10, each_carrier=True,
    applies=_filter_coil("second"),
    why="A coil that is too thin grows hot, drifts, and takes the edge of the filter with it.",
    remedy="Thicker wire, or an antenna that fits better.",
)  # fmt: skip
def second_filter_coil_carries(
    filter_second_coil_current: Ampere, filter_second_coil_current_rating: Ampere
) -> Judgement:
    """Effective current in the second filter coil at the crest, worst load of 2 to 1, at most what it is made for."""
    return at_most(filter_second_coil_current, filter_second_coil_current_rating)


@check(
    "third filter coil current", of=Network, source="common-practice", margin=0.10, each_carrier=True,
    applies=_filter_coil("third"),
    why="A coil that is too thin grows hot, drifts, and takes the edge of the filter with it.",
    remedy="Thicker wire, or an antenna that fits better.",
)  # fmt: skip
def third_filter_coil_carries(filter_third_coil_current: Ampere, filter_third_coil_current_rating: Ampere) -> Judgement:
    """Effective current in the third filter coil at the crest, worst load of 2 to 1, at most what it is made for."""
    return at_most(filter_third_coil_current, filter_third_coil_current_rating)


@check(
    "fourth filter coil current", of=Network, source="common-practice", margin=0.10, each_carrier=True,
    applies=_filter_coil("fourth"),
    why="A coil that is too thin grows hot, drifts, and takes the edge of the filter with it.",
    remedy="Thicker wire, or an antenna that fits better.",
)  # fmt: skip
def fourth_filter_coil_carries(
    filter_fourth_coil_current: Ampere, filter_fourth_coil_current_rating: Ampere
) -> Judgement:
    """Effective current in the fourth filter coil at the crest, worst load of 2 to 1, at most what it is made for."""
    return at_most(filter_fourth_coil_current, filter_fourth_coil_current_rating)


@check(
    "filter parts", of=Network, source="common-practice", margin=0.0, applies=_filter_designed,
    why="Parts that are not those of the design move the edge and raise the ripple.",
    remedy="Measure each part, and trim capacitors and turns.",
)  # fmt: skip
def filter_is_as_designed(filter_departure: Ratio) -> Judgement:
    """Every part of the low-pass filter within 15 per cent of its design."""
    return at_most(filter_departure, FILTER_AGREES)


@check(
    "network efficiency", of=Network, source="common-practice", margin=0.02, every_carrier=True,
    why="What does not reach the antenna heats the coil.",
    remedy="A coil of thicker wire and better Q, or a lower loaded Q.",
)  # fmt: skip
def power_gets_through(network_efficiency: Ratio) -> Judgement:
    """At least 90 per cent of the power passes the coils."""
    return at_least(network_efficiency, LEAST_EFFICIENCY)


@check(
    "coil current", of=Network, source="common-practice", margin=0.10, each_carrier=True,
    why="Solder at the taps and contacts of the switch run before the wire does.",
    remedy="Thicker wire or tube, a heavier switch, or a lower loaded Q.",
)  # fmt: skip
def coil_carries(coil_current: Ampere, coil_current_rating: Ampere) -> Judgement:
    """Effective current in the main coil, unmodulated, at most what it is made for."""
    return at_most(coil_current, coil_current_rating)


@check(
    "second coil current", of=Network, source="common-practice", margin=0.10, each_carrier=True,
    applies=_has("second_coil"),
    why="Solder at the taps and contacts of the switch run before the wire does.",
    remedy="Thicker wire.",
)  # fmt: skip
def second_coil_carries(output_coil_current: Ampere, second_coil_current_rating: Ampere) -> Judgement:
    """Effective current in the second coil, unmodulated, at most what it is made for."""
    return at_most(output_coil_current, second_coil_current_rating)


@check(
    "link current", of=Network, source="common-practice", margin=0.10, each_carrier=True, applies=_linked,
    why="A link carries the current of the line, and it sits where the tank is hottest.",
    remedy="Thicker wire or tube.",
)  # fmt: skip
def link_carries(link_current: Ampere, link_coil_current_rating: Ampere) -> Judgement:
    """Effective current in the coil of the link, unmodulated, at most what it is made for."""
    return at_most(link_current, link_coil_current_rating)


@check(
    "coil warmth", of=Network, source="common-practice", margin=0.20,
    why="A hot coil softens its form and lets the turns wander, and the tuning with them.",
    remedy="Thicker wire, a larger coil, or moving air.",
)  # fmt: skip
def coil_keeps_cool(coil_temperature_rise: Celsius) -> Judgement:
    """Estimated rise over still air at most 60 degrees, averaged over sine modulation where the carrier has it."""
    return at_most(coil_temperature_rise, WARMEST)


@check(
    "blocking capacitor reactance", of=Network, source="choke-practice", margin=0.20, each_carrier=True,
    why="A small blocking capacitor stands in series with the network, upsets its tuning and heats.",
    remedy="A larger capacitor, or two in parallel.",
)  # fmt: skip
def blocking_lets_through(blocking_share: Ratio) -> Judgement:
    """Reactance of the blocking capacitor at most 5 per cent of the load that it feeds."""
    return at_most(blocking_share, MOST_BLOCKING)


@check(
    "blocking capacitor current", of=Network, source="common-practice", margin=0.10, each_carrier=True,
    why="Ceramic heats by its losses until it cracks, and the plate voltage is on the antenna.",
    remedy="A transmitting type, or several in parallel.", person=True,
)  # fmt: skip
def blocking_carries(blocking_current: Ampere, output_blocking_current_rating: Ampere) -> Judgement:
    """Effective radio-frequency current in the blocking capacitor at most what it is made for."""
    return at_most(blocking_current, output_blocking_current_rating)


@check(
    "plate choke reactance", of=Network, source="common-practice", margin=0.50, each_carrier=True,
    why="A choke that is small against the load takes current of its own and heats, most on the lowest band.",
    remedy="More turns in sections; look for its resonances on the bands in use.",
)  # fmt: skip
def choke_chokes(choke_share: Ratio) -> Judgement:
    """Reactance of the plate choke at least three times the load beside it."""
    return at_least(choke_share, LEAST_CHOKE)


@check(
    "plate choke current", of=Network, source="common-practice", margin=0.10, each_carrier=True,
    why="Thin wire under too much current opens, or softens its form.",
    remedy="A choke for more current.",
)  # fmt: skip
def choke_feeds(line_current: Ampere, output_choke_current_rating: Ampere) -> Judgement:
    """Direct current of the plate line at most what the choke is made for."""
    return at_most(line_current, output_choke_current_rating)


@check(
    "safety choke reactance", of=Network, source="choke-practice", margin=0.20, each_carrier=True,
    why="It must carry away direct current without taking power; one too small burns when it is needed.",
    remedy="More turns.",
)  # fmt: skip
def safety_choke_stands_aside(safety_choke_share: Count) -> Judgement:
    """Reactance of the choke across the output at least ten times the load there."""
    return at_least(safety_choke_share, LEAST_SAFETY)


@check(
    "coil and its winding", of=Network, source="lundin, with the corrections of rosa", margin=0.0,
    why="When turns and inductance do not agree, one of them is not what the papers say, or a turn is shorted.",
    remedy="Count the turns, measure length and diameter, and read the inductance again.",
)  # fmt: skip
def coil_is_what_it_says(coil: Henry, coil_from_winding: Henry) -> Judgement:
    """Inductance within a tenth of what the winding makes."""
    return agrees(coil, coil_from_winding, WINDING_AGREES)


@check(
    "coil self-resonance", of=Network, source="medhurst, H table", margin=0.50,
    why="Near its own resonance a coil is no coil: its Q falls and its inductance is not what is printed on it.",
    remedy="Fewer turns of a larger diameter, or a tap whose open end is not left hanging.",
)  # fmt: skip
def coil_stays_a_coil(self_resonance: Hertz, carrier_frequency: Hertz) -> Judgement:
    """Self-resonance of the whole coil above the carrier."""
    return at_least(self_resonance, carrier_frequency)


@check(
    "coil Q as claimed", of=Network, source="terman43-rf, sec. 2 (page not verified)", margin=0.0,
    why="A Q above what the winding can reach makes network and coil look cooler than they are.",
    remedy="Measure it, or take half to two thirds of the estimate.",
)  # fmt: skip
def coil_q_can_be(unloaded_q: Ratio, coil_q_estimate: Ratio) -> Judgement:
    """Q that is reckoned with at most what the bare winding could have in the open."""
    return at_most(unloaded_q, coil_q_estimate)
