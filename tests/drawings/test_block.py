"""The block diagram of any rig: nothing overlaps, no line runs through a block or through text."""

import copy
import random
from itertools import pairwise

import pytest
from reading import SVG, clashes, root, text_boxes, texts

from builder.drawings.block import KIND, made
from builder.drawings.drawing import KINDS, Medium, plans
from builder.drawings.theme import Box

KINDS_OF_STAGE = {
    "rf driver": {"plate circuit": "untuned"},
    "rf power": {},
    "crystal oscillator": {"circuit": "Pierce"},
    "speech amplifier": {"circuit": "triode"},
    "modulator": {},
}
WORDS = ["Driver", "Final amplifier of the transmitter", "Audio", "A very long name indeed for so small a stage", "X"]


def random_rig(seed):
    """A rig file of 2 to 40 blocks, wired in any way that the file allows."""
    dice = random.Random(seed)  # noqa: S311 - a rig, not a secret
    blocks = 2 + seed * 38 // 59
    supplies = max(1, dice.randint(1, max(1, blocks // 3)))
    names = [f"s{index}" for index in range(max(1, blocks - supplies))]
    wells = [f"p{index}" for index in range(supplies)]
    stages = {}
    for index, name in enumerate(names):
        kind = dice.choice(list(KINDS_OF_STAGE))
        stage = {"kind": kind, "name": dice.choice(WORDS), **KINDS_OF_STAGE[kind]}
        stage["tubes"] = {"type": dice.choice(["6146B", "811A"]), "sockets": [f"V{index}"], "service": "class A audio"}
        stage["plate"] = {"supply": dice.choice(wells), "voltage": f"{dice.randint(100, 900)} V"}
        if dice.random() < 0.5:
            stage["grid"] = {"supply": dice.choice(wells), "bias": "-50 V"}
        if index and dice.random() < 0.9:
            stage["driven by"] = dice.choice(names if dice.random() < 0.1 else names[:index])
        if kind == "modulator":
            stage["modulates"] = dice.choice(names)
        stage["output"] = {"power": f"{dice.randint(1, 900)} W"}
        stages[name] = stage
    rectifier = {"type": "1N4007", "circuit": "half wave", "legs": ["CR1"]}
    supply = {"transformer": {"part": "T1"}, "rectifier": rectifier}
    stages[names[-1]]["output"]["into"] = "antenna"
    return {
        "name": f"Rig {seed}", "what": "test", "emission": "A1A", "final": names[-1], "exciter": "an exciter",
        "carriers": {"a": {"frequency": "7.2 MHz"}}, "stages": stages,
        "supplies": {well: copy.deepcopy(supply) for well in wells},
        "parts": {"T1": {"what": "transformer"}},
    }  # fmt: skip


def boxes_of(svg):
    """Blocks: rectangles with their place."""
    return [
        Box(x, y, x + wide, y + high)
        for x, y, wide, high in (
            tuple(float(node.get(name)) for name in ("x", "y", "width", "height"))
            for node in root(svg).iter(f"{SVG}rect")
        )
    ]


def crossings(svg):
    """Stretches of lines inside blocks; touching the edge is what lines are for."""
    blocks = [box.around(-1.5) for box in boxes_of(svg)]
    found = []
    for node in root(svg).iter(f"{SVG}polyline"):
        points = [tuple(map(float, pair.split(","))) for pair in node.get("points").split()]
        for (x1, y1), (x2, y2) in pairwise(points):
            assert x1 == x2 or y1 == y2, "lines run level or upright"
            run = Box(min(x1, x2) - 0.01, min(y1, y2) - 0.01, max(x1, x2) + 0.01, max(y1, y2) + 0.01)
            found += [(run, block) for block in blocks if run.meets(block)]
    return found


@pytest.mark.parametrize("seed", range(60))
def test_any_rig_is_laid_out_without_overlap(small, seed):
    small.rig, small.readings = random_rig(seed), {"sessions": []}
    svg = made(small.examine(), Medium.PAPER).svg
    blocks = boxes_of(svg)
    assert len(blocks) >= len(small.rig["stages"]) + len(small.rig["supplies"])
    for index, one in enumerate(blocks):
        assert not [other for other in blocks[index + 1 :] if one.around(2).meets(other)]
    assert not crossings(svg)
    assert not clashes(svg, 0.5)


@pytest.mark.parametrize("seed", range(0, 60, 7))
def test_text_stays_in_its_block_or_clear_of_all_blocks(small, seed):
    small.rig, small.readings = random_rig(seed), {"sessions": []}
    svg = made(small.examine(), Medium.PAPER).svg
    for text, box in text_boxes(svg):
        touched = [block for block in boxes_of(svg) if block.meets(box)]
        assert all(
            b.left < box.left and box.right < b.right and b.top < box.top and box.bottom < b.bottom for b in touched
        ), text


def test_every_link_ends_at_its_blocks(examinations):
    from builder.drawings.block import all_points, box_of, column_widths, face, row_heights
    from builder.drawings.chain import cells, chain
    from builder.drawings.routes import grid, ways

    for examination in examinations.values():
        found = chain(examination)
        places = cells(found)
        faces = {name: face(examination, block) for name, block in found.blocks.items()}
        routed, channels = ways(found, places)
        layout = grid(row_heights(places, faces), column_widths(places, faces), channels)
        boxes = {name: box_of(places[name], faces[name], layout) for name in found.blocks}
        for way, path in zip(routed, all_points(routed, boxes, layout, places, found), strict=True):
            start, end = boxes[way.link.source].around(0.1), boxes[way.link.target].around(0.1)
            assert start.left <= path[0][0] <= start.right
            assert start.top <= path[0][1] <= start.bottom
            assert end.left <= path[-1][0] <= end.right
            assert end.top <= path[-1][1] <= end.bottom


def test_the_signal_runs_from_left_to_right(examinations):
    from builder.drawings.chain import cells, chain

    for examination in examinations.values():
        found = chain(examination)
        places = cells(found)
        for link in found.links:
            if link.kind == "signal":
                assert places[link.source].column < places[link.target].column, link
            if link.kind == "modulation":
                assert places[link.source].row > places[link.target].row, link


def test_blocks_lead_to_their_circuits_on_pages_only(examinations):
    examination = examinations["heron"]
    page, paper = (made(examination, medium).svg for medium in (Medium.PAGE, Medium.PAPER))
    links = {node.get("href") for node in root(page).iter(f"{SVG}a")}
    assert links == {
        *(f"circuit.html#stages-{name}" for name in examination.rig.stages),
        *(f"circuit.html#supplies-{name}" for name in examination.rig.supplies),
    }
    assert not list(root(paper).iter(f"{SVG}a"))


def test_an_id_with_a_blank_becomes_one_with_a_hyphen(examinations):
    assert "circuit.html#stages-audio-driver" in made(examinations["bittern"], Medium.PAGE).svg


def test_verdicts_are_told_by_shape_number_and_word(examinations):
    for examination in examinations.values():
        shown = texts(made(examination, Medium.PAPER).svg)
        for path in [f"stages.{name}" for name in examination.rig.stages]:
            count = sum(str(row.verdict) == "beyond" for row in examination.findings_on(path))
            assert not count or f"■ {count} beyond" in shown


def test_there_is_one_for_each_rig(examinations):
    for examination in examinations.values():
        assert [plan.name for plan in KINDS[KIND](examination)] == ["block"]
        assert "block" in plans(examination)


def test_rings_of_stages_do_not_hang(small):
    for name, other in (("osc", "pa"), ("pa", "osc")):
        small.rig["stages"][name]["driven by"] = other
    assert made(small.examine(), Medium.PAPER).svg


def test_a_rig_without_supplies_is_drawn(small):
    small.rig, small.readings = random_rig(20), {"sessions": []}
    small.rig["supplies"] = {}
    for stage in small.rig["stages"].values():
        stage.pop("plate"), stage.pop("grid", None)
    svg = made(small.examine(), Medium.PAPER).svg
    assert not crossings(svg)
    assert len(boxes_of(svg)) >= len(small.rig["stages"])
