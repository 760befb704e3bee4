"""The command: the only place that prints and exits. Heavy modules are imported when a command needs them."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from builder.examination.finding import Finding
    from builder.examine import Examination
    from builder.rig.load import Content

FINE, BEYOND, BAD_INPUT = 0, 1, 2
COLOURS = {"beyond": "31", "close": "33", "not shown": "36", "within": "32"}

EXAMPLES = """\
examples:
  rigfolio site                          build the site from content/ into site/
  rigfolio site --content my --out web   from another folder into another
  rigfolio watch                         look at the site while you write; it follows your changes
  rigfolio examine heron                 every finding about one rig, as a table
  rigfolio examine --json                everything about every rig, for other programs
  rigfolio explain heron "pa: plate dissipation"
                                         how a value came about, from the line in the file on
  rigfolio checks                        every check there is
  rigfolio render --out pages            the pages as plain Markdown and SVG

exit status: 0 all well; 1 something is beyond its limit (examine); 2 mistakes in the content, or in the command
"""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command.

    Args:
        arguments: as given on the command line, without the command's own name.
    """
    parser = _parser()
    options = parser.parse_args(arguments)
    if options.run is None:
        parser.print_help()
        return BAD_INPUT
    try:
        return _guarded(options)
    except BrokenPipeError:
        sys.stderr.close()
        return FINE
    except KeyboardInterrupt:
        print("\nstopped; the last good site is untouched", file=sys.stderr)
        return 130


def _guarded(options: argparse.Namespace) -> int:
    """Run a command; mistakes of the user are told, one a line."""
    from builder.problem import BadInput

    try:
        status: int = options.run(options)
    except BadInput as error:
        for problem in error.problems:
            print(problem, file=sys.stderr)
        count = len(error.problems)
        print(f"{count} {'mistake' if count == 1 else 'mistakes'}; nothing was written", file=sys.stderr)
        return BAD_INPUT
    except OSError as error:
        print(f"{error.filename or 'a file'}: {error.strerror or error}", file=sys.stderr)
        return BAD_INPUT
    return status


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="rigfolio",
        description="Papers of finished vacuum-tube radio stations: a site, printable papers, design checks.",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.set_defaults(run=None)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    site = _command(commands, "site", _site, "build the site and the papers")
    site.add_argument("--out", type=Path, default=Path("site"), metavar="DIR", help="where the site goes (site)")
    site.add_argument("--fresh", action="store_true", help="build even if nothing has changed")
    _cache_option(site)
    watch = _command(commands, "watch", _watch, "preview the site; it follows your changes")
    watch.add_argument("--port", type=int, default=8000, metavar="N", help="port on this machine (8000)")
    render = _command(commands, "render", _render, "write the pages as plain Markdown and SVG")
    render.add_argument("--out", type=Path, required=True, metavar="DIR", help="where they go")
    _cache_option(render)
    examine = _command(commands, "examine", _examine, "check rigs and print the findings")
    examine.add_argument("rig", nargs="?", metavar="RIG", help="name of a rig's folder; all rigs if left out")
    examine.add_argument("--json", action="store_true", help="every value and finding as JSON")
    examine.add_argument("--all", action="store_true", help="list also what is within its limits")
    explain = _command(commands, "explain", _explain, "how a value came about")
    explain.add_argument("rig", metavar="RIG", help="name of a rig's folder")
    explain.add_argument("value", metavar="VALUE", help='such as "pa: plate dissipation"')
    explain.add_argument(
        "--carrier", metavar="NAME", default="", help="on which carrier; the first that was measured if left out"
    )
    _command(commands, "checks", _checks, "list every check")
    return parser


def _command(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    name: str,
    run: Callable[[argparse.Namespace], int],
    says: str,
) -> argparse.ArgumentParser:
    parser = commands.add_parser(name, help=says, description=f"{says[0].upper()}{says[1:]}.")
    parser.add_argument(
        "--content", type=Path, default=Path("content"), metavar="DIR", help="folder with station.yaml (content)"
    )
    parser.set_defaults(run=run)
    return parser


def _cache_option(parser: argparse.ArgumentParser) -> None:
    default = Path(".cache/rigfolio")
    parser.add_argument(
        "--cache", type=Path, default=default, metavar="DIR", help=f"kept drawings and papers ({default})"
    )
    parser.add_argument("--no-cache", dest="cache", action="store_const", const=None, help="draw everything anew")


def _teller() -> Callable[[str], None]:
    """Progress for people who look; nothing when the output goes elsewhere."""
    if not sys.stderr.isatty():
        return lambda _text: None

    def tell(text: str) -> None:
        print(f"\r\x1b[K{text} ...", end="", file=sys.stderr, flush=True)

    return tell


def _done() -> None:
    if sys.stderr.isatty():
        print("\r\x1b[K", end="", file=sys.stderr)


