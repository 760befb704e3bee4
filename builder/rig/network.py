"""Networks between a final and its antenna: their parts, how they are set on each carrier, what follows from them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any, ClassVar, Literal

from pydantic import model_validator

from builder.physics import coils, filters, harmonics, matching, modulation, networks, ranges
from builder.quantity import Quantity

from .fields import (
    AnyPart,
    Capacitance,
    Capacitor,
    CarrierId,
    Coil,
    Frequency,
    Inductance,
    Level,
    Model,
    Ratio,
    Resistance,
    Share,
    refuse,
)  # fmt: skip
from .part import Part
from .thing import Back, Origin, Rated, Thing, Usual, Via, World, formula, origins, solution

CIRCLE_RATIOS = (2.0, 1.5)
"""Standing-wave ratios whose settings are drawn; source: common-practice."""
MISTUNED = CIRCLE_RATIOS[0]
"""Standing-wave ratio for which settings and voltages are told; source: common-practice."""
COUNTED = ("first", "second", "third", "fourth", "fifth")
FILTER_CAPACITORS = tuple(f"filter_{count}_capacitor" for count in COUNTED)
FILTER_COILS = tuple(f"filter_{count}_coil" for count in COUNTED[:-1])
SLOTS = (*(name for pair in zip(FILTER_CAPACITORS[:-1], FILTER_COILS, strict=True) for name in pair),
         FILTER_CAPACITORS[-1])  # fmt: skip
"""Values of the parts of a filter, from the network to the antenna."""
AMPLITUDE = frozenset({"A3E"})
"""Emissions whose output is given as carrier and whose crest lies above it."""


class Setting(Model):
    """How the capacitors stand on one carrier, by their dials' calibration or a bridge."""

    tune: Capacitance | None = None
    """Capacitance of the tuning capacitor."""
    loading: Capacitance | None = None
    """Capacitance of the loading capacitor."""


class FilterPart(Model):
    """One part of a filter, in the order from the network to the antenna."""

    capacitor: Capacitor | None = None
    """Across the line."""
    coil: Coil | None = None
    """In the line."""

    @model_validator(mode="after")
    def _one(self) -> FilterPart:
        if (self.capacitor is None) == (self.coil is None):
            raise refuse("expected either a capacitor or a coil in each part of a filter")
        return self


class LowPass(Model):
    """A low-pass filter behind the network, made for the impedance of the line: its design, its parts, or both."""

    form: Literal["half wave", "Chebyshev"] | None = None
    """Half wave: equal pi sections in a row; Chebyshev: equal ripple in the pass band."""
    elements: Ratio | None = None
    """Coils and capacitors together: 5 or 9 for one or two half-wave sections, an odd number for Chebyshev."""
    edge: Frequency | None = None
    """Where a Chebyshev filter leaves its pass band; for which a half-wave filter is made."""
    ripple: Level | None = None
    """Of a Chebyshev filter, in its pass band."""
    parts: tuple[FilterPart, ...] = ()
    """As built: capacitors across the line and coils in it, by turns, at most nine."""
    coil_q: Ratio | None = None
    """Unloaded Q of its coils; where its parts are listed, what the network sees follows from it."""

    @model_validator(mode="after")
    def _fits(self) -> LowPass:
        stated = (self.form, self.elements, self.edge)
        if any(stated) != all(stated) or not (self.form or self.parts):
            raise refuse("a filter has form, elements and edge of its design, or its parts, or both")
        self._design_fits()
        coils = [part.coil is not None for part in self.parts]
        if any(one == other for one, other in pairwise(coils)):
            raise refuse("the parts of a filter are capacitors and coils by turns")
        if len(self.slots()) > len(SLOTS) or (self.slots() and self.slots()[-1][0] not in SLOTS):
            raise refuse("a filter has at most nine parts, and of nine the first is a capacitor")
        return self

    def _design_fits(self) -> None:
        count = self.elements.value if self.elements else 0
        if self.form == "half wave" and count not in {5, 9}:
            raise refuse("a half-wave filter has 5 or 9 elements")
        if self.form == "Chebyshev" and (count % 2 != 1 or not self.ripple or self.ripple.value <= 0):
            raise refuse("a Chebyshev filter has an odd number of elements and a ripple, such as 0.1 dB")
        if count > len(SLOTS):
            raise refuse("a filter has at most nine elements")

    def slots(self) -> tuple[tuple[str, str], ...]:
        """Names of the values of its parts with the parts, in order; a coil may come first."""
        skipped = 1 if self.parts and self.parts[0].coil else 0
        names = (*SLOTS, *(f"part {count}" for count in range(len(self.parts))))[skipped:]
        return tuple(zip(names, (part.capacitor or part.coil or "" for part in self.parts), strict=False))


