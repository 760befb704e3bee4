"""The finished site in real Chromium, opened from disk."""

import shutil

import pytest

playwright = pytest.importorskip("playwright.sync_api", reason="the browser tests need the playwright package")
CHROMIUM = shutil.which("chromium")
pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="the browser tests need chromium (Debian package chromium)"),
]
QUIET = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
PAGES = (
    "index.html", "rigs/heron/index.html", "rigs/heron/circuit.html", "rigs/bittern/performance.html",
    "rigs/kestrel/safety.html", "rigs/heron/checks.html", "rigs/heron/operating.html", "rigs/heron/service.html",
    "rigs/heron/construction.html", "reference/rig-file.html", "exposure.html",
)  # fmt: skip


@pytest.fixture(scope="module")
def browser():
    with playwright.sync_playwright() as driver:
        made = driver.chromium.launch(executable_path=CHROMIUM, args=list(QUIET))
        yield made
        made.close()


@pytest.fixture
def opened(browser):
    """A page that keeps what it asked for and what it complained about."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    page.asked, page.complaints = [], []
    page.on("request", lambda request: page.asked.append(request.url))
    page.on("pageerror", lambda error: page.complaints.append(str(error)))
    page.on("console", lambda line: page.complaints.append(line.text) if line.type == "error" else None)
    yield page
    context.close()


def test_search_from_disk_finds_a_rig(opened, site):
    opened.goto(f"file://{site}/index.html")
    opened.locator("input.md-search__input").fill("Kestrel")
    opened.wait_for_selector(".md-search-result__item a", timeout=10_000)
    links = opened.eval_on_selector_all(".md-search-result__item a", "found => found.map(link => link.href)")
    assert any("rigs/kestrel/" in link for link in links)
    opened.goto(next(link for link in links if "rigs/kestrel/" in link))
    assert "Kestrel" in opened.inner_text("h1")


@pytest.mark.parametrize("width", [1280, 390])
def test_pages_open_without_asking_anyone_and_fit_the_screen(opened, site, width):
    opened.set_viewport_size({"width": width, "height": 900})
    for name in PAGES:
        opened.goto(f"file://{site}/{name}")
        opened.wait_for_selector("h1")
        wide = opened.evaluate("document.documentElement.scrollWidth")
        assert wide <= width, f"{name} is {wide} wide on a screen of {width}"
    outside = [url for url in opened.asked if not url.startswith(("file:", "data:", "blob:"))]
    assert outside == []
    assert opened.complaints == []


CONTRAST = """() => {
  const light = c => { const v = c / 255; return v <= .03928 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4 };
  const shine = rgb => .2126 * light(rgb[0]) + .7152 * light(rgb[1]) + .0722 * light(rgb[2]);
  const parts = text => text.match(/[\\d.]+/g).map(Number);
  const behind = node => { for (; node; node = node.parentElement) {
    const found = parts(getComputedStyle(node).backgroundColor);
    if (found.length < 4 || found[3] > .99) return found } return [255, 255, 255] };
  const poor = [];
  for (const node of document.querySelectorAll('.md-content p, .md-content td, .md-content th, .md-content dd, '
      + '.md-content dt, .md-content a, .md-content small, .md-content .verdict, .md-content svg text')) {
    if (!node.textContent.trim() || !node.getClientRects().length) continue;
    if (node.tagName === 'a') continue;  // a link of a drawing: its texts are looked at one by one
    const style = getComputedStyle(node);
    const ink = parts(node.closest('svg') && style.fill !== 'none' ? style.fill : style.color);
    if (ink.length > 3 && ink[3] < .99) continue;
    const a = shine(ink), b = shine(behind(node));
    const ratio = (Math.max(a, b) + .05) / (Math.min(a, b) + .05);
    if (ratio < 4.5) poor.push(`${node.tagName} "${node.textContent.trim().slice(0, 30)}" ${ratio.toFixed(2)}`);
  }
  return poor;
}"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_can_be_read_in_both_schemes(browser, site, scheme):
    context = browser.new_context(color_scheme=scheme, viewport={"width": 1280, "height": 900})
    page = context.new_page()
    for name in PAGES:
        page.goto(f"file://{site}/{name}")
        page.wait_for_selector("h1")
        poor = page.evaluate(CONTRAST)
        assert not poor, f"{name} in {scheme}: {poor[:8]}"
    context.close()


def test_a_block_leads_to_its_section(opened, site):
    opened.goto(f"file://{site}/rigs/heron/index.html")
    link = opened.locator("#figure-block a").first
    target = link.get_attribute("href") or link.get_attribute("xlink:href")
    assert target.startswith("circuit.html#")
    opened.goto(f"file://{site}/rigs/heron/{target}")
    assert opened.locator(f"#{target.split('#')[1]}").count() == 1
