"""Every paper of a small rig and of the demo rigs, as a printer, a screen reader and an archive would take them."""

import io
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from pypdf import PdfReader

from builder.account import safety
from builder.examine import examine
from builder.papers import chapters
from builder.papers.paper import PAPERS, drawn, papers
from builder.rig.load import load

CONTENT = Path(__file__).parents[2] / "content"
DEMO = ("bittern", "heron", "kestrel")
NASTY = '#panic("x") *a* $b$ <c> \\ `d` "e" [f] @g'
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="100%" viewBox="0 0 400 200"><title>t</title>'
    "<desc>boxes &amp; arrows</desc>"
    '<rect width="400" height="200" fill="none" stroke="#101010"/><text x="9" y="90">block</text></svg>'
)


def no_drawing(_name):
    return None


def by_name(content, examination, drawing=no_drawing):
    """Files of all papers, without the rig's name in front."""
    return {row.name.removeprefix(f"{examination.id}-"): row for row in papers(content, examination, drawing)}


@cache
def demo():
    return load(CONTENT)


@cache
def demo_papers(rig):
    examination = examine(demo(), demo().rig(rig))
    return examination, by_name(demo(), examination, drawn(examination))


@pytest.fixture
def made(small):
    content = small.load()
    examination = examine(content, content.rigs[0])
    return content, examination


@pytest.fixture
def files(made):
    return by_name(*made)


@cache
def reader(file):
    return PdfReader(io.BytesIO(file.content))


@cache
def words(file, page=None):
    """Text of a page, or of all, with blanks made single."""
    pages = reader(file).pages
    text = " ".join(row.extract_text() for row in (pages if page is None else [pages[page]]))
    return re.sub(r"\s+", " ", text).replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")


def fonts(file):
    """Every font of a PDF with its descriptor."""
    for page in reader(file).pages:
        for font in (page.get("/Resources", {}).get("/Font") or {}).values():
            inner = font.get_object()
            below = inner["/DescendantFonts"][0].get_object() if "/DescendantFonts" in inner else inner
            yield below["/BaseFont"], below["/FontDescriptor"].get_object()


def test_every_paper_is_made(files):
    assert {"hand-off", "newsletter", "make-safe"} <= set(PAPERS)
    assert {"hand-off.pdf", "newsletter.pdf", "newsletter.txt", "make-safe.pdf"} <= set(files)
    assert all(row.says.endswith(".") for row in PAPERS.values())