class Network(Thing):
    """A radio-frequency network, by its parts; the capacitors count as without loss."""

    collection: ClassVar[str] = "networks"
    kind_words: ClassVar[str] = "network"
    form: Literal["pi", "pi-L", "link", "L"]
    """Shape of the network."""
    tune: Capacitor | None = None
    """Capacitor on the tube's side."""
    coil: Coil
    """Main coil, all of it."""
    loading: Capacitor | None = None
    """Capacitor on the antenna's side; of a link the one in series with it."""
    second_coil: Coil | None = None
    """Second coil of a pi-L network."""
    link_coil: Coil | None = None
    """Coil of a link."""
    link_coupling: Share | None = None
    """Coupling of link and main coil."""
    switch: AnyPart | None = None
    """Band switch."""
    coil_q: Ratio | None = None
    """Unloaded Q of the main coil."""
    coil_q_at: Frequency | None = None
    """Where that Q was found; it then grows with the root of frequency, else it holds on every carrier."""
    antenna_load: Resistance | None = None
    """What stands at the output."""
    stray: Capacitance | None = None
    """Capacitance of leads, choke and chassis at the tube's side."""
    taps: dict[CarrierId, Inductance] = {}
    """Inductance of the main coil in use, by carrier, where it is not the whole."""
    second_taps: dict[CarrierId, Inductance] = {}
    """The same for the second coil."""
    settings: dict[CarrierId, Setting] = {}
    """How the capacitors stand, by carrier."""
    low_pass: LowPass | None = None
    """Filter behind it."""

    def title(self, name: str) -> str:
        """Its form and its name."""
        shape = "Tank with link" if self.form == "link" else f"{self.form[:1].upper()}{self.form[1:]} network"
        return f"{shape} ({name})"

    def rated(self, world: World) -> Mapping[str, Rated]:
        """How far harmonics must lie below the carrier, from the station's rule table."""
        row = world.rules.spurious_limit(world.carrier_frequency) if world.rules and world.carrier_frequency else None
        if world.rules is None or row is None:
            return {}
        what = f"{world.rules.country}, {row.paragraph}, {row.reference}"
        facts: Any = row
        return {"spurious_attenuation_rated": Rated(row.level, facts, what)}

    def derived(self, world: World) -> Mapping[str, Quantity]:
        """How coil and capacitors stand on the carrier, the winding, and what is not there."""
        found = dict(self._standing(world))
        found |= _winding(world.parts[self.coil])
        if self.second_coil is None:
            found["output_coil"] = Quantity(0.0, "H")
        if world.emission not in AMPLITUDE:
            found |= {"crest_factor": Quantity(1.0, ""), "modulation_depth": Quantity(0.0, "")}
        if self.stray is None:
            found["stray_capacitance"] = Quantity(0.0, "F")
        return {**found, **dict(self._filter(world))}

    def _standing(self, world: World) -> Iterator[tuple[str, Quantity]]:
        if world.carrier in self.taps:
            yield "tank_coil", self.taps[world.carrier]
        if world.carrier in self.second_taps:
            yield "output_coil", self.second_taps[world.carrier]
        setting = self.settings.get(world.carrier, Setting())
        for name, designator, given in (
            ("tune_set", self.tune, setting.tune), ("loading_set", self.loading, setting.loading),
        ):  # fmt: skip
            part = world.parts.get(designator or "")
            fixed = part.value if part and part.least is None else None
            if given or fixed:
                yield name, given or fixed or Quantity(0.0, "F")
        if self.form == "L" or (self.form == "link" and self.loading is None):
            yield "loading_set", Quantity(0.0, "F")
            yield "link_capacitor_reactance", Quantity(0.0, "ohm")
        yield "swr_tried", Quantity(MISTUNED, "")

    def _filter(self, world: World) -> Iterator[tuple[str, Quantity]]:
        found = self.low_pass
        if found is None or found.parts:
            yield from ((name, Quantity(0.0, "F" if name in FILTER_CAPACITORS else "H")) for name in SLOTS)
        if found is None:
            return
        parts = [(name, world.parts[designator]) for name, designator in found.slots()]
        yield from ((name, part.value) for name, part in parts if part.value)
        if found.coil_q:
            yield "filter_coil_q", found.coil_q
        if found.elements and found.edge:
            yield "filter_elements", found.elements
            yield "filter_edge", found.edge
            yield "filter_ripple", (found.form == "Chebyshev" and found.ripple) or Quantity(0.0, "dB")
        yield from ((f"{name}_current_rating", part.current) for name, part in parts
                    if name in FILTER_COILS and part.current)  # fmt: skip
        ratings = [part.voltage for name, part in parts if name in FILTER_CAPACITORS]
        if ratings and all(ratings):
            yield "filter_voltage_rating", min((row for row in ratings if row), key=lambda row: row.value)

    def origins(self) -> Mapping[str, tuple[Origin, ...]]:
        """Formulas for the form of the network, and of the filter behind it."""
        design = DESIGN if self.low_pass and self.low_pass.form else {}
        tuned_out = LINK_TUNED_OUT if self._link_is_tuned_out else {}
        return {**COMMON, **COIL, **FORMS[self.form], **tuned_out, **design, **self._behind()}

    @property
    def _link_is_tuned_out(self) -> bool:
        return self.form == "link" and self.loading is not None

    def _behind(self) -> Mapping[str, tuple[Origin, ...]]:
        """What a filter that is given by its parts changes."""
        if self.low_pass is None or not self.low_pass.parts:
            return {}
        tuned_out = LINK_TUNED_OUT_FILTERED if self._link_is_tuned_out else {}
        return {**AS_BUILT, **INTO_FILTER, **FILTERED[self.form], **tuned_out}


