"""What imports what: DEVELOPERS.md's module table against every import statement in auditor/."""

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import networkx as nx
import pytest

ROOT = Path(__file__).parent.parent.parent
PACKAGE = ROOT / "auditor"
ROW = re.compile(r"\| `(?P<module>[\w.]+)/?` \|[^|]*\| (?P<allowed>[^|]*) \|")
HEAVY = (
    "networkx",
    "highspy",
    "numpy",
    "xlsxwriter",
    "rapidfuzz",
    "lxml",
    "openpyxl",
    "python_calamine",
    "jsonschema",
)


def table() -> dict[str, set[str]]:
    """Module -> what of ours it may import, as DEVELOPERS.md says."""
    rows = ROW.finditer((ROOT / "DEVELOPERS.md").read_text("utf-8"))
    return {row["module"].removesuffix(".py"): set(re.findall(r"[\w.]+", row["allowed"])) for row in rows}


def modules() -> dict[str, list[Path]]:
    """Each module or folder of auditor/ with its files."""
    found: dict[str, list[Path]] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        found.setdefault(path.relative_to(PACKAGE).parts[0].removesuffix(".py"), []).append(path)
    return found


def imported(path: Path) -> Iterator[tuple[int, str]]:
    """(line, module of ours) of every import in a file, those inside functions included."""
    ours = modules()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}:{node.lineno} imports relatively"
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        for name in names:
            parts = name.split(".")
            if parts[0] == "auditor":
                yield node.lineno, parts[1] if len(parts) > 1 and parts[1] in ours else "__init__"


def imports_between_modules() -> set[tuple[str, str, str]]:
    """(importing module, imported module, file and line)"""
    return {
        (module, other, f"{path.relative_to(ROOT).as_posix()}:{line}")
        for module, paths in modules().items()
        for path in paths
        for line, other in imported(path)
        if other != module
    }


def test_every_module_has_its_row_and_every_row_its_module() -> None:
    assert set(table()) == set(modules())


def test_a_module_imports_only_what_its_row_allows() -> None:
    allowed = table()
    breaches = [
        f"{where} imports {other}"
        for module, other, where in sorted(imports_between_modules())
        if other not in allowed.get(module, set())
    ]
    assert breaches == []


def test_the_table_allows_no_ring() -> None:
    graph = nx.DiGraph((module, other) for module, allowed in table().items() for other in allowed)
    assert list(nx.simple_cycles(graph)) == []


def test_the_command_line_starts_without_the_heavy_libraries() -> None:
    """They are imported where they are used, so that the command's help comes at once."""
    code = f"import sys, auditor.cli; print([name for name in {HEAVY!r} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize(
    ("library", "only"),
    [
        ("python_calamine", {"intake"}),
        ("xlsxwriter", {"report", "writeback"}),
        ("typer", {"cli"}),
        ("openpyxl", set()),
    ],
)
def test_one_place_for_one_thing(library: str, only: set[str]) -> None:
    """Spreadsheets are read in intake/ alone; the test libraries stay in the tests."""
    users = {
        module
        for module, paths in modules().items()
        for path in paths
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if (isinstance(node, ast.Import) and any(a.name.split(".")[0] == library for a in node.names))
        or (isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == library)
    }
    assert users <= only
