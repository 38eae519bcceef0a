"""SECURITY.md against the code: its limits are those in force, its tests are there, nothing calls out."""

import ast
import re
from pathlib import Path

from auditor.batch.snapshot import GREATEST_FILE
from auditor.batch.worker import Bounds
from auditor.ooxml import opening

ROOT = Path(__file__).parent.parent.parent
PAGE = (ROOT / "SECURITY.md").read_text("utf-8")
CALLS_OUT = re.compile(
    r"(asyncio|ftplib|http|httpx|requests|smtplib|socket|ssl|subprocess|urllib\.request|urllib3|webbrowser)\b"
)


def test_the_limits_are_those_in_force() -> None:
    text = " ".join(PAGE.split())
    for limit in (
        f"At most {opening.MAX_MEMBERS:,} parts, {opening.MAX_PART_BYTES / 1e6:,.0f} MB a part, "
        f"{opening.MAX_TOTAL_BYTES / 1e6:,.0f} MB in all",
        f"a part above {opening.SMALL_PART_BYTES / 1e6:.0f} MB may be {opening.MAX_RATIO} times its packed size",
        f"at most {Bounds().seconds:g} s and {Bounds().memory_text}",
        f"A file above {GREATEST_FILE / 1e6:.0f} MB is not opened",
    ):
        assert limit in text


def test_the_tests_that_it_names_are_there() -> None:
    links = re.findall(r"\]\(([^)#]+)\)", PAGE)

    assert links
    assert [link for link in links if not (ROOT / link).is_file()] == []


def test_nothing_of_ours_opens_an_address_or_starts_a_program() -> None:
    found = {
        f"{path.relative_to(ROOT)}: {name}"
        for path in (ROOT / "auditor").rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        for name in imported(node)
        if CALLS_OUT.match(name)
    }
    assert found == set()


def imported(node: ast.AST) -> list[str]:
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    return [f"{node.module}.{alias.name}" for alias in node.names] if isinstance(node, ast.ImportFrom) else []
