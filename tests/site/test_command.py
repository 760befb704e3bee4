"""The command: what it prints, what it leaves alone, how it exits."""

import json
import re
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from builder.cli import main

ROOT = Path(__file__).parents[2]
BROKEN = {
    "kind: rf power\n    name: Final": "kind: rf pwoer\n    name: Final",
    "emission: A3E": "emission: A3X",
}


def run(*arguments, cwd=ROOT):
    return subprocess.run(
        [sys.executable, "-m", "builder.cli", *arguments], capture_output=True, text=True, cwd=cwd, check=False, timeout=120
    )


def snapshot(folder):
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_help_names_every_command_with_examples(capsys):
    with pytest.raises(SystemExit) as stop:
        main(["--help"])
    assert stop.value.code == 0
    text = capsys.readouterr().out
    for command in ("site", "watch", "render", "examine", "explain", "checks"):
        assert re.search(rf"^\s+(rigfolio )?{command}\b", text, re.M)


def test_help_imports_nothing_heavy():
    code = "import sys; from builder.cli import main\ntry: main(['--help'])\nexcept SystemExit: pass\n"
    code += "print(sorted(m for m in ('pydantic','numpy','mkdocs','matplotlib','yaml') if m in sys.modules))"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT).stdout
    assert out.strip().endswith("[]")


def test_bad_content_is_told_and_the_old_site_stays(own_content, tmp_path, capsys):
    site = tmp_path / "site"
    site.mkdir()
    (site / "index.html").write_text("the last good one")
    rig = own_content / "rigs/heron/rig.yaml"
    text = rig.read_text()
    for old, new in BROKEN.items():
        assert old in text
        text = text.replace(old, new, 1)
    rig.write_text(text)
    before = snapshot(site)
    status = main(["site", "--content", str(own_content), "--out", str(site), "--no-cache"])
    told = capsys.readouterr().err
    assert status == 2
    assert 'there is no kind of stage called "rf pwoer"; did you mean "rf power"?' in told
    assert '"A3X" is not one of the words expected here' in told
    assert "Traceback" not in told
    assert snapshot(site) == before
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []


def test_examine_prints_findings_and_exits_with_one_when_something_is_beyond(content, capsys):
    status = main(["examine", "kestrel", "--content", str(content)])
    out = capsys.readouterr().out
    assert status == 1
    assert "■ beyond" in out
    assert "\x1b[" not in out


def test_examine_as_json_names_unit_origin_and_place_or_working(content, capsys):
    main(["examine", "--json", "--content", str(content)])
    rigs = json.loads(capsys.readouterr().out)
    assert {rig["rig"] for rig in rigs} == {"bittern", "heron", "kestrel"}
    for rig in rigs:
        for value in rig["values"]:
            assert value["origin"] in {"measured", "given", "computed", "rated", "missing"}
            if value["origin"] == "missing":
                assert value["reason"]
            else:
                assert "unit" in value
                assert {"place", "working", "source", "note"} & value.keys(), value
        for finding in rig["findings"]:
            assert finding["verdict"] in {"within", "close", "beyond", "not shown"}
            assert finding["source"]
            assert "margin" in finding


def test_numbers_are_the_same_in_json_and_on_the_pages(content, site, capsys):
    main(["examine", "heron", "--json", "--content", str(content)])
    rig = json.loads(capsys.readouterr().out)[0]
    wanted = [v for v in rig["values"] if v["thing"] == "stages.pa" and v["name"] == "plate_dissipation_per_tube"]
    page = (site / "rigs/heron/performance.html").read_text(encoding="utf-8")
    assert any(value.get("shown", "?") in page for value in wanted)


def test_explain_goes_from_the_file_to_the_number(content, capsys):
    assert main(["explain", "heron", "pa: plate dissipation per tube", "--content", str(content)]) == 0
    out = capsys.readouterr().out
    assert re.search(r"readings\.yaml:\d+:\d+", out)
    assert "P_p = P_i − P_o" in out


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["examine", "hern"], 'there is no rig called "hern"; did you mean "heron"?'),
        (["explain", "heron", "pa plate current"], "write thing and value"),
        (["explain", "heron", "paa: plate current"], 'there is nothing called "paa"; did you mean "pa"?'),
        (["explain", "heron", "pa: plate curent"], 'did you mean "plate current"?'),
        (["explain", "heron", "pa: plate current", "--carrier", "z"], 'there is no carrier called "z"'),
    ],
)
def test_wrong_words_get_a_hint(content, capsys, arguments, told):
    assert main([*arguments, "--content", str(content)]) == 2
    assert told in capsys.readouterr().err


def test_checks_lists_every_check_with_its_source(capsys):
    assert main(["checks"]) == 0
    out = capsys.readouterr().out
    assert out.count("source: ") >= 20
    assert "plate-dissipation" in out


def test_a_missing_content_folder_is_told_without_a_traceback(tmp_path, capsys):
    assert main(["site", "--content", str(tmp_path / "nowhere"), "--out", str(tmp_path / "site")]) == 2
    told = capsys.readouterr().err
    assert "nowhere" in told
    assert not (tmp_path / "site").exists()


def test_templates_and_settings_reach_an_installed_wheel(content, tmp_path):
    made = subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", str(tmp_path), str(ROOT)],
        capture_output=True, text=True, check=False, timeout=240,
    )  # fmt: skip
    assert made.returncode == 0, made.stderr
    home = tmp_path / "installed"
    with zipfile.ZipFile(next(tmp_path.glob("*.whl"))) as wheel:
        wheel.extractall(home)
    done = subprocess.run(
        [sys.executable, "-P", "-c", "import sys; sys.path.insert(0, sys.argv.pop(1)); from builder.cli import main; sys.exit(main(sys.argv[1:]))",
         str(home), "site", "--content", str(content), "--out", str(tmp_path / "site"), "--no-cache"],
        capture_output=True, text=True, cwd=tmp_path, check=False, timeout=240,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "site/rigs/heron/index.html").is_file()
