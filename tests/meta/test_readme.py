"""The README, and the paths in DEVELOPERS.md, against what is really there."""

import re
import subprocess
from pathlib import Path

import openpyxl
import typer.main

from auditor.audit import audit
from auditor.cli import app
from auditor.intake import read_job
from auditor.profile.load import DEFAULT, load_profile
from auditor.rules import RULES

ROOT = Path(__file__).parent.parent.parent
README = (ROOT / "README.md").read_text("utf-8")


def section(title: str) -> str:
    return README.split(f"## {title}\n", 1)[1].split("\n## ", 1)[0]


def test_every_rule_stands_in_the_table() -> None:
    named = re.findall(r"`([a-z-]+)`", "\n".join(re.findall(r"^\| (`[^|]+) \|", section("The rules"), re.M)))

    assert sorted(named) == sorted({*RULES, "reading", "file"})


def test_every_command_stands_in_the_table_and_each_one_there_exists() -> None:
    named = set(re.findall(r"^\| `auditor ([a-z]+)", section("Commands"), re.M))

    assert named == set(typer.main.get_command(app).commands)  # type: ignore[attr-defined]


def test_every_option_in_the_table_exists() -> None:
    commands = typer.main.get_command(app).commands  # type: ignore[attr-defined]
    for name, rest in re.findall(r"^\| `auditor ([a-z]+)([^`]*)`", section("Commands"), re.M):
        known = {option for parameter in commands[name].params for option in parameter.opts}
        assert set(re.findall(r"--[a-z]+", rest)) <= known


def test_ci_runs_exactly_the_test_command() -> None:
    script = (ROOT / ".ci" / "run").read_text("utf-8")
    find = next(line for line in script.splitlines() if line.startswith("test_command="))
    shown = subprocess.run(
        ["bash", "-c", f'{find}; printf %s "$test_command"'], cwd=ROOT, capture_output=True, check=True
    )
    block = README.split("<!-- test command -->\n```sh\n", 1)[1].split("\n```", 1)[0]

    assert shown.stdout.decode() == block
    assert block.endswith(".venv/bin/python -m pytest -n auto")


def test_what_the_readme_links_to_is_there() -> None:
    links = re.findall(r"\]\(([^)#]+)\)", README)

    assert links
    assert [link for link in links if not (ROOT / link).exists()] == []


def test_the_sample_that_is_shown_stands_there_and_is_audited_so() -> None:
    (text,) = re.findall(r"such as this list of cores\n(.*?»\.)\n", README, re.S)
    rows = [tuple(re.split(r" \| ", line.strip("| "))) for line in re.findall(r"^\| .*", text, re.M)]
    path = ROOT / "sample_workbooks" / "as_kept" / "vauclerre_mairie.xlsx"
    sheet = openpyxl.load_workbook(path).worksheets[0]
    cells = [tuple(str(cell) for cell in row[:6]) for row in sheet.iter_rows(values_only=True)]
    result = audit(read_job(path.read_bytes(), path.name), load_profile(DEFAULT))
    quoted = re.findall(r"«([^»]+)»", " ".join(text.split()))

    assert [row for row in cells if row in rows] == rows
    assert len(quoted) == 2
    assert set(quoted) <= {finding.message for finding in result.findings}


def test_the_files_that_the_contributors_page_names_are_there() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    examples = re.compile(r"your_rule|\btest_x_")
    named = {name for name in re.findall(r"`([\w/]+\.py)`", text) if not examples.search(name)}

    assert named
    places = [ROOT, ROOT / "auditor"]
    assert sorted(name for name in named if not any((place / name).is_file() for place in places)) == []
