"""Sequence diagrams and chains of interlocks: nothing is written over, everything that moves is there."""

from reading import SVG, clashes, root, text_boxes, texts

from builder.account.switching import actions
from builder.drawings.drawing import Medium, plans

TELEPHONE = 390


def made(examination, name):
    return plans(examination)[name].make(Medium.PAGE)


def test_every_action_has_its_diagram(examinations):
    for found in examinations.values():
        names = {f"sequence-{action.name.replace('_', '-')}" for action in actions(found)}
        assert len(names) == 4
        assert names | {"interlocks"} <= set(plans(found))


def test_no_line_and_no_text_runs_through_text(drawings):
    for (rig, name, medium), drawing in drawings.items():
        if name.startswith(("sequence", "interlocks")):
            assert clashes(drawing.svg) == [], (rig, name, medium)


def test_text_stays_inside(drawings):
    for (rig, name, _medium), drawing in drawings.items():
        if name.startswith(("sequence", "interlocks")):
            left, top, wide, high = map(float, root(drawing.svg).get("viewBox").split())
            for text, box in text_boxes(drawing.svg):
                inside = left <= box.left and box.right <= left + wide and top <= box.top and box.bottom <= top + high
                assert inside, (rig, name, text)


def test_every_lane_and_every_moment_is_named(examinations):
    for found in examinations.values():
        for action in actions(found):
            told = texts(made(found, f"sequence-{action.name.replace('_', '-')}").svg)
            assert all(any(text.endswith(each.title) for text in told) for each in action.lanes), action.name
            assert all(edge.time.partition(" ± ")[0] in told for edge in action.edges if edge.by_hand)


def test_a_telephone_shows_the_interlocks_without_scrolling(examinations):
    for found in examinations.values():
        wide = float(root(made(found, "interlocks").svg).get("viewBox").split()[2])
        assert wide <= TELEPHONE


def test_open_and_closed_contacts_differ(examinations):
    """A blade that stands off its wire is open; that of a shut cover is not."""
    blades = [
        node.get("points").split()
        for node in root(made(examinations["bittern"], "interlocks").svg).iter(f"{SVG}polyline")
        if node.get("stroke-width") == "2"
    ]
    upright = [blade for blade in blades if blade[0].split(",")[0] == blade[1].split(",")[0]]
    assert len(upright) == 2
    assert len(blades) == 9
