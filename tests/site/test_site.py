"""The whole site of the demo station: pages, links, promises."""

import hashlib
import re
from html.parser import HTMLParser
from urllib.parse import unquote, urlsplit

import pytest

from builder.pages.page import RIG_PAGES, STATION_PAGES, path_of
from builder.site import Output, build, render

pytestmark = pytest.mark.site
RIGS = ("bittern", "heron", "kestrel")
CALL_SIGN = re.compile(r"\b(?:A[A-L]|[KNW][A-Z]?)[0-9][A-Z]{2,3}\b")


class Links(HTMLParser):
    """Links, anchors and loaded files of a page."""

    def __init__(self):
        super().__init__()
        self.links, self.ids, self.loaded = [], set(), []

    def handle_starttag(self, tag, attrs):
        found = dict(attrs)
        if found.get("id"):
            self.ids.add(found["id"])
        if tag == "a" and (found.get("href") or found.get("xlink:href")):
            self.links.append(found.get("href") or found["xlink:href"])
        if tag in {"script", "img", "iframe", "source"} and found.get("src"):
            self.loaded.append(found["src"])
        if tag == "link" and found.get("href") and found.get("rel") != "canonical":
            self.loaded.append(found["href"])


@pytest.fixture(scope="module")
def parsed(site):
    """Every page, parsed."""
    found = {}
    for path in site.rglob("*.html"):
        links = Links()
        links.feed(path.read_text(encoding="utf-8"))
        found[path] = links
    return found


def test_every_page_of_the_design_is_there(site):
    for rig in RIGS:
        for name in RIG_PAGES:
            page = "index" if name == "overview" else name
            assert (site / "rigs" / rig / f"{page}.html").is_file()
    for kind in STATION_PAGES.values():
        assert (site / path_of(kind).replace(".md", ".html")).is_file()


def test_no_section_is_an_empty_shell(site):
    heading = re.compile(r"<h([23])[^>]*>(.*?)</h\1>\s*(?=<h[12]\b|</article>)", re.S)
    for path in site.rglob("*.html"):
        article = re.search(r'<article class="md-content__inner.*?</article>\s*</div>', path.read_text(), re.S)
        body = article[0] if article else ""
        empty = [re.sub("<.*?>", "", text) for _level, text in heading.findall(body)]
        assert not empty, f"{path.relative_to(site)} has headings with nothing below them: {empty}"


def test_every_link_leads_somewhere(site, parsed):
    broken = []
    for path, page in parsed.items():
        for link in page.links:
            target = urlsplit(link)
            if path.name == "404.html" or target.scheme in {"http", "https", "mailto"}:
                continue
            file = (path.parent / unquote(target.path)).resolve() if target.path else path
            if not file.exists():
                broken.append(f"{path.relative_to(site)}: {link}")
            elif target.fragment and file in parsed and target.fragment not in parsed[file].ids:
                broken.append(f"{path.relative_to(site)}: {link} (no such place)")
    assert not broken, "\n".join(broken)


def test_nothing_is_loaded_from_outside(site, parsed):
    for path, page in parsed.items():
        outside = [item for item in page.loaded if urlsplit(item).scheme or item.startswith("//")]
        assert not outside, f"{path.relative_to(site)} loads {outside}"


def test_no_page_tells_of_this_machine_or_of_real_stations(site):
    for path in [*site.rglob("*.html"), *site.rglob("*.txt")]:
        text = re.sub(r"<script.*?</script>|<svg.*?</svg>", "", path.read_text(encoding="utf-8"), flags=re.S)
        assert str(site.parent) not in text
        signs = set(CALL_SIGN.findall(text)) - {"NN0QTH"}
        assert not signs, f"{path.relative_to(site)} holds what looks like a call sign: {signs}"


def test_papers_are_linked_and_there(site):
    for rig in RIGS:
        page = (site / "rigs" / rig / "papers.html").read_text(encoding="utf-8")
        for name in ("hand-off.pdf", "newsletter.pdf", "make-safe.pdf", "newsletter.txt"):
            assert f"papers/{rig}-{name}" in page
            assert (site / "rigs" / rig / "papers" / f"{rig}-{name}").stat().st_size > 500


def test_drawings_stand_in_the_pages(site):
    circuit = (site / "rigs/heron/circuit.html").read_text(encoding="utf-8")
    for name in ("block", "fragment-stages-pa", "fragment-supplies-hv"):
        assert f'id="figure-{name}"' in circuit
    assert 'id="figure-envelope"' in (site / "rigs/heron/performance.html").read_text(encoding="utf-8")


def test_search_index_knows_the_rigs(site):
    index = (site / "search/search_index.js").read_text(encoding="utf-8")
    for name in ("Heron", "Bittern", "Kestrel"):
        assert name in index


def digest(folder):
    """Every file with its content."""
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def test_same_files_give_the_same_bytes(site, content, tmp_path):
    again = tmp_path / "again"
    build(content, again, None, lambda _text: None)
    first, second = digest(site), digest(again)
    assert first.keys() == second.keys()
    assert [name for name in first if first[name] != second[name]] == []


def test_a_build_without_changes_makes_nothing(site, content, cache):
    before = digest(site)
    assert not build(content, site, cache, lambda _text: None).changed
    assert digest(site) == before


def test_rendered_pages_are_plain_files(content, cache, tmp_path):
    count = render(content, tmp_path / "pages", cache, lambda _text: None)
    files = [path for path in (tmp_path / "pages").rglob("*") if path.is_file()]
    assert len(files) == count
    text = (tmp_path / "pages/rigs/heron/circuit.md").read_text(encoding="utf-8")
    drawing = re.search(r"!\[[^\]]*\]\((drawings/fragment-stages-pa\.svg)\)", text)
    assert drawing
    assert (tmp_path / "pages/rigs/heron" / drawing[1]).read_text().startswith("<svg")


def test_an_output_is_text_or_bytes():
    assert Output("a.md", "x").content == "x"


def test_a_tank_with_a_link_runs_through_the_whole_site(small, tmp_path):
    """Circuit, response, settings, tuning chart, performance and checks of a rig with another form of network."""
    small.take_a_link().write()
    build(small.folder, tmp_path / "site", tmp_path / "kept", lambda _text: None)
    page = {name: (tmp_path / f"site/rigs/finch/{name}.html").read_text(encoding="utf-8")
            for name in ("circuit", "performance", "operating", "checks")}  # fmt: skip
    assert "Tank with link (tank)" in page["circuit"]
    assert "fragment-stages-pa" in page["circuit"]
    assert "response-tank" in page["circuit"]
    assert "bears at the crest" in page["circuit"]
    assert "settings-tank" in page["performance"]
    assert "current in the link" in page["performance"]
    assert "lowest frequency that can be tuned" in page["performance"]
    assert "coupling for a match" in page["operating"]
    assert "coupling of the link" in page["checks"]
    assert "first filter coil current" in page["checks"]