def _winding(coil: Part) -> Iterator[tuple[str, Quantity]]:
    winding = coil.winding
    if winding is None:
        return
    yield "coil_turns", winding.turns
    for name, found in (
        ("form_diameter", winding.diameter), ("coil_length", winding.length), ("wire_diameter", winding.wire),
        ("inductance_per_turn", winding.per_turn),
    ):  # fmt: skip
        if found:
            yield name, found


OF_THE_STAGE = (
    "output_power", "plate_voltage", "plate_load", "line_current", "tubes_count", "output_blocking", "output_choke",
    "output_choke_current_rating", "output_blocking_current_rating", "output_safety_choke", "second_current_share",
    "third_current_share",
)  # fmt: skip
"""Values of the stage that works into the network."""
STAGE = "output.network"
"""Field of a stage that names its network."""
HARMONICS = {
    name: f"{name}_harmonic"
    for name in ("second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
}
WEAKENED = {**HARMONICS, "second": "second_weakened", "third": "third_weakened"}
"""What the ladder gives, for equal currents; of the first two harmonics the pulse may tell more."""
OF_THE_PULSE = tuple(
    item
    for name in ("second", "third")
    for item in (
        formula(
            harmonics.of_the_pulse, f"{name}_harmonic",
            equal_currents=f"{name}_weakened", current_share=f"{name}_current_share",
        ),
        (f"{name}_harmonic", Via("", f"{name}_weakened")),
    )
)  # fmt: skip
"""Harmonics with the content of the pulse where it is known, else for equal currents."""
CIRCLE = {
    "tuning_least": "tuning_least_needed", "tuning_most": "tuning_most_needed", "load_least": "loading_least_needed",
    "load_most": "loading_most_needed",
}  # fmt: skip
CHAIN = (
    formula(networks.load_presented),
    formula(networks.tuning_needed),
    formula(networks.loaded_q),
)
COMMON = origins(
    *((name, Back(name, STAGE)) for name in OF_THE_STAGE),
    ("output_capacitance_each", Back("output_capacitance_nominal", STAGE)),
    ("carrier_frequency", Via("carrier", "frequency")),
    ("positive_peak", Via("rig", "modulation_positive_peak")),
    ("modulation_depth", Via("rig", "modulation_depth")),
    formula(modulation.crest_factor),
    ("tank_coil", Via("", "coil")),
    ("output_coil", Via("", "second_coil")),
    formula(networks.coil_q_on_carrier, "unloaded_q"),
    ("unloaded_q", Via("", "coil_q")),
    ("stray_capacitance", Via("", "stray")),
    formula(networks.tubes_capacitance),
    formula(
        networks.tuning_capacitance, "plate_capacitance",
        tune_capacitor="stray_capacitance", output_capacitance="tubes_capacitance",
    ),
    formula(networks.coil_resistance, coil_q="unloaded_q"),
    *CHAIN,
    formula(networks.tune_capacitor_needed, "tune_needed", output_capacitance="plate_capacitance"),
    formula(networks.plate_swing),
    formula(networks.tune_capacitor_voltage, "tune_voltage"),
    formula(networks.swing_at_most, "tune_voltage_mistuned"),
    formula(
        networks.capacitor_current, "tune_current", peak_voltage="plate_swing", capacitance="tune_needed",
    ),
    formula(networks.load_swing, "output_swing"),
    formula(networks.tank_coil_current, "coil_current"),
    formula(networks.coil_loss),
    formula(networks.coil_loss_modulated),
    formula(networks.network_loss),
    *OF_THE_PULSE,
    formula(networks.capacitor_reactance, "blocking_reactance", capacitance="output_blocking"),
    formula(networks.reactance_share, "blocking_share", reactance="blocking_reactance", load="load_presented"),
    formula(networks.blocking_current, output_capacitance="tubes_capacitance"),
    formula(networks.coil_reactance, "choke_reactance", inductance="output_choke"),
    formula(networks.reactance_share, "choke_share", reactance="choke_reactance", load="load_presented"),
    formula(networks.choke_current, "choke_radio_current"),
    formula(networks.coil_reactance, "safety_choke_reactance", inductance="output_safety_choke"),
    formula(networks.reactance_share, "safety_choke_share", reactance="safety_choke_reactance", load="antenna_load"),
)  # fmt: skip
PROXIMITY = Usual(1.8, 0.2, "", "terman43-rf, sec. 2 (page not verified)", "1.3 for wide to 2.5 for close spacing")
COIL = origins(
    formula(coils.toroid_inductance, "coil_from_winding"),
    formula(coils.corrected_inductance, "coil_from_winding"),
    formula(coils.lundin_coefficient, "nagaoka_coefficient"),
    formula(coils.sheet_inductance),
    formula(coils.wire_correction),
    formula(coils.turns_correction),
    formula(coils.mean_diameter, "coil_diameter"),
    formula(coils.turn_pitch),
    formula(coils.solenoid_turns, "tap_turns", wanted_inductance="tank_coil"),
    formula(coils.skin_depth),
    formula(coils.wire_length),
    formula(coils.wire_resistance),
    ("proximity_factor", PROXIMITY),
    formula(coils.solenoid_q, "coil_q_estimate", coil_inductance="coil"),
    formula(coils.self_capacitance),
    formula(coils.self_resonance, coil_inductance="coil"),
    formula(coils.coil_temperature_rise, coil_loss="coil_loss_modulated"),
)  # fmt: skip
OF_THE_FILTER = {name.removeprefix("filter_"): name for name in SLOTS}
DESIGN = origins(
    *solution(filters.filter_design_capacitors, {name.split("_")[1]: name for name in FILTER_CAPACITORS}),
    *solution(filters.filter_design_coils, {name.split("_")[1]: name for name in FILTER_COILS}),
)
AS_BUILT = origins(
    formula(filters.filter_departure, **OF_THE_FILTER),
    formula(filters.filter_loss, **OF_THE_FILTER),
    *solution(
        filters.filter_input, {"resistance": "filter_resistance", "reactance": "filter_reactance"}, **OF_THE_FILTER,
    ),
    formula(filters.filter_swr),
    *solution(
        filters.filter_strain,
        {f"{count}_voltage": f"filter_{count}_capacitor_voltage" for count in COUNTED}
        | {f"{count}_current": f"filter_{count}_coil_current" for count in COUNTED[:-1]},
        standing_wave_ratio="swr_tried", **OF_THE_FILTER,
    ),
    formula(
        filters.filter_voltage, **{f"{count}_voltage": f"filter_{count}_capacitor_voltage" for count in COUNTED},
    ),
)  # fmt: skip
LADDER = solution(
    harmonics.pi_harmonics, WEAKENED, tuning_capacitance="tuning_needed", load_capacitor="loading_set",
    coil_q="unloaded_q", **OF_THE_FILTER,
)  # fmt: skip
PLATE_ENDS = (
    formula(
        networks.tuning_capacitance, "plate_end_least",
        tune_capacitor="tune_least", output_capacitance="plate_capacitance",
    ),
    formula(
        networks.tuning_capacitance, "plate_end_most", tune_capacitor="tune", output_capacitance="plate_capacitance",
    ),
)  # fmt: skip
RANGE = {"lowest": "range_low", "highest": "range_high"}
BETWEEN = {"tuning_least": "plate_end_least", "tuning_most": "plate_end_most"}
STOPS = {**BETWEEN, "load_least": "loading_least", "load_most": "loading"}
MATCH = {"tuning": "tuning_for_match", "load": "loading_for_match"}
AT_THE_PLATE = (
    formula(
        networks.tune_capacitor_needed, "tune_for_match",
        tuning_needed="tuning_for_match", output_capacitance="plate_capacitance",
    ),
    formula(
        networks.tune_capacitor_needed, "tune_least_needed",
        tuning_needed="tuning_least_needed", output_capacitance="plate_capacitance",
    ),
    formula(
        networks.tune_capacitor_needed, "tune_most_needed",
        tuning_needed="tuning_most_needed", output_capacitance="plate_capacitance",
    ),
)  # fmt: skip
"""What is left of settings at the plate end for the tuning capacitor."""
MATCHED = (
    *AT_THE_PLATE,
    *PLATE_ENDS,
    *solution(ranges.pi_range, RANGE, **STOPS, **OF_THE_FILTER),
    *solution(matching.settings_on_circle, CIRCLE, coil_q="unloaded_q", standing_wave_ratio="swr_tried"),
    *solution(matching.settings_for_match, MATCH, coil_q="unloaded_q"),
    formula(
        matching.load_end_resistance, "loading_resistance_most",
        coil_q="unloaded_q", standing_wave_ratio="swr_tried",
    ),
    formula(
        networks.load_capacitor_voltage, "loading_voltage_mismatched", antenna_load="loading_resistance_most",
    ),
)  # fmt: skip
PI = origins(
    formula(networks.end_q, "load_q", end_load="antenna_load", end_capacitor="loading_set"),
    formula(networks.pi_branch_resistance, "branch_resistance"),
    formula(networks.pi_branch_reactance, "branch_reactance"),
    formula(networks.network_efficiency),
    formula(networks.load_capacitor_voltage, "loading_voltage"),
    formula(networks.capacitor_current, "loading_current", peak_voltage="loading_swing", capacitance="loading_set"),
    formula(networks.load_swing, "loading_swing"),
    *LADDER,
    *MATCHED,
)
PI_L = origins(
    formula(networks.coil_reactance, "output_coil_reactance", inductance="output_coil"),
    formula(networks.coil_resistance, "output_coil_resistance", tank_coil="output_coil", coil_q="unloaded_q"),
    formula(networks.output_branch_resistance),
    formula(networks.intermediate_load, antenna_load="output_branch_resistance"),
    formula(
        networks.remaining_load_capacitor, "loading_left",
        load_capacitor="loading_set", antenna_load="output_branch_resistance",
    ),
    formula(networks.end_q, "load_q", end_load="intermediate_load", end_capacitor="loading_left"),
    formula(networks.pi_branch_resistance, "branch_resistance", antenna_load="intermediate_load"),
    formula(networks.pi_branch_reactance, "branch_reactance", antenna_load="intermediate_load"),
    formula(networks.network_efficiency, "tank_coil_efficiency"),
    formula(networks.output_coil_efficiency),
    formula(networks.joined_efficiency, "network_efficiency"),
    formula(networks.load_capacitor_voltage, "loading_voltage", antenna_load="intermediate_load"),
    formula(networks.load_swing, "loading_swing", antenna_load="intermediate_load"),
    formula(networks.capacitor_current, "loading_current", peak_voltage="loading_swing", capacitance="loading_set"),
    formula(networks.output_coil_current),
    formula(
        networks.coil_loss, "output_coil_loss",
        coil_current="output_coil_current", coil_resistance="output_coil_resistance",
    ),
    *LADDER,
    *MATCHED,
)  # fmt: skip
LINK = origins(
    formula(networks.link_mutual, coupling="link_coupling"),
    formula(networks.coil_reactance, "link_coil_reactance", inductance="link_coil"),
    formula(networks.capacitor_reactance, "link_capacitor_reactance", capacitance="loading_set"),
    formula(networks.link_circuit_reactance, "link_reactance"),
    formula(networks.coil_resistance, "link_coil_resistance", tank_coil="link_coil", coil_q="unloaded_q"),
    formula(
        networks.output_branch_resistance, "link_circuit_resistance", output_coil_resistance="link_coil_resistance",
    ),
    formula(networks.link_branch_resistance, "branch_resistance", antenna_load="link_circuit_resistance"),
    formula(networks.coil_reactance, "tank_reactance", inductance="tank_coil"),
    formula(networks.link_branch_reactance, "branch_reactance", antenna_load="link_circuit_resistance"),
    formula(networks.network_efficiency, "tank_coil_efficiency"),
    formula(networks.output_coil_efficiency, output_coil_resistance="link_coil_resistance"),
    formula(networks.joined_efficiency, "network_efficiency"),
    formula(matching.link_coupling_for_match, "coupling_for_match", coil_q="unloaded_q"),
    formula(networks.output_coil_current, "link_current"),
    formula(
        networks.coil_loss, "link_loss", coil_current="link_current", coil_resistance="link_coil_resistance",
    ),
    *PLATE_ENDS,
    *solution(ranges.fixed_link_range, RANGE, coupling="link_coupling", **BETWEEN, **OF_THE_FILTER),
    *solution(
        harmonics.link_harmonics, WEAKENED, tuning_capacitance="tuning_needed", coupling="link_coupling",
        coil_q="unloaded_q", link_capacitor="loading_set", **OF_THE_FILTER,
    ),
)  # fmt: skip
LINK_TUNED_OUT = origins(
    *AT_THE_PLATE,
    *solution(ranges.link_range, RANGE, coupling="link_coupling", **STOPS, **OF_THE_FILTER),
    *solution(
        matching.link_settings_on_circle, CIRCLE,
        coil_q="unloaded_q", coupling="link_coupling", standing_wave_ratio="swr_tried",
    ),
    *solution(matching.link_settings_for_match, MATCH, coil_q="unloaded_q", coupling="link_coupling"),
    formula(
        networks.series_capacitor_voltage, "loading_voltage", capacitor_reactance="link_capacitor_reactance",
    ),
    formula(networks.lowest_resistance, "loading_resistance_least", standing_wave_ratio="swr_tried"),
    formula(
        networks.series_capacitor_voltage, "loading_voltage_mismatched",
        antenna_load="loading_resistance_least", capacitor_reactance="link_capacitor_reactance",
    ),
)  # fmt: skip
"""What a capacitor in series with the link adds."""
L_SECTION = origins(
    formula(networks.end_q, "load_q", end_load="antenna_load", end_capacitor="loading_set"),
    formula(networks.pi_branch_resistance, "branch_resistance"),
    formula(networks.pi_branch_reactance, "branch_reactance"),
    formula(networks.network_efficiency),
    *PLATE_ENDS,
    *solution(ranges.l_range, RANGE, **BETWEEN, **OF_THE_FILTER),
    *LADDER,
)
FORMS = {"pi": PI, "pi-L": PI_L, "link": LINK, "L": L_SECTION}
BEHIND = {"antenna_load": "filter_resistance", "output_coil_reactance": "filter_reactance"}
INTO_FILTER = origins(
    formula(networks.filter_efficiency),
    formula(networks.filter_power),
    formula(networks.joined_efficiency, "network_efficiency", output_coil_efficiency="filter_efficiency"),
)
"""What a filter by its parts adds to every form: its loss."""
COILS_AND_FILTER = (
    formula(networks.joined_efficiency, "coils_efficiency"),
    formula(
        networks.joined_efficiency, "network_efficiency",
        tank_coil_efficiency="coils_efficiency", output_coil_efficiency="filter_efficiency",
    ),
)  # fmt: skip
AT_LOADING = (
    formula(networks.end_q, "load_q", end_load="intermediate_load", end_capacitor="loading_left"),
    formula(networks.pi_branch_resistance, "branch_resistance", antenna_load="intermediate_load"),
    formula(networks.pi_branch_reactance, "branch_reactance", antenna_load="intermediate_load"),
    formula(
        networks.load_capacitor_voltage, "loading_voltage",
        output_power="filter_power", antenna_load="intermediate_load",
    ),
    formula(networks.load_swing, "loading_swing", output_power="filter_power", antenna_load="intermediate_load"),
    *solution(
        filters.pi_circle_behind_filter, {**CIRCLE, "load_resistance": "loading_resistance_most"},
        coil_q="unloaded_q", standing_wave_ratio="swr_tried", **OF_THE_FILTER,
    ),
)  # fmt: skip
"""Loading capacitor and coil with a filter behind them."""
PI_FILTERED = origins(
    formula(networks.intermediate_load, **BEHIND),
    formula(networks.remaining_load_capacitor, "loading_left", load_capacitor="loading_set", **BEHIND),
    formula(networks.network_efficiency, "tank_coil_efficiency"),
    *AT_LOADING,
    *solution(
        matching.settings_for_load, MATCH,
        coil_q="unloaded_q", load_resistance="filter_resistance", load_reactance="filter_reactance",
    ),
)  # fmt: skip
SECOND_COIL = {"antenna_load": "output_branch_resistance", "output_coil_reactance": "output_branch_reactance"}
PI_L_FILTERED = origins(
    formula(networks.output_branch_resistance, antenna_load="filter_resistance"),
    formula(
        networks.joined_reactance, "output_branch_reactance",
        reactance="output_coil_reactance", other_reactance="filter_reactance",
    ),
    formula(networks.intermediate_load, **SECOND_COIL),
    formula(networks.remaining_load_capacitor, "loading_left", load_capacitor="loading_set", **SECOND_COIL),
    formula(networks.output_coil_efficiency, antenna_load="filter_resistance"),
    *COILS_AND_FILTER,
    *AT_LOADING,
    *solution(
        matching.settings_for_load, MATCH,
        coil_q="unloaded_q", load_resistance="output_branch_resistance", load_reactance="output_branch_reactance",
    ),
    formula(networks.output_coil_current, output_power="filter_power", antenna_load="filter_resistance"),
)  # fmt: skip
LINK_FILTERED = origins(
    formula(
        networks.output_branch_resistance, "link_circuit_resistance",
        antenna_load="filter_resistance", output_coil_resistance="link_coil_resistance",
    ),
    formula(networks.link_circuit_reactance, "link_own_reactance"),
    formula(
        networks.joined_reactance, "link_reactance",
        reactance="link_own_reactance", other_reactance="filter_reactance",
    ),
    formula(
        networks.output_coil_efficiency,
        antenna_load="filter_resistance", output_coil_resistance="link_coil_resistance",
    ),
    *COILS_AND_FILTER,
    formula(
        networks.output_coil_current, "link_current", output_power="filter_power", antenna_load="filter_resistance",
    ),
)  # fmt: skip
LINK_TUNED_OUT_FILTERED = origins(
    *solution(
        filters.link_circle_behind_filter, {**CIRCLE, "load_resistance": "loading_resistance_least"},
        coil_q="unloaded_q", coupling="link_coupling", standing_wave_ratio="swr_tried", **OF_THE_FILTER,
    ),
    *solution(
        matching.link_settings_for_load, MATCH,
        coil_q="unloaded_q", coupling="link_coupling",
        load_resistance="filter_resistance", load_reactance="filter_reactance",
    ),
    formula(
        networks.series_capacitor_voltage, "loading_voltage",
        output_power="filter_power", antenna_load="filter_resistance", capacitor_reactance="link_capacitor_reactance",
    ),
)  # fmt: skip
L_FILTERED = origins(
    formula(
        networks.output_branch_resistance, "branch_resistance",
        antenna_load="filter_resistance", output_coil_resistance="coil_resistance",
    ),
    formula(networks.coil_reactance, "tank_reactance", inductance="tank_coil"),
    formula(
        networks.joined_reactance, "branch_reactance", reactance="tank_reactance", other_reactance="filter_reactance",
    ),
    formula(networks.network_efficiency, "tank_coil_efficiency"),
)  # fmt: skip
FILTERED = {"pi": PI_FILTERED, "pi-L": PI_L_FILTERED, "link": LINK_FILTERED, "L": L_FILTERED}
"""What a filter that is given by its parts changes in each form: the network sees its input, not the plain line."""