def _site(options: argparse.Namespace) -> int:
    """Build the site."""
    import gc

    gc.disable()  # a build is short and keeps nearly everything that it makes

    from builder.site import BuildFailed, build

    try:
        built = build(options.content, options.out, options.cache, _teller(), fresh=options.fresh)
    except BuildFailed as error:
        _done()
        print("\n".join(error.messages), file=sys.stderr)
        print("the site was not built; the last good one is untouched", file=sys.stderr)
        return BAD_INPUT
    _done()
    if not built.changed:
        print("nothing has changed since the site was built")
    print(f"open {(built.site / 'index.html').resolve()}")
    gc.freeze()  # nor is it worth searching on the way out
    return FINE


def _render(options: argparse.Namespace) -> int:
    """Write plain pages."""
    from builder.site import render

    count = render(options.content, options.out, options.cache, _teller())
    _done()
    print(f"{count} files in {options.out}")
    return FINE


def _watch(options: argparse.Namespace) -> int:
    """Serve the site while it is being written."""
    from builder.site import serve

    print(f"look at http://127.0.0.1:{options.port}/ ; stop with Ctrl-C")
    serve(options.content, options.port)
    return FINE


def _content(options: argparse.Namespace) -> Content:
    from builder.rig.load import load

    return load(options.content)


def _chosen(options: argparse.Namespace) -> list[Examination] | None:
    """Examinations of the rigs that were asked for; None, and a word about it, where there is no such rig."""
    from builder.examine import examine
    from builder.problem import nearest

    content = _content(options)
    known = [folder.id for folder in content.rigs]
    if options.rig and options.rig not in known:
        hint = nearest(options.rig, known) or f"; there are: {', '.join(known)}"
        print(f'there is no rig called "{options.rig}"{hint}', file=sys.stderr)
        return None
    wanted = [folder for folder in content.rigs if options.rig in (None, folder.id)]
    return [examine(content, folder) for folder in wanted]


def _examine(options: argparse.Namespace) -> int:
    """Print findings; exit 1 when something is beyond."""
    found = _chosen(options)
    if found is None:
        return BAD_INPUT
    if options.json:
        _print_json(found)
    else:
        for item in found:
            _print_findings(item, everything=options.all)
    from builder.examination.judge import Verdict

    return BEYOND if any(item.tally[Verdict.BEYOND] for item in found) else FINE


def _print_json(found: list[Examination]) -> None:
    import json

    from builder.examine import as_json

    print(json.dumps([as_json(item) for item in found], indent=1, ensure_ascii=False))


def _print_findings(item: Examination, *, everything: bool) -> None:
    from builder.examination.judge import Verdict

    counts = ", ".join(f"{count} {verdict}" for verdict, count in item.tally.items())
    print(f"{item.rig.name}: {item.rig.what}\n{counts}")
    shown = [row for row in item.findings if everything or row.verdict is not Verdict.WITHIN]
    width = max((len(f"{row.title}: {row.check.title}") for row in shown), default=0)
    for row in shown:
        print(_line(row, width))
    print()


def _line(row: Finding, width: int) -> str:
    from builder.examination.judge import SHAPE

    verdict = _coloured(f"{SHAPE[row.verdict]} {row.verdict:9}", str(row.verdict))
    where = f" ({row.carrier})" if row.carrier else ""
    told = f"{row.value_text}, {row.limit_text}" if row.judgement else ""
    text = "; ".join(part for part in (told, row.reason) if part)
    return f"  {verdict}  {f'{row.title}: {row.check.title}':{width}}{where}  {text}"


def _coloured(text: str, verdict: str) -> str:
    if not sys.stdout.isatty() or os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb":
        return text
    return f"\x1b[{COLOURS[verdict]}m{text}\x1b[0m"


def _explain(options: argparse.Namespace) -> int:
    """Print how a value came about."""
    from builder.examination.explain import explain
    from builder.problem import nearest

    found = _chosen(options)
    if found is None:
        return BAD_INPUT
    carriers = list(found[0].rig.carriers)
    if options.carrier and options.carrier not in carriers:
        hint = nearest(options.carrier, carriers) or f"; there are: {', '.join(carriers)}"
        print(f'there is no carrier called "{options.carrier}"{hint}', file=sys.stderr)
        return BAD_INPUT
    sheets = found[0].sheets[options.carrier or found[0].carrier]
    lines, ok = explain(sheets, options.value)
    print("\n".join(lines), file=sys.stdout if ok else sys.stderr)
    return FINE if ok else BAD_INPUT


def _checks(options: argparse.Namespace) -> int:  # noqa: ARG001 - every command takes its options
    """Print every check."""
    from builder import discover
    from builder.examination.finding import CHECKS
    from builder.reference.tables import cite

    discover.modules("builder.checks")
    subject = ""
    for row in sorted(CHECKS.values(), key=lambda row: (row.subject, row.title)):
        if row.subject != subject:
            subject = row.subject
            print(f"\n{subject}" if subject else subject)
        print(f"  {row.id}\n      {row.rule}\n      source: {cite(row.source)}")
    print(f"\n{len(CHECKS)} checks")
    return FINE


if __name__ == "__main__":
    sys.exit(main())