@pytest.mark.parametrize("name", ["hand-off.pdf", "newsletter.pdf", "make-safe.pdf"])
def test_pdfs_can_be_read_by_everybody(files, name):
    pdf = reader(files[name])
    root = pdf.trailer["/Root"]
    assert pdf.metadata.title == files[name].title
    assert pdf.metadata.title.startswith("Finch: ")
    assert root["/Lang"] == "en"
    assert root["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in root
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert "pdfuaid:part" in root["/Metadata"].get_object().get_data().decode()
    assert pdf.metadata.creation_date.date().isoformat() == "2026-10-03"


@pytest.mark.parametrize("name", ["hand-off.pdf", "newsletter.pdf", "make-safe.pdf"])
def test_fonts_travel_with_the_pdf(files, name):
    found = list(fonts(files[name]))
    assert found
    for base, descriptor in found:
        assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(descriptor), base
        assert re.search("Libertinus|DejaVu|NewCM", base), base


def test_the_hand_off_is_made_to_last(files):
    pdf = reader(files["hand-off.pdf"])
    metadata = pdf.trailer["/Root"]["/Metadata"].get_object().get_data().decode()
    assert "<pdfaid:part>3</pdfaid:part>" in metadata
    assert "<pdfaid:conformance>A</pdfaid:conformance>" in metadata
    assert "/OutputIntents" in pdf.trailer["/Root"]
    assert float(pdf.pages[0].mediabox.width) == pytest.approx(210 / 25.4 * 72, abs=0.5)


def test_the_hand_off_carries_its_own_data(made, files):
    home = made[1].folder.folder
    attached = reader(files["hand-off.pdf"]).attachments
    assert set(attached) == {"rig.yaml", "readings.yaml"}
    assert attached["rig.yaml"] == [(home / "rig.yaml").read_bytes()]


def test_the_first_pages_tell_how_long_to_wait(made, files):
    wait = safety.longest_wait(made[1])
    assert wait[0].isdigit()
    for page in (0, 1):
        assert wait in words(files["hand-off.pdf"], page)
    assert wait in words(files["make-safe.pdf"])


def test_without_a_bleeder_no_paper_tells_anybody_to_wait(small):
    small.rig["supplies"]["hv"]["bleeder"] = "none"
    content = small.load()
    examination = examine(content, content.rigs[0])
    files = by_name(content, examination)
    assert not safety.longest_wait(examination)[0].isdigit()
    for text in (words(files["hand-off.pdf"], 0), words(files["make-safe.pdf"])):
        assert "waiting is no protection" in text
        assert not re.search(r"[Ww]ait \d+ seconds", text)


def test_a_tag_and_a_doubtful_bleeder_are_told_at_once(small):
    small.rig["tag"] = "NOT FOR USE since May"
    small.rig["parts"]["R30"]["power"] = "5 W"
    content = small.load()
    files = by_name(content, examine(content, content.rigs[0]))
    for text in (*(words(files["hand-off.pdf"], page) for page in (0, 1)), words(files["make-safe.pdf"])):
        assert "NOT FOR USE since May" in text
        assert "Do not rely on" in text


def test_the_first_page_has_no_word_of_the_trade(files):
    text = words(files["hand-off.pdf"], 1).split("Stop here")[0].lower()
    assert "do not" in words(files["hand-off.pdf"], 0).lower()
    for jargon in ("carrier", "modulat", "rf ", "b+", "final", "6146", "grid"):
        assert jargon not in text, jargon


def test_the_card_and_the_first_page_are_one_page_each(files):
    assert len(reader(files["make-safe.pdf"]).pages) == 1
    assert words(files["hand-off.pdf"], 2).find("Chapters") in range(200)


def test_much_text_still_fits_on_the_card_and_the_first_page(small):
    small.rig["safety"] = {
        "ground stick": "a long word about the stick " * 12, "stays live": ["the cord and the fuse holder"] * 6,
        "main switch": "the lever " * 20,
    }  # fmt: skip
    small.rig["belongs"] = [f"cable number {number} with its plugs" for number in range(24)]
    small.station["contacts"] = [
        {"who": f"friend {number}", "how": "by telephone", "about": "anything at all"} for number in range(4)
    ]
    content = small.load()
    files = by_name(content, examine(content, content.rigs[0]))
    assert len(reader(files["make-safe.pdf"]).pages) == 1
    assert words(files["hand-off.pdf"], 2).find("Chapters") in range(200)


def test_what_is_not_recorded_says_so(files):
    text = words(files["hand-off.pdf"])
    for chapter in ("Operation", "Construction", "History", "Hazards", "Sources", "Parts list", "Design checks"):
        assert chapter in text
    assert text.lower().count("not recorded") >= 8


def test_text_is_never_obeyed(small):
    small.rig["name"] = NASTY
    small.rig["what"] = NASTY
    small.rig["parts"]["R1"]["what"] = NASTY
    small.rig["stages"]["pa"]["name"] = NASTY
    small.rig["history"] = [{"date": "2024-01-01", "what": NASTY, "why": NASTY}]
    small.story = f"# {NASTY}\n\n#panic() and `code` and <b>bold</b>\n"
    content = small.load()
    files = by_name(content, examine(content, content.rigs[0]), lambda name: SVG if name == "block" else None)
    for name in ("hand-off.pdf", "newsletter.pdf", "make-safe.pdf"):
        assert '#panic("x") *a* $b$ <c> \\ `d` "e" [f] @g' in words(files[name]), name
    text = files["newsletter.txt"].content.decode()
    assert re.search(r"(?<!\\)[<*`]", text.split("\n", 1)[1]) is None


def test_signs_that_no_font_has_do_not_stop_the_press(small):
    small.rig["name"] = "Finch \U0001f426 \u6f22 \ue000 \u0301 \u200b"
    small.rig["what"] = "soft\u00adhyphen, \u202eright to left, \u05d0"
    content = small.load()
    files = by_name(content, examine(content, content.rigs[0]))
    assert "Finch" in words(files["hand-off.pdf"], 0)


def test_the_same_input_gives_the_same_bytes(made):
    first, second = (by_name(*made, lambda _name: SVG) for _ in range(2))
    assert {name: row.content for name, row in first.items()} == {name: row.content for name, row in second.items()}


def test_a_rig_without_dates_is_printed_without_one(small):
    small.readings = {}
    content = small.load()
    files = by_name(content, examine(content, content.rigs[0]))
    assert "not dated" in words(files["hand-off.pdf"], 0)
    assert "1970" not in words(files["hand-off.pdf"])


def test_figures_are_called_captioned_and_given_as_files(made):
    wanted = {"block", "fragment-stages-pa", "fragment-stages-modulator", "envelope", "decay-hv"}
    files = by_name(*made, lambda name: SVG if name in wanted else None)
    text = files["newsletter.txt"].content.decode()
    assert text.startswith("<!-- ")
    body, captions = text.split("## Captions")
    for number in range(1, 5):
        assert f"Figure {number}" in body
        assert re.search(rf"^Figure {number} \(finch-newsletter-figure-{number}\.svg\): \S", captions, re.MULTILINE)
        assert files[f"newsletter-figure-{number}.svg"].content == SVG.encode()
        assert f"Figure {number}." in words(files["newsletter.pdf"])


def test_drawings_have_words_for_those_who_cannot_see_them(made):
    files = by_name(*made, lambda name: SVG if name == "block" else None)
    assert b"boxes & arrows" in files["hand-off.pdf"].content


def test_the_papers_fit_the_other_sheet_too(made):
    content, examination = made
    station = content.station.model_copy(update={"paper": "us-letter"})
    files = by_name(replace(content, station=station), examination)
    assert float(reader(files["hand-off.pdf"]).pages[0].mediabox.width) == pytest.approx(8.5 * 72, abs=0.5)
    assert len(reader(files["make-safe.pdf"]).pages) == 1
    assert words(files["hand-off.pdf"], 2).find("Chapters") in range(200)


@pytest.mark.parametrize("rig", DEMO)
def test_demo_rigs(rig):
    examination, files = demo_papers(rig)
    wait = safety.longest_wait(examination)
    hand_off = reader(files["hand-off.pdf"])
    assert 12 <= len(hand_off.pages) <= 60
    assert set(hand_off.attachments) == {"rig.yaml", "readings.yaml"}
    assert wait in words(files["hand-off.pdf"], 0)
    assert wait in words(files["hand-off.pdf"], 1)
    assert wait in words(files["make-safe.pdf"])
    assert len(reader(files["make-safe.pdf"]).pages) == 1
    assert words(files["hand-off.pdf"], 2).find("Chapters") in range(200)
    assert 2 <= len(reader(files["newsletter.pdf"]).pages) <= 6
    assert examination.rig.name in files["newsletter.txt"].content.decode()


@pytest.mark.parametrize("rig", DEMO)
def test_the_papers_tell_the_same_figures_as_the_examination(rig):
    examination, files = demo_papers(rig)
    text = words(files["hand-off.pdf"])
    for finding in examination.findings:
        assert finding.value_text in text, finding.id


def test_the_hand_off_has_the_settings_of_every_carrier():
    examination, files = demo_papers("heron")
    (told,) = chapters.output_network(examination, no_drawing)
    assert told["carriers"] == ["carrier", "7.290 MHz", "7.285 MHz", "7.297 MHz"]
    assert {len(row) for row in told["settings"]} == {4}
    assert [row[0] for row in told["filter"]] == ["C23", "L8", "C24", "L9", "C25"]
    whole = words(files["hand-off.pdf"])
    assert "From carrier to carrier" in whole
    assert "Low-pass filter, from network to antenna" in whole


def test_a_rig_without_network_says_so(small):
    small.rig["networks"] = {}
    del small.rig["stages"]["pa"]["output"]["network"]
    content = small.load()
    examination = examine(content, content.rigs[0])
    assert chapters.output_network(examination, no_drawing) == []
    whole = words(by_name(content, examination)["hand-off.pdf"])
    assert "Output network: not recorded" in whole
