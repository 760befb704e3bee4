"""Panels: to scale, everything lettered, nothing overprinted."""

import pytest
from reading import SVG, clashes, root, text_boxes, texts

from builder.drawings.drawing import Medium, plans
from builder.drawings.panel import CAPTION, SHAPES, made
from builder.rig.model import Opening, Panel

SHAPE_NAMES = sorted(Opening.model_fields["shape"].annotation.__args__)
PANEL = {
    "what": "front panel",
    "width": "19 in",
    "height": "10.5 in",
    "openings": [
        {"part": f"M{at}", "label": shape.upper(), "x": f"{2 + 2 * at} in", "y": "5 in", "hole": "0.5 in",
         "face": "1.5 in", "shape": shape}
        for at, shape in enumerate(SHAPE_NAMES)
    ],
}  # fmt: skip


@pytest.fixture
def panel():
    return Panel.model_validate(PANEL)


def test_every_shape_of_the_rig_file_can_be_drawn():
    assert set(SHAPE_NAMES) == set(SHAPES)


def test_labels_parts_dimensions_and_caption_are_there(panel):
    told = texts(made("front", panel, Medium.PAPER).svg)
    for opening in panel.openings:
        assert opening.label in told
        assert opening.part in told
    assert {"19 in", "10.5 in", CAPTION} <= set(told)


def test_the_panel_is_to_scale(panel):
    box = next(root(made("front", panel, Medium.PAPER).svg).iter(f"{SVG}rect"))
    assert float(box.get("width")) / float(box.get("height")) == pytest.approx(19 / 10.5, abs=0.01)


def test_openings_stand_where_the_file_says(panel):
    svg = root(made("front", panel, Medium.PAPER).svg)
    scale = float(next(svg.iter(f"{SVG}rect")).get("width")) / panel.width.value
    high = panel.height.value * scale
    jack = next(opening for opening in panel.openings if opening.shape == "jack")
    spots = [(float(node.get("cx")), float(node.get("cy"))) for node in svg.iter(f"{SVG}circle")]
    wanted = (jack.x.value * scale, high - jack.y.value * scale)
    assert any(spot == pytest.approx(wanted, abs=0.02) for spot in spots)


def test_text_lies_free_on_every_panel(examinations):
    for examination in examinations.values():
        for name, plan in plans(examination).items():
            if name.startswith("panel"):
                drawing = plan.make(Medium.PAPER)
                assert not clashes(drawing.svg), (examination.id, name)
                assert text_boxes(drawing.svg)


def test_text_of_the_panel_is_escaped():
    panel = Panel.model_validate({**PANEL, "what": '<i>"&', "openings": [{**PANEL["openings"][0], "label": "<b>&"}]})
    drawing = made("front", panel, Medium.PAGE)
    assert "<b>" not in drawing.svg
    assert "<b>&" in texts(drawing.svg)
    assert root(drawing.svg)[0].text == '<i>"&'
