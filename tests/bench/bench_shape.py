"""The shape of the package: how long its files and functions are, how wide its folders, who imports whom.

A body is a function without its docstring. A ring is a set of modules of which each reaches each by
imports, those inside functions included. In a chain of imports a ring counts as one module.
"""

import ast
import statistics
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from importlib.util import resolve_name
from pathlib import Path

import networkx as nx

ROOT = Path(__file__).parent.parent.parent
PACKAGE = "auditor"

Sources = Mapping[Path, str]  # path below the root -> text of the file


def sources(folder: str) -> dict[Path, str]:
    """Every Python file below a folder of the checkout."""
    return {path.relative_to(ROOT): path.read_text("utf-8") for path in sorted((ROOT / folder).rglob("*.py"))}


def module_name(path: Path) -> str:
    parts = path.with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def import_graph(files: Sources) -> nx.DiGraph:
    """An edge from each module to each one of the same files that it imports."""
    graph = nx.DiGraph()
    graph.add_nodes_from(module_name(path) for path in files)
    for path, text in files.items():
        name = module_name(path)
        package = name if path.stem == "__init__" else name.rpartition(".")[0]
        for wanted in imported_names(ast.parse(text), package):
            module = wanted if wanted in graph else wanted.rpartition(".")[0]
            if module in graph and module != name:
                graph.add_edge(name, module)
    return graph


def imported_names(tree: ast.Module, package: str) -> Iterator[str]:
    """The full dotted name of each thing imported, a module or a name inside one."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = resolve_name("." * node.level + (node.module or ""), package)
            yield from (f"{base}.{alias.name}" for alias in node.names)


def rings(graph: nx.DiGraph) -> list[list[str]]:
    """Modules that reach each other, the largest ring first."""
    found = [sorted(ring) for ring in nx.strongly_connected_components(graph) if len(ring) > 1]
    return sorted(found, key=lambda ring: (-len(ring), ring))


def longest_chain(graph: nx.DiGraph) -> list[str]:
    """The modules of the longest chain of imports from top to bottom, those of a ring joined by «+»."""
    whole = nx.condensation(graph)
    return ["+".join(sorted(whole.nodes[node]["members"])) for node in nx.dag_longest_path(whole)]


def definitions(files: Sources) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef]:
    for text in files.values():
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
                yield node


def body_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines from the first statement after the docstring to the last one."""
    statements = function.body[ast.get_docstring(function, clean=False) is not None :]
    if not statements:
        return 0
    first = min([statements[0].lineno, *(d.lineno for d in getattr(statements[0], "decorator_list", []))])
    return (function.end_lineno or first) - first + 1


def folder_widths(paths: Iterable[Path]) -> Counter[Path]:
    """Python files that lie in each folder itself."""
    return Counter(path.parent for path in paths)


def spread(values: Sequence[int]) -> str:
    """Median, 90th percentile and maximum."""
    p90 = statistics.quantiles(values, n=10)[-1]
    return f"median {statistics.median(values):.0f}, p90 {p90:.0f}, longest {max(values)}"


def main() -> None:
    files, tests = sources(PACKAGE), sources("tests")
    lines = {path: len(text.splitlines()) for path, text in files.items()}
    bodies = [body_lines(each) for each in definitions(files) if not isinstance(each, ast.ClassDef)]
    folder, width = folder_widths(files).most_common(1)[0]
    graph = import_graph(files)
    chain = longest_chain(graph)
    in_rings = rings(graph)
    test_lines = sum(len(text.splitlines()) for text in tests.values())
    print(f"files            {len(files)} with {sum(lines.values()):,} lines")
    print(f"file, lines      {spread(list(lines.values()))} ({max(lines, key=lambda path: lines[path])})")
    print(f"body, lines      {spread(bodies)}; {len(bodies):,} functions")
    print(f"widest folder    {width} files ({folder})")
    print(
        f"in rings         {sum(map(len, in_rings))} modules"
        + "".join(f"\n  {' '.join(r)}" for r in in_rings)
    )
    print(f"longest chain    {len(chain)} modules: {' > '.join(chain)}")
    print(f"test:code        {test_lines / sum(lines.values()):.2f} lines of test a line of code")
    print(f"defined names    {statistics.mean(len(each.name) for each in definitions(files)):.1f} letters")


if __name__ == "__main__":
    main()
