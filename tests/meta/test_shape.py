"""What `python -m tests.bench shape` counts, on toy packages."""

import ast
from pathlib import Path

import pytest

from tests.bench.bench_shape import body_lines, folder_widths, import_graph, longest_chain, rings


def toy(**modules: str) -> dict[Path, str]:
    """A package `toy`; «__» in a keyword is a folder."""
    return {Path("toy", *f"{name}.py".split("__")): text for name, text in modules.items()}


def test_an_import_leads_to_the_module_that_holds_the_name() -> None:
    files = {
        Path("toy/__init__.py"): "VERSION = '1'",
        Path("toy/room/__init__.py"): "from toy.room.door import Door",
        Path("toy/room/door.py"): "import os\nfrom toy import VERSION",
        Path("toy/house.py"): "import toy.room\nfrom toy.room import door\nfrom toy.house import itself",
        Path("toy/street.py"): "from . import house\nfrom .room.door import Door",
    }
    assert sorted(import_graph(files).edges) == [
        ("toy.house", "toy.room"),
        ("toy.house", "toy.room.door"),
        ("toy.room", "toy.room.door"),
        ("toy.room.door", "toy"),
        ("toy.street", "toy.house"),
        ("toy.street", "toy.room.door"),
    ]


@pytest.mark.parametrize(
    ("files", "found"),
    [
        (toy(a="from toy import b", b="from toy import c", c=""), []),
        (toy(a="from toy import b", b="def late():\n    from toy.a import f"), [["toy.a", "toy.b"]]),
        (
            toy(
                a="from toy import b",
                b="from toy import c",
                c="from toy import a, d",
                d="from toy import e",
                e="from toy import d",
                f="from toy import a",
            ),
            [["toy.a", "toy.b", "toy.c"], ["toy.d", "toy.e"]],
        ),
    ],
    ids=["none", "late import", "two"],
)
def test_rings(files: dict[Path, str], found: list[list[str]]) -> None:
    assert rings(import_graph(files)) == found


@pytest.mark.parametrize(
    ("files", "chain"),
    [
        (toy(a="", b=""), 1),
        (toy(a="from toy import b, d", b="from toy import c", c="from toy import d", d=""), 4),
        (toy(a="from toy import b", b="from toy import c", c="from toy import b, d", d=""), 3),
    ],
    ids=["nothing imported", "the longer of two ways", "a ring is one"],
)
def test_length_of_the_longest_chain(files: dict[Path, str], chain: int) -> None:
    assert len(longest_chain(import_graph(files))) == chain


def test_the_longest_chain_names_its_modules_from_the_top() -> None:
    files = toy(
        a="from toy import b", b="from toy import c", c="from toy import b, d", d="", e="import toy.d"
    )

    assert longest_chain(import_graph(files)) == ["toy.a", "toy.b+toy.c", "toy.d"]


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("def f(): return 1", 1),
        ('def f():\n    """Only a docstring."""', 0),
        ('def f():\n    """Two\n    lines."""\n\n    # a remark\n    x = 1\n\n    return x', 3),
        ("def f():\n    @cached\n    def g():\n        pass\n    return g", 4),
    ],
    ids=["one line", "docstring", "gaps count", "decorator"],
)
def test_body_lines(text: str, lines: int) -> None:
    (function,) = ast.parse(text).body
    assert isinstance(function, ast.FunctionDef)
    assert body_lines(function) == lines


def test_a_folder_is_as_wide_as_the_files_that_lie_in_it() -> None:
    widths = folder_widths(toy(a="", b="", room__door="", room__inner__key=""))

    assert widths == {Path("toy"): 2, Path("toy/room"): 1, Path("toy/room/inner"): 1}
