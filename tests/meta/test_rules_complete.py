"""Every rule is listed, has its manual page, and a test that repeats the page's numbers."""

import ast
import importlib
import re
from pathlib import Path
from types import ModuleType

import pytest

from auditor.results.findings import Scope
from auditor.rules import MODULES, RULES, SCOPES

ROOT = Path(__file__).parent.parent.parent
FILES = sorted(
    path.stem for path in (ROOT / "auditor/rules").glob("*.py") if path.stem not in ("__init__", "comparison")
)
HEADINGS = ["What it checks", "Why", "Source", "Fails", "Passes", "To fix"]
NUMBER = re.compile(r"(?<![\w.-])\d[\d,]*(?:\.\d+)?(?![\w-])")


@pytest.fixture(params=FILES)
def rule(request: pytest.FixtureRequest) -> ModuleType:
    return importlib.import_module(f"auditor.rules.{request.param}")


def name_of(rule: ModuleType) -> str:
    return rule.__name__.rsplit(".", 1)[1]


def page(rule: ModuleType) -> dict[str, str]:
    """The manual page by its headings."""
    parts = re.split(r"^(\S.*)\n(?=    )", rule.__doc__ or "", flags=re.MULTILINE)
    return {
        heading.strip(): " ".join(text.split())
        for heading, text in zip(parts[1::2], parts[2::2], strict=True)
    }


def test_every_file_is_listed() -> None:
    assert sorted(module.__name__.rsplit(".", 1)[1] for module in MODULES) == FILES
    assert len(RULES) == len(FILES)


def test_its_name_is_its_files(rule: ModuleType) -> None:
    assert name_of(rule).replace("_", "-") == rule.NAME
    assert (rule.__doc__ or "").startswith(f"{rule.NAME}: ")
    assert RULES[rule.NAME] is rule.check
    assert SCOPES[rule.NAME] & Scope.ANY or Scope.ROWS_RUN in SCOPES[rule.NAME]


def test_its_docstring_is_a_manual_page(rule: ModuleType) -> None:
    found = page(rule)
    assert list(found) == HEADINGS
    assert all(found.values())


def test_it_has_a_test_that_repeats_what_fails_and_what_passes(rule: ModuleType) -> None:
    text = (ROOT / f"tests/rules/test_{name_of(rule)}.py").read_text("utf-8")
    cases = page(rule)["Fails"] + " " + page(rule)["Passes"]
    numbers = {number.replace(",", "") for number in NUMBER.findall(cases)}
    tried = {number.replace(",", "").replace("_", "") for number in re.findall(r"\d[\d,_]*(?:\.\d+)?", text)}
    assert {
        n for n in numbers if n.rstrip("0").rstrip(".") not in {t.rstrip("0").rstrip(".") for t in tried}
    } == set()


def test_it_only_looks_and_yields(rule: ModuleType) -> None:
    """A rule opens no file, prints nothing and asks no clock."""
    tree = ast.parse(Path(rule.__file__ or "").read_text("utf-8"))
    called = {
        node.func.id
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert called.isdisjoint({"open", "print", "input", "exec", "eval"})
    imports = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    assert imports.isdisjoint({"os", "sys", "time", "datetime", "random", "pathlib"})
