"""Schematic fragments: complete, legible, and shy of inventing anything."""

import itertools

import pytest
from reading import clashes, root, texts

from builder import discover
from builder.drawings.drawing import FRAGMENTS, Medium, plans
from builder.rig.stage import STAGE_KINDS
from builder.rig.thing import fields_of


def test_every_kind_of_stage_has_a_fragment():
    discover.modules("builder.rig.stages")
    discover.modules("builder.drawings.fragments")
    for kind in (*STAGE_KINDS, "supply"):
        assert kind in FRAGMENTS, f"kind '{kind}' has no fragment: add drawings/fragments/{kind.replace(' ', '_')}.py"


OF_THE_CONTROL_CIRCUIT = {("protected by",)}
"""Parts whose wiring the rig file does not tell, so that a fragment does not invent it."""


def test_every_part_that_a_thing_names_is_drawn(examinations, drawings):
    for rig, examination in examinations.items():
        things = {f"stages.{name}": stage for name, stage in examination.rig.stages.items()}
        things |= {f"supplies.{name}": supply for name, supply in examination.rig.supplies.items()}
        for path, thing in things.items():
            shown = " ".join(texts(drawings[rig, f"fragment-{slug(path)}", Medium.PAPER].svg))
            for field, value, refers in fields_of(thing):
                drawn = refers and refers.what == "parts" and field not in OF_THE_CONTROL_CIRCUIT
                if drawn and value in examination.rig.parts:
                    assert value in shown, f"{rig} {path}: {field} {value} is not drawn"


def test_sockets_and_networks_are_drawn(examinations, drawings):
    for rig, examination in examinations.items():
        for name, stage in examination.rig.stages.items():
            shown = " ".join(texts(drawings[rig, f"fragment-stages-{slug(name)}", Medium.PAPER].svg))
            for socket in stage.tubes.sockets:
                assert socket in shown, (rig, name)
            network = examination.rig.networks.get(getattr(stage.output, "network", None) or "")
            for _field, value, refers in fields_of(network) if network else ():
                assert not refers or refers.what != "parts" or value in shown, (rig, name, value)


def test_no_designator_is_drawn_that_the_rig_does_not_have(examinations, drawings):
    for (rig, name, _medium), drawing in drawings.items():
        if name.startswith("fragment"):
            known = set(examinations[rig].rig.parts) | {"Y"}
            lone = [text for text in texts(drawing.svg) if text[:1] in "RCL" and text[1:].isdigit()]
            assert set(lone) <= known, (rig, name)


def test_text_lies_free(drawings):
    for key, drawing in drawings.items():
        if key[1].startswith("fragment"):
            found = [clash for clash in clashes(drawing.svg) if clash not in {"line through mA", "line through A"}]
            assert not found, key


def test_everything_lies_inside_the_frame(drawings):
    from reading import runs, text_boxes

    for key, drawing in drawings.items():
        if key[1].startswith(("fragment", "block", "panel")):
            left, top, wide, high = map(float, root(drawing.svg).get("viewBox").split())
            for text, box in text_boxes(drawing.svg):
                assert left <= box.left, (key, text)
                assert box.right <= left + wide, (key, text)
                assert top <= box.top, (key, text)
                assert box.bottom <= top + high, (key, text)
            for x1, y1, x2, y2 in runs(drawing.svg):
                assert left <= min(x1, x2), key
                assert max(x1, x2) <= left + wide, key
                assert top <= min(y1, y2), key
                assert max(y1, y2) <= top + high, key


BARE = {
    "crystal oscillator": {"circuit": "Pierce"},
    "rf driver": {"plate circuit": "untuned"},
    "rf power": {},
    "cathode driven": {},
    "speech amplifier": {"circuit": "one triode"},
    "modulator": {},
}


@pytest.mark.parametrize("kind", sorted(BARE))
@pytest.mark.parametrize("tube", ["6146B", "811A", "12AX7", "6AG7"])
def test_a_bare_stage_has_no_parts_and_breaks_nothing(small, kind, tube):
    small.rig["stages"] = {
        "pa": {"kind": kind, "tubes": {"type": tube, "sockets": ["V2"], "service": "class A audio"}, **BARE[kind]}
    }
    svg = drawing_of(small, "fragment-stages-pa")
    assert not clashes(svg)
    assert not [text for text in texts(svg) if text[:1] in "RCLT" and text[1:].isdigit()]


