"""The chapters of the hand-off document as plain data; a chapter without data says so in print."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from builder.account import exposure, figures, operating, safety, service, story, switching, tuning
from builder.examine import Examination
from builder.quantity import show
from builder.rig.load import Content
from builder.rig.model import Opening, Panel
from builder.rig.part import Part
from builder.rig.stage import TubeStage

from . import figures as drawn
from . import workings
from .edition import long_date
from .lay import belongs, capital, contact, wait
from .paper import DrawingOf

Rows = list[list[str]]
Chapter = dict[str, Any]
DASH = "\N{EN DASH}"
OPERATING_POINT = (
    "plate_voltage", "plate_current", "plate_idle", "screen_voltage", "screen_current", "grid_bias", "grid_current",
    "dc_input", "output_power", "efficiency", "modulating_impedance", "reflected_load",
)  # fmt: skip
"""Values that stand beside the schematic of a stage."""
RESTS_ON = (
    "Computed figures rest on the formulas and tables named with them and on the values that the builder wrote down. "
    "They hold for the rig as described, with parts at their marked values, and no better than those. Measured figures "
    "are as good as the meters named beside them; a band after ± holds 19 times in 20. Nobody has tested the rig for "
    "this paper."
)


def identification(content: Content, examination: Examination) -> Chapter:
    """What it is, and its key figures."""
    rig, station = examination.rig, content.station
    rows = [
        ["Name", rig.name], ["What it is", rig.what], ["Station", f"{station.signs}, {station.name}"],
        ["Built", rig.built or ""], ["Emission", rig.emission], ["Driven by", rig.exciter or ""],
        ["Frequencies", ", ".join(str(row.frequency) for row in rig.carriers.values())],
        ["Mains", f"{station.mains.voltage}, {station.mains.frequency}"], ["Weight", str(rig.mass or "")],
        ["Size", rig.size or ""], ["Licence class", f"{station.license_class} ({station.rules.upper()} rules)"],
    ]  # fmt: skip
    key = [[row.words, row.text, row.origin] for row in figures.key_figures(examination)]
    return {"facts": [row for row in rows if row[1]], "key": key, "tally": workings.tally(examination)}


def goes_with(content: Content, examination: Examination) -> Chapter:
    """What belongs to the rig, and the antennas of the station."""
    rows = content.station.antennas.values()
    antennas = [[row.what, row.feeder or DASH, str(row.height or DASH)] for row in rows]
    return {"belongs": belongs(examination), "antennas": antennas}


def hazards(examination: Examination, drawing: DrawingOf) -> Chapter:
    """Every call-out, stored charge by supply, and what protects people."""
    chain = drawn.figure(drawing, "interlocks", "What takes the plate supplies off the line, contact by contact.")
    protects = examination.rig.safety
    answers = examination.rig.hazards
    rows = [
        ["Main switch", protects.main_switch or examination.station.main_switch or ""],
        ["Interlocks", "; ".join(protects.interlocks)], ["Discharge stick", protects.ground_stick or ""],
        ["Protective earth", protects.protective_earth or ""], ["Stays live", "; ".join(protects.stays_live)],
    ]  # fmt: skip
    return {
        "call_outs": [call_out(row) for row in safety.call_outs(examination)],
        "highest": safety.highest_voltage(examination),
        "charges": charges(examination),
        "distances": [
            [row.frequency, row.antenna, row.mean, row.controlled, row.uncontrolled]
            for row in exposure.distances(examination)
        ],
        "answers": [[name.replace("_", " ").replace("pcb", "PCB"), getattr(answers, name)] for name in safety.FACTS],
        "protects": [[name, text or "not recorded"] for name, text in rows],
        "interlocks": chain.data if chain else None,
    }


def call_out(row: safety.CallOut) -> dict[str, str]:
    """One caution with its level by word and shape."""
    return {
        "level": str(row.level), "mark": safety.MARK[row.level], "title": row.title, "happens": row.happens,
        "do": row.do, "never": row.never, "ask": row.ask, "because": row.because,
    }  # fmt: skip


def charges(examination: Examination) -> Rows:
    """Stored charge: supply, voltage, energy, waiting time."""
    return [[row.title, row.volts, row.joules, row.wait] for row in safety.charges(examination)]


def make_safe(content: Content, examination: Examination) -> Chapter:
    """The steps in order, and whom to call."""
    return {
        "wait": wait(examination),
        "steps": [{"do": row.do, "know": row.know} for row in safety.make_safe(examination)],
        "emergency": [contact(row) for row in content.station.emergency],
        "contacts": [contact(row) for row in content.station.contacts],
    }


def operation(examination: Examination, drawing: DrawingOf) -> Chapter:
    """Procedures, what the relays do, tuning chart, expected readings."""
    heads, rows = operating.settings(examination)
    procedures = [
        {
            "title": item.title,
            "steps": [{"do": row.do, "see": row.see or "", "caution": row.caution or ""} for row in item.steps],
        }
        for item in operating.procedures(examination)
    ]
    return {
        "procedures": procedures,
        "actions": [switched(drawing, action) for action in switching.actions(examination)],
        "differences": list(switching.differences(examination)),
        "legend": switching.LEGEND,
        "heads": list(heads),
        "settings": [list(row) for row in rows],
        "readings": [expected(row) for row in operating.expected_readings(examination)],
    }


def switched(drawing: DrawingOf, action: switching.Action) -> dict[str, Any]:
    """One action: its diagram and its events."""
    name = f"sequence-{action.name.replace('_', '-')}"
    picture = drawn.figure(drawing, name, f"{action.title}: what follows what.")
    rows = [[edge.time, capital(edge.what), edge.because] for edge in action.edges]
    return {"title": action.title, "figure": picture.data if picture else None, "rows": rows}


def expected(row: operating.Expected) -> dict[str, Any]:
    """What a meter should show, and where on its scale; what lies beyond the scale has no place on it."""
    beyond = ", beyond the scale" if row.red_share is not None and on_scale(row.red_share) is None else ""
    return {
        "label": row.label, "shows": row.shows, "reading": row.reading, "scale": row.scale,
        "red": f"{row.red_line}{beyond}", "share": on_scale(row.share), "red_share": on_scale(row.red_share),
    }  # fmt: skip


def on_scale(share: float | None) -> float | None:
    """A share of the scale; None where there is none or where it lies outside."""
    return share if share is not None and 0 <= share <= 1 else None


def circuit(examination: Examination, drawing: DrawingOf) -> Chapter:
    """Block diagram; every stage and supply with its schematic and operating point; curves."""
    rig = examination.rig
    stages = [stage(examination, drawing, name) for name in rig.stages]
    supplies = [supply(examination, drawing, name) for name in rig.supplies]
    block = drawn.figure(drawing, "block", drawn.block_caption(examination))
    return {"block": block.data if block else None, "stages": stages, "supplies": supplies}


def stage(examination: Examination, drawing: DrawingOf, name: str) -> dict[str, Any]:
    """One stage: what it does, with which tubes, at which operating point."""
    found = examination.rig.stages[name]
    tubes = ""
    if isinstance(found, TubeStage):
        tubes = f"{drawn.tubes_of(found)} ({', '.join(found.tubes.sockets)}), {found.tubes.service}"
    picture = drawn.figure(drawing, f"fragment-stages-{name}", drawn.stage_caption(examination, name))
    return {
        "title": found.title(name),
        "does": found.does or "",
        "tubes": tubes,
        "figure": picture.data if picture else None,
        "point": point(examination, f"stages.{name}", OPERATING_POINT),
    }


def supply(examination: Examination, drawing: DrawingOf, name: str) -> dict[str, Any]:
    """One supply: what it feeds, its schematic, its figures, how its charge falls."""
    found = examination.rig.supplies[name]
    picture = drawn.figure(drawing, f"fragment-supplies-{name}", drawn.supply_caption(examination, name))
    decay = drawn.figure(drawing, f"decay-{name}", drawn.decay_caption(examination, name))
    return {
        "title": found.title(name),
        "does": f"feeds {found.feeds}" if found.feeds else "",
        "tubes": f"{found.rectifier.type}, {found.rectifier.circuit}",
        "figure": picture.data if picture else None,
        "point": point(examination, f"supplies.{name}", figures.SUPPLY_FIGURES[:9]),
        "decay": decay.data if decay else None,
    }


def point(examination: Examination, thing: str, names: tuple[str, ...]) -> Rows:
    """Values of a thing as words, number and how it came about."""
    known = set(examination.sheet(thing).names())
    found = (figures.figure(examination, thing, name) for name in names if name in known)
    return [[row.words, row.text, row.origin] for row in found if row]


def output_network(examination: Examination, drawing: DrawingOf) -> list[Chapter]:
    """Every network: its figures, what changes from carrier to carrier, the parts of its filter, its response."""
    return [network(examination, drawing, name) for name in examination.rig.networks]


def network(examination: Examination, drawing: DrawingOf, name: str) -> Chapter:
    """One network with a column for each carrier, since a page has more room downwards than across."""
    heads, rows = tuning.by_carrier(examination, name)
    filter_heads, filter_rows = tuning.filter_parts(examination, name)
    found = examination.rig.networks[name]
    title = found.title(name)
    picture = drawn.figure(drawing, f"response-{name.replace(' ', '-')}", f"{title}: what it lets through.")
    return {
        "title": title,
        "point": point(examination, f"networks.{name}", figures.NETWORK_ON_CIRCUIT),
        "carriers": [heads[0], *(row[0] for row in rows)],
        "settings": [[head, *(row[at] for row in rows)] for at, head in enumerate(heads) if at],
        "filter_heads": list(filter_heads),
        "filter": [list(row) for row in filter_rows],
        "figure": picture.data if picture else None,
    }


def performance(examination: Examination, drawing: DrawingOf) -> Chapter:
    """Measured, given, computed and rated values side by side, and the pictures of the modulation."""
    names = {"envelope": drawn.envelope_caption(examination), "trapezoid": "The same modulation as a trapezoid."}
    pictures = (drawn.figure(drawing, name, caption) for name, caption in names.items())
    return {
        "groups": [
            {"title": group.title, "note": group.note, "rows": [performance_row(row) for row in group.rows]}
            for group in figures.performance(examination)
        ],
        "figures": [picture.data for picture in pictures if picture],
    }


def performance_row(row: figures.Row) -> dict[str, Any]:
    """One line of a performance table."""
    return {
        "cells": [row.words, *(text or DASH for text in (row.measured, row.given, row.computed, row.rated))],
        "verdict": workings.verdict(row.finding.verdict) if row.finding else None,
    }


def checks(examination: Examination) -> Chapter:
    """Open checks with their arithmetic, those that could not be made, those that are met."""
    return {
        "tally": workings.tally(examination),
        "open": workings.opened(examination),
        "unsettled": workings.unsettled(examination),
        "settled": workings.settled(examination),
    }


def repairs(content: Content, examination: Examination) -> Chapter:
    """Voltage chart, faults, readings over time, what became of findings."""
    chart = [[row.sockets, row.type, row.stage, *row.cells] for row in service.voltage_chart(examination)]
    trends = [
        {"words": f"{row.words}, {thing_title(examination, row.thing)}", "readings": _readings(row)}
        for row in service.trends(examination)
    ]
    turns = [
        [long_date(row.date), row.check, row.title, workings.verdict(row.before), workings.verdict(row.after)]
        for row in service.turns(examination, content)
    ]
    faults = [[row.sign, row.cause, row.remedy] for row in examination.rig.faults]
    return {"chart": chart, "faults": faults, "trends": trends, "turns": turns}


def _readings(trend: service.Trend) -> Rows:
    return [[long_date(date), text, note.partition(", ")[2]] for date, text, note in trend.readings]


def thing_title(examination: Examination, path: str) -> str:
    """What a thing is called, from its path."""
    found = examination.sheets[examination.carrier].things.get(path)
    return found.title(path.rsplit(".", 1)[-1]) if found else path


def parts(examination: Examination) -> Rows:
    """The parts list: designator, what, value, ratings, how many, spares, note."""
    return [part_row(name, part) for name, part in examination.rig.parts.items()]


def part_row(name: str, part: Part) -> list[str]:
    """One line of the parts list."""
    ratings = (part.power, part.voltage, part.current, part.resistance)
    told = f"{part.what}. {part.note}" if part.note else part.what
    spread = f" ± {show(part.tolerance.value, '%')}" if part.tolerance else ""
    value = f"{show(part.value.value, part.value.unit)}{spread}" if part.value else ""
    rated = ", ".join(show(item.value, item.unit) for item in ratings if item)
    spares = "" if part.spares is None else str(part.spares)
    return [name, told, value, rated, str(part.count) if part.count > 1 else "", spares]


def tubes(examination: Examination) -> Chapter:
    """Every socket with its tube, and the spares."""
    rig = examination.rig
    rows = [
        [socket, stage.tubes.type, stage.title(name), stage.tubes.service, _spares(examination, socket)]
        for name, stage in rig.stages.items()
        if isinstance(stage, TubeStage)
        for socket in stage.tubes.sockets
    ]
    rows += [
        [", ".join(supply.rectifier.legs), supply.rectifier.type, supply.title(name), supply.rectifier.circuit, ""]
        for name, supply in rig.supplies.items()
    ]
    return {"sockets": rows, "spares": [[row.type, str(row.count), row.note or ""] for row in rig.spares]}


def _spares(examination: Examination, socket: str) -> str:
    part = examination.rig.parts.get(socket)
    return "" if part is None or part.spares is None else str(part.spares)


def construction(examination: Examination, drawing: DrawingOf) -> list[Chapter]:
    """Every panel with its drawing and its holes."""
    parts_of_rig = examination.rig.parts
    return [panel(drawing, name, row, parts_of_rig) for name, row in examination.rig.panels.items()]


def panel(drawing: DrawingOf, name: str, row: Panel, known: Mapping[str, Part]) -> Chapter:
    """One panel.

    Args:
        drawing: gives the rig's drawings.
        name: of the panel.
        row: the panel.
        known: parts of the rig by designator.
    """
    sheet = ", ".join(str(item) for item in (row.thickness, row.metal) if item)
    caption = f"{capital(row.what)}, {row.width} × {row.height}{f', {sheet}' if sheet else ''}."
    picture = drawn.figure(drawing, f"panel-{name}", caption)
    holes = [_hole(item, known) for item in row.openings]
    return {
        "title": capital(row.what),
        "caption": caption,
        "figure": picture.data if picture else None,
        "holes": holes,
    }


def _hole(row: Opening, known: Mapping[str, Part]) -> list[str]:
    what = known[row.part].what if row.part and row.part in known else DASH
    return [row.part or DASH, row.label or DASH, what, str(row.x), str(row.y), str(row.hole)]


def history(examination: Examination) -> Rows:
    """Changes by date: day, what, why."""
    return [[long_date(row.date), row.what, row.why or ""] for row in examination.rig.history]


def own_words(examination: Examination) -> list[Chapter]:
    """The builder's story, block by block."""
    return [block_data(block) for block in story.blocks(examination)]


def block_data(block: story.Block) -> Chapter:
    """A block of a story as templates take it."""
    runs = [{"text": run.text, "style": run.style} for run in block.runs]
    return {"kind": block.kind, "level": block.level, "runs": runs}


def rests_on(content: Content) -> list[str]:
    """What the computed figures rest on, and what comes before them."""
    rules = content.station.rule_table
    told = [RESTS_ON]
    if rules:
        told.append(f"Rule table: {rules.country}, as of {long_date(rules.date)}. {rules.caution}")
    return [*told, safety.DEFER]
