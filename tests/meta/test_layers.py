"""What imports what: DEVELOPERS.md's table against every import statement in auditor/, late ones included."""

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import networkx as nx
import pytest

ROOT = Path(__file__).parent.parent.parent
PACKAGE = ROOT / "auditor"
ROW = re.compile(r"^\| `(?P<row>[\w./]+)` \|[^|]*\| (?P<allowed>[^|]*) \|$", re.MULTILINE)
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


@cache
def table() -> dict[str, set[str]]:
    """Folder or module -> the rows that it may import from, as DEVELOPERS.md says."""
    rows = ROW.finditer((ROOT / "DEVELOPERS.md").read_text("utf-8"))
    return {short(row["row"]): set(re.findall(r"[\w./]+", row["allowed"])) for row in rows}


def short(row: str) -> str:
    return row.removesuffix("/").removesuffix(".py")


@cache
def files(package: Path = PACKAGE) -> dict[str, Path]:
    """Dotted name of every module of a package, its own name left out -> its file."""
    return {
        ".".join(path.relative_to(package).with_suffix("").parts).removesuffix(".__init__"): path
        for path in sorted(package.rglob("*.py"))
    }


def row_of(path: Path) -> str:
    """The row that speaks of a file: its own, else that of its folder. A file of the root has its own."""
    own = short(path.relative_to(PACKAGE).as_posix())
    return own if "/" not in own or own in table() else own.rpartition("/")[0]


def imported(package: Path, path: Path) -> Iterator[tuple[int, str]]:
    """(line, module of the same package) of every import in a file, those inside functions included."""
    ours = files(package)
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}:{node.lineno} imports relatively"
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        for name in names:
            top, _, rest = name.partition(".")
            if top == package.name:
                yield (
                    node.lineno,
                    next(each for each in (rest, rest.rpartition(".")[0], "__init__") if each in ours),
                )


def module_graph(package: Path = PACKAGE) -> "nx.DiGraph[str]":
    """An edge from every module to each one that it imports."""
    return nx.DiGraph(
        (module, other)
        for module, path in files(package).items()
        for _, other in imported(package, path)
        if other != module
    )


def rings(graph: "nx.DiGraph[str]") -> list[list[str]]:
    return [sorted(ring) for ring in nx.strongly_connected_components(graph) if len(ring) > 1]


def test_every_folder_and_every_module_of_the_root_has_its_row() -> None:
    wanted = {row_of(path) for path in files().values()}
    folders = {short(path.parent.relative_to(PACKAGE).as_posix()) for path in files().values()} - {"."}
    assert set(table()) == wanted
    assert folders <= wanted


def test_a_module_imports_only_what_its_row_allows() -> None:
    allowed, ours = table(), files()
    breaches = [
        f"{path.relative_to(ROOT).as_posix()}:{line} imports from {row_of(ours[other])}"
        for path in ours.values()
        for line, other in imported(PACKAGE, path)
        if row_of(ours[other]) not in allowed.get(row_of(path), set()) | {row_of(path)}
    ]
    assert breaches == []


def test_a_row_allows_no_more_than_is_used() -> None:
    ours = files()
    used = {
        (row_of(path), row_of(ours[other])) for path in ours.values() for _, other in imported(PACKAGE, path)
    }
    assert [
        f"{row}: {other}" for row, names in table().items() for other in names if (row, other) not in used
    ] == []


def test_the_table_allows_no_ring() -> None:
    assert rings(nx.DiGraph((row, other) for row, allowed in table().items() for other in allowed)) == []


def test_no_modules_import_one_another_in_a_ring() -> None:
    assert rings(module_graph()) == []


def test_a_ring_by_a_late_import_is_seen(tmp_path: Path) -> None:
    package = tmp_path / "house"
    (package / "room").mkdir(parents=True)
    for name in ("__init__", "room/__init__", "room/lamp"):
        (package / f"{name}.py").touch()
    (package / "door.py").write_text("from house.room import lamp, window\n")
    (package / "room/window.py").write_text("def look():\n    from house.door import key\n    return key\n")
    assert rings(module_graph(package)) == [["door", "room.window"]]


def test_the_command_line_starts_without_the_heavy_libraries() -> None:
    """They are imported where they are used, so that the command's help comes at once."""
    code = f"import sys, auditor.cli; print([name for name in {HEAVY!r} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize(
    ("library", "only"),
    [
        ("python_calamine", {"intake/formats"}),
        ("xlsxwriter", {"report/page"}),
        ("typer", {"cli"}),
        ("openpyxl", set()),
    ],
)
def test_one_place_for_one_thing(library: str, only: set[str]) -> None:
    """Spreadsheets are read in intake/formats/ alone; the test libraries stay in the tests."""
    users = {
        row_of(path)
        for path in files().values()
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if (isinstance(node, ast.Import) and any(a.name.split(".")[0] == library for a in node.names))
        or (isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == library)
    }
    assert users <= only
