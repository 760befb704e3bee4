"""What the site generator is spared must not be missed: its search still finds all words, its theme all its files."""

import pytest
from jinja2 import Environment, FileSystemLoader
from material.plugins.search.plugin import Parser

from builder.plugin import searched, without_hidden

TABLES = (
    (
        '<table class="wide"><thead><tr><th>value</th>\n<th>is</th></tr></thead>\n'
        "<tbody><tr>\n  <td><b>plate</b> voltage <small>max</small></td><td>2 kV &lt; limit</td></tr></tbody></table>"
    ),
    "<dl>\n<dt>C<sub>2</sub> <code>c2</code></dt><dd><p>One.</p>\n  <p>Two, <a href='x.html'>there</a>.</p></dd></dl>",
    (
        '<section id="one"><p class="a">Head</p><details><summary>All</summary><ul><li>a</li><li></li></ul></details>'
        "</section>"
    ),
)


def indexed(markup):
    """Text that the search of the site generator takes from markup."""
    parser = Parser()
    parser.feed(f'<h1 id="top">Page</h1>\n{markup}\n<h2 id="next">Next</h2><p>after</p>')
    parser.close()
    return [(section.id, "".join(section.title), "".join(section.text)) for section in parser.data]


@pytest.mark.parametrize("table", TABLES)
def test_search_takes_the_same_text_from_a_table_without_its_tags(table):
    assert indexed(searched("0", table)) == indexed(table)


@pytest.mark.parametrize("table", TABLES)
def test_search_is_spared_tags_that_it_leaves_out(table):
    assert not any(tag in searched("0", table) for tag in ("<t", "<d", "<b", "<small", "<section", "<summary"))


def test_the_theme_is_listed_without_what_is_hidden(tmp_path):
    for name in ("main.html", "assets/look.css", ".icons/many/one.svg"):
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(name)
    made = without_hidden(lambda: Environment(loader=FileSystemLoader([tmp_path]), autoescape=True))
    assert made.list_templates() == ["assets/look.css", "main.html"]
    assert made.get_template(".icons/many/one.svg").render() == ".icons/many/one.svg"