CIRCUITS = ["full wave", "bridge", "half wave", "doubler"]
RECTIFIERS = ["1N4007", "866A", "5U4GB", "GZ34"]
FILTERS = [
    [],
    [{"capacitor": "C1"}],
    [{"capacitor": "C1", "string": "2", "equaliser": "R1"}],
    [{"capacitor": "C1", "string": "8", "equaliser": "R1"}],
    [{"choke": "L1"}, {"capacitor": "C1"}],
    [{"capacitor": "C1", "string": "2", "equaliser": "R1"}, {"resistor": "R4"}, {"capacitor": "C1"}],
    [{"choke": "L1"}, {"capacitor": "C1"}, {"choke": "L1"}, {"capacitor": "C1"}, {"choke": "L1"}, {"capacitor": "C1"}],
]
PARTS = {
    "T1": {"what": "transformer"},
    "C1": {"what": "filter capacitor", "value": "100 uF", "voltage": "450 V", "count": "8"},
    "R1": {"what": "sharing resistor", "value": "470 kohm", "count": "8"},
    "R2": {"what": "bleeder", "value": "100 kohm"},
    "R3": {"what": "step start", "value": "100 ohm"},
    "R4": {"what": "filter resistor", "value": "470 ohm"},
    "R5": {"what": "resistor before the glow tubes", "value": "5 kohm"},
    "T2": {"what": "variable transformer"},
    "L1": {"what": "choke", "value": "10 H", "resistance": "100 ohm"},
    "F1": {"what": "fuse"},
}


@pytest.mark.parametrize(("circuit", "type_", "filter_"), list(itertools.product(CIRCUITS, RECTIFIERS, FILTERS)))
def test_every_kind_of_supply_is_legible(small, circuit, type_, filter_):
    legs = [f"CR{index}" for index in range(1, {"full wave": 3, "bridge": 5, "half wave": 2, "doubler": 3}[circuit])]
    supply = {
        "transformer": {"part": "T1", "secondary": "1200 V", "tap": "centre" if circuit == "full wave" else "none"},
        "rectifier": {"type": type_, "circuit": circuit, "legs": legs, "in series": "4"},
        "filter": filter_, "bleeder": "R2", "fuse": {"part": "F1", "rating": "5 A"}, "step start": "R3",
    }  # fmt: skip
    small.rig["parts"] |= PARTS
    small.rig["supplies"]["test"] = supply
    svg = drawing_of(small, "fragment-supplies-test")
    assert not clashes(svg)
    assert {"T1", "F1", "R2", "R3", *legs} <= set(texts(svg))


@pytest.mark.parametrize("sockets", [["V8"], ["V8", "V9"]])
@pytest.mark.parametrize("circuit", CIRCUITS)
def test_a_regulated_supply_with_variable_transformer_is_legible(small, circuit, sockets):
    legs = ["CR1", "CR2", "CR3", "CR4"] if circuit == "bridge" else ["CR1", "CR2"]
    small.rig["parts"] |= PARTS
    small.rig["supplies"]["test"] = {
        "transformer": {"part": "T1", "secondary": "600 V", "tap": "none"},
        "rectifier": {"type": "1N4007", "circuit": circuit, "legs": legs},
        "variable": {"part": "T2", "setting": "92 %"},
        "filter": [{"capacitor": "C1", "string": "2", "equaliser": "R1"}], "bleeder": "R2",
        "regulator": {"type": "OD3", "sockets": sockets, "through": "R5", "least load": "5 mA", "most load": "20 mA"},
    }  # fmt: skip
    svg = drawing_of(small, "fragment-supplies-test")
    assert not clashes(svg)
    assert {"T2", "R5", *sockets} <= set(texts(svg))


@pytest.mark.parametrize("bypass", [None, "C61"])
@pytest.mark.parametrize("stage", ["osc", "pa"])
def test_a_divided_screen_is_legible(small, stage, bypass):
    small.rig["parts"]["R60"] = {"what": "lower divider resistor", "value": "30 kohm", "power": "5 W"}
    small.rig["parts"]["C61"] = {"what": "screen bypass", "value": "10 nF"}
    screen = small.rig["stages"][stage]["screen"]
    screen |= {"to earth": "R60"} | ({"bypass": bypass} if bypass else {})
    svg = drawing_of(small, f"fragment-stages-{stage}")
    assert not clashes(svg)
    assert "R60" in texts(svg)


def test_text_from_the_rig_file_is_escaped(small):
    small.rig["name"] = '<b>&"'
    small.rig["stages"]["pa"]["name"] = '<script>alert("x")</script> & id="a"'
    for name in ("fragment-stages-pa", "block", "envelope"):
        svg = drawing_of(small, name)
        assert "<script" not in svg
        assert "<b>" not in svg
        assert root(svg) is not None


def drawing_of(small, name):
    return plans(small.examine())[name].make(Medium.PAPER).svg


def slug(path):
    return path.replace(".", "-").replace(" ", "-")


@pytest.mark.parametrize("switch", [None, "S9"])
def test_a_link_is_drawn_whole_and_its_text_lies_free(small, switch):
    """Tank, link, its capacitor and the filter, each with its designator; with a band switch and without."""
    small.take_a_link()
    if switch:
        small.rig["parts"][switch] = {"what": "band switch"}
        small.rig["networks"]["tank"]["switch"] = switch
    drawn = plans(small.examine())["fragment-stages-pa"].make(Medium.PAPER).svg
    assert {"C21", "L6", "L9", "C22", "C31F", "L31", "C32F", "L32", "C33F", "L7"} <= set(texts(drawn))
    assert not clashes(drawn)
