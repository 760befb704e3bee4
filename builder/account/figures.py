"""Key figures and performance tables."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from builder.examination.finding import Finding
from builder.examination.value import Missing, Origin, Value
from builder.examine import Examination
from builder.quantity import show
from builder.reference.tables import word

KEY_FIGURES = ("carrier_power", "peak_envelope_power", "mean_power", "modulation_depth", "necessary_bandwidth", "mass")
"""Values of the rig as a whole that its first page shows."""
FINAL_FIGURES = ("plate_voltage", "plate_current", "dc_input", "efficiency", "plate_dissipation_per_tube")
"""Values of the final stage that the first page shows."""
SUPPLY_FIGURES = (
    "output_voltage", "supply_current", "no_load_voltage", "ripple", "filter_capacitance", "stored_energy",
    "bleeder", "bleeder_power", "longest_discharge", "discharge_time", "light_load_voltage", "regulation",
    "ripple_frequency", "section_resonance", "inverse_voltage_each", "rectifier_current", "rectifier_peak_current",
    "rectifier_effective_current", "secondary_current", "winding_volt_amperes", "capacitor_ripple_current",
    "capacitor_voltage_each", "equaliser_power", "largest_equaliser", "start_surge", "start_peak_voltage",
    "step_start_surge", "step_start_energy", "step_start_constant", "regulated_voltage", "glow_least_current",
    "glow_most_current", "glow_resistor_heat", "mains_current",
    "fault_current", "glitch_power", "return_rise",
)  # fmt: skip
STAGE_FIGURES = (
    "plate_voltage", "plate_current", "plate_idle", "dc_input", "output_power", "efficiency", "plate_dissipation",
    "plate_heat", "plate_dissipation_per_tube", "plate_dissipation_modulated", "screen_voltage", "screen_current",
    "screen_input", "grid_bias", "grid_current", "drive_power", "drive_needed", "drive_available", "heater_voltage",
    "half_angle", "fundamental_current", "plate_load", "plate_swing", "least_plate_voltage", "peak_plate_current",
    "peak_drive", "cathode_drive", "feed_through_power", "cathode_drive_power", "grid_drive_power", "grid_heat",
    "expected_grid_current", "expected_screen_current",
    "undriven_dissipation", "idle_dissipation", "two_tone_current", "two_tone_power", "two_tone_dissipation",
    "screen_heat_modulated", "modulating_impedance", "audio_power_needed", "audio_power_available",
    "reflected_load", "crest_plate_voltage", "heaters_current", "heaters_power", "stage_heat", "cooling_air",
    "airflow_needed", "air_temperature_rise", "outlet_temperature",
)  # fmt: skip
CORD_FIGURES = ("cord_current", "cord_drop")
WINDING_FIGURES = ("voltage", "winding_load", "current")
NETWORK_FIGURES = (
    "load_presented", "loaded_q", "network_efficiency", "network_loss", "tuning_needed", "plate_capacitance",
    "tune_needed", "tune_for_match", "loading_for_match", "tune_least_needed", "tune_most_needed",
    "loading_least_needed", "loading_most_needed", "range_low", "range_high", "tune_voltage",
    "tune_voltage_mistuned", "loading_voltage", "loading_voltage_mismatched", "tune_current", "loading_current",
    "coil_current", "coil_loss", "coil_loss_modulated", "coil_temperature_rise", "output_coil_current",
    "output_coil_loss", "link_current", "link_loss", "coil", "tank_coil", "tap_turns", "coil_from_winding",
    "unloaded_q", "coil_q_estimate", "self_resonance", "blocking_reactance", "blocking_share", "blocking_current",
    "choke_reactance", "choke_share", "choke_radio_current", "safety_choke_reactance", "safety_choke_share",
    "second_harmonic", "third_harmonic", "fourth_harmonic", "fifth_harmonic", "sixth_harmonic", "seventh_harmonic",
    "eighth_harmonic", "ninth_harmonic", "tenth_harmonic", "filter_loss", "filter_swr", "filter_resistance",
    "filter_reactance", "filter_voltage", "filter_departure", "link_reactance", "link_coupling",
    "coupling_for_match",
)  # fmt: skip
NETWORK_ON_CIRCUIT = (
    "load_presented", "loaded_q", "network_efficiency", "tune_needed", "tune_for_match", "loading_for_match",
    "tune_voltage", "loading_voltage_mismatched", "coil_current", "coil_loss", "coil_loss_modulated", "link_current",
    "coil", "second_harmonic", "third_harmonic",
)  # fmt: skip
"""Values that stand beside the drawing of a network; its performance table has all of them."""
NETWORK_STEPS = (
    "filter_efficiency", "filter_power", "output_branch_resistance", "output_branch_reactance", "intermediate_load",
    "loading_left", "load_q", "link_mutual", "link_circuit_resistance", "link_own_reactance", "link_reactance",
    "coil_resistance", "tank_reactance", "branch_resistance", "branch_reactance", "tank_coil_efficiency",
    "output_coil_efficiency", "coils_efficiency", "second_weakened", "third_weakened",
)  # fmt: skip
"""Steps on the way from the antenna to the tubes, which only the arithmetic shows."""
RIG_FIGURES = (*KEY_FIGURES[:-1], "carrier_power", "source_frequency", "source_component", "source_component_level")
RATED_BY = {
    "plate_voltage": "plate_voltage_rated", "plate_current": "plate_current_rated", "dc_input": "plate_input_rated",
    "plate_dissipation_per_tube": "plate_dissipation_rated", "screen_voltage": "screen_voltage_rated",
    "screen_input": "screen_input_rated", "grid_bias": "grid_voltage_rated", "grid_current": "grid_current_rated",
    "heater_voltage": "heater_voltage_nominal", "plate_dissipation_modulated": "plate_dissipation_unmodulated_rated",
    "reflected_load": "plate_to_plate_load_typical", "inverse_voltage_each": "inverse_voltage_each_rated",
    "rectifier_current": "rectifier_current_rated", "bleeder_power": "bleeder_power_rating",
    "load_presented": "plate_load", "tune_voltage": "tune_voltage_rating", "coil_current": "coil_current_rating",
    "tune_voltage_mistuned": "tune_voltage_rating", "loading_voltage": "loading_voltage_rating",
    "loading_voltage_mismatched": "loading_voltage_rating", "second_harmonic": "spurious_attenuation_rated",
    "third_harmonic": "spurious_attenuation_rated", "output_coil_current": "second_coil_current_rating",
    "filter_voltage": "filter_voltage_rating", "link_current": "link_coil_current_rating",
    "blocking_current": "output_blocking_current_rating", "tune_most_needed": "tune", "loading_most_needed": "loading",
    "coil": "coil_from_winding", "unloaded_q": "coil_q_estimate",
    "rectifier_peak_current": "rectifier_peak_current_rated", "start_surge": "start_surge_rated",
    "winding_volt_amperes": "transformer_volt_amperes", "capacitor_ripple_current": "capacitor_current_rating",
    "start_peak_voltage": "capacitor_surge_rating", "equaliser_power": "equaliser_power_rating",
    "capacitor_voltage_each": "capacitor_voltage_rating", "step_start_energy": "step_start_stands",
    "glow_most_current": "glow_most_current_rated",
    "glow_least_current": "glow_least_current_rated",
    "supply_current": "transformer_limit", "winding_load": "current", "efficiency": "efficiency_typical",
    "idle_dissipation": "plate_dissipation_rated", "two_tone_dissipation": "plate_dissipation_rated",
    "undriven_dissipation": "plate_dissipation_rated", "cord_current": "cord_current_rated",
    "fault_current": "glitch_stands", "glitch_power": "glitch_resistor_power_rating",
}  # fmt: skip
"""Which table value stands beside which value."""
ONLY_WITH = {"coil_loss_modulated": "modulation_depth"}
"""Rows that say something of their own only where another value is above zero."""
OF_THE_STAGE = ("plate_current", "dc_input", "screen_input", "grid_current")
"""Values of all tubes of a stage together; the rating of one tube is multiplied by their number."""


@dataclass(frozen=True)
class Figure:
    """A value with what it is called; the text says when there is none."""

    thing: str
    name: str
    words: str
    text: str
    origin: str


@dataclass(frozen=True)
class Row:
    """One line of a performance table.

    Args:
        name: of the value.
        words: what it is called.
        symbol: in formulas.
        measured: reading, with its accuracy; empty where there is none.
        given: as the rig file says; empty where it does not.
        computed: worked out; empty where it is not.
        rated: limit or nominal from the tables; empty where there is none.
        finding: the worst finding that judges it.
        value: the one that everything else uses.
    """

    name: str
    words: str
    symbol: str
    measured: str
    given: str
    computed: str
    rated: str
    finding: Finding | None
    value: Value


@dataclass(frozen=True)
class Group:
    """A performance table of one thing."""

    thing: str
    title: str
    note: str
    rows: tuple[Row, ...]


def key_figures(examination: Examination) -> tuple[Figure, ...]:
    """What the first page shows of a rig."""
    final = f"stages.{examination.rig.final}"
    wanted = [("rig", name) for name in KEY_FIGURES] + [(final, name) for name in FINAL_FIGURES]
    found = (figure(examination, thing, name) for thing, name in wanted)
    return tuple(item for item in found if item)


def figure(examination: Examination, thing: str, name: str) -> Figure | None:
    """One value for reading; None where it cannot be had."""
    value = examination.value(thing, name)
    return Figure(thing, name, value.words, str(value), str(value.origin)) if value else None


@cache
def performance(examination: Examination) -> tuple[Group, ...]:
    """Measured, given, computed and rated values side by side, a table for each thing that has any."""
    return tuple(group for group in _groups(examination) if group.rows)


def _groups(examination: Examination) -> Iterator[Group]:
    rig = examination.rig
    yield _group(examination, "rig", "The rig as a whole", "", RIG_FIGURES)
    for name, stage in rig.stages.items():
        tubes = getattr(stage, "tubes", None)
        note = f"{len(tubes.sockets)} × {tubes.type}, {tubes.service}" if tubes else ""
        yield _group(examination, f"stages.{name}", stage.title(name), note, STAGE_FIGURES)
    for name, network in rig.networks.items():
        yield _group(examination, f"networks.{name}", network.title(name), "", NETWORK_FIGURES)
    for name, supply in rig.supplies.items():
        yield _group(examination, f"supplies.{name}", supply.title(name), supply.feeds or "", SUPPLY_FIGURES)
    for name, winding in rig.windings.items():
        yield _group(examination, f"windings.{name}", winding.title(name), winding.part, WINDING_FIGURES)
    for name, cord in rig.cords.items():
        note = f"{cord.conductor}, {cord.length}" if cord.conductor and cord.length else ""
        yield _group(examination, f"cords.{name}", cord.title(name), note, CORD_FIGURES)


def _group(examination: Examination, thing: str, title: str, note: str, names: tuple[str, ...]) -> Group:
    sheet = examination.sheet(thing)
    known = set(sheet.names())
    told = (name for name in dict.fromkeys(names) if name in known and _says_something(examination, thing, name))
    rows = (_row(examination, thing, name) for name in told)
    return Group(thing, title, note, tuple(row for row in rows if row))


def _says_something(examination: Examination, thing: str, name: str) -> bool:
    other = examination.value(thing, ONLY_WITH[name]) if name in ONLY_WITH else None
    return other is None or other.nominal > 0


def _row(examination: Examination, thing: str, name: str) -> Row | None:
    sheet = examination.sheet(thing)
    value = sheet[name]
    if isinstance(value, Missing):
        return None
    computed = sheet.worked_out(name)
    entry = word(name)
    return Row(
        name,
        value.words,
        entry.symbol if entry else "",
        str(value) if value.origin is Origin.MEASURED else "",
        str(value) if value.origin is Origin.GIVEN else "",
        str(computed) if computed and computed.origin is Origin.COMPUTED else "",
        _rated(examination, thing, name) or (str(value) if value.origin is Origin.RATED else ""),
        finding_about(examination, thing, name),
        value,
    )


def arithmetic(examination: Examination, group: Group) -> tuple[Value, ...]:
    """Values of a group that were worked out; those of a network behind the steps that lead to them."""
    names = NETWORK_STEPS if group.thing.startswith("networks.") else ()
    known = set(examination.sheet(group.thing).names())
    steps = [examination.value(group.thing, name) for name in names if name in known]
    shown = [value for value in steps if value and value.name not in {row.name for row in group.rows}]
    return tuple(value for value in (*shown, *(row.value for row in group.rows)) if value.formula)


def _rated(examination: Examination, thing: str, name: str) -> str:
    """Limit or nominal from the tables, for as many tubes as the value is of."""
    rated = examination.value(thing, RATED_BY[name]) if name in RATED_BY else None
    if rated is None:
        return ""
    count = examination.value(thing, "tubes_count") if name in OF_THE_STAGE else None
    return show(rated.nominal * (count.nominal if count else 1), rated.shown_unit)


def finding_about(examination: Examination, thing: str, name: str) -> Finding | None:
    """The worst finding that judges a value, or its share of one tube, on the carrier that is shown."""
    names = {name, f"{name}_per_tube"}
    fitting = [row for row in examination.findings_on(thing) if row.check.parameters[0] in names]
    here = [row for row in fitting if row.carrier in {"", examination.carrier}]
    return next(iter(here or fitting), None)
