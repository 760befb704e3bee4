"""What holds for every drawing of the demo rigs, in both media."""

import re
import subprocess
import sys

from reading import SVG, ids, root

from builder.drawings.drawing import Medium, plans


def test_there_are_drawings_of_every_kind(drawings):
    names = {name for _rig, name, _medium in drawings}
    assert {"block", "envelope", "trapezoid", "decay-hv", "fragment-stages-pa", "fragment-supplies-hv"} <= names


def test_each_parses_with_title_and_description_first(drawings):
    for key, drawing in drawings.items():
        svg = root(drawing.svg)
        assert [node.tag for node in svg[:2]] == [f"{SVG}title", f"{SVG}desc"], key
        assert svg[0].text == drawing.title, key
        assert svg[1].text == drawing.description, key
        assert svg.get("role") == "img", key
        assert svg.get("aria-labelledby").split() == [svg[0].get("id"), svg[1].get("id")], key


def test_none_holds_script_raster_style_rules_or_foreign_addresses(drawings):
    for key, drawing in drawings.items():
        tags = {node.tag.removeprefix(SVG) for node in root(drawing.svg).iter()}
        assert not tags & {"script", "image", "style", "foreignObject", "metadata"}, key
        addresses = set(re.findall(r"https?://[^\"' ]+", drawing.svg))
        assert addresses <= {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}, key


def test_each_can_stand_in_a_page_of_markdown(drawings):
    for key, drawing in drawings.items():
        assert drawing.svg.startswith("<svg "), key
        assert "\n\n" not in drawing.svg, key
        assert drawing.svg.count("<svg") == 1, key


def test_ids_are_unique_and_begin_with_the_name(drawings):
    for (rig, name, medium), drawing in drawings.items():
        found = ids(drawing.svg)
        assert len(found) == len(set(found)), (rig, name, medium)
        assert all(one.startswith(f"{name}-") for one in found), (rig, name, medium)


def test_references_inside_a_drawing_lead_somewhere(drawings):
    for key, drawing in drawings.items():
        wanted = set(re.findall(r'(?:url\(|href=")#([^)"]+)', drawing.svg))
        assert wanted <= set(ids(drawing.svg)), key


def test_paper_has_literal_colours_only(drawings):
    for key, drawing in drawings.items():
        if key[2] is Medium.PAPER:
            assert "var(" not in drawing.svg, key
            assert "currentColor" not in drawing.svg, key


def test_pages_follow_the_reader_and_every_variable_has_a_fallback(drawings):
    for key, drawing in drawings.items():
        assert "#0101f" not in drawing.svg, key
        if key[2] is Medium.PAGE:
            assert "currentColor" in drawing.svg, key
            assert all(", #" in found for found in re.findall(r"var\([^)]*\)", drawing.svg)), key


def test_the_same_rig_gives_the_same_bytes(examinations, drawings):
    for rig, examination in examinations.items():
        for name, plan in plans(examination).items():
            assert plan.make(Medium.PAGE) == drawings[rig, name, Medium.PAGE], (rig, name)


def test_another_process_gives_the_same_bytes(drawings):
    code = (
        "import hashlib, pathlib\n"
        "from builder.rig.load import load\n"
        "from builder.examine import examine\n"
        "from builder.drawings.drawing import Medium, plans\n"
        "content = load(pathlib.Path('content'))\n"
        "found = plans(examine(content, content.rig('heron')))\n"
        "text = ''.join(found[name].make(Medium.PAGE).svg for name in ('block', 'envelope', 'fragment-stages-pa'))\n"
        "print(hashlib.sha256(text.encode()).hexdigest())\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    import hashlib

    text = "".join(drawings["heron", name, Medium.PAGE].svg for name in ("block", "envelope", "fragment-stages-pa"))
    assert done.stdout.strip() == hashlib.sha256(text.encode()).hexdigest()


def test_planning_loads_no_drawing_library():
    code = (
        "import pathlib, sys\n"
        "from builder.rig.load import load\n"
        "from builder.examine import examine\n"
        "from builder.drawings.drawing import plans\n"
        "content = load(pathlib.Path('content'))\n"
        "plans(examine(content, content.rigs[0]))\n"
        "print([name for name in ('schemdraw', 'matplotlib') if name in sys.modules])\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_circuits_do_not_load_the_plotting_library():
    code = (
        "import pathlib, sys\n"
        "from builder.rig.load import load\n"
        "from builder.examine import examine\n"
        "from builder.drawings.drawing import Medium, plans\n"
        "content = load(pathlib.Path('content'))\n"
        "plans(examine(content, content.rigs[0]))['fragment-stages-pa'].make(Medium.PAGE)\n"
        "print('matplotlib.pyplot' in sys.modules, 'matplotlib' in sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False False"
