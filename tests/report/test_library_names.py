"""The names of XlsxWriter that `report/page/sheet.py` takes and that its manual does not promise.

When a test here fails after a new version of the library: read in its source what became of the name, change
`sheet.py` and the list below, run `tests/report`, and raise the bound in `pyproject.toml`. Until that is done
the bound stays below the new version.
"""

import ast
import inspect
import io
from collections.abc import Iterator

import pytest
from xlsxwriter.format import Format
from xlsxwriter.packager import Packager
from xlsxwriter.workbook import Workbook
from xlsxwriter.worksheet import Worksheet

from auditor.report.page import sheet

OVERRIDDEN = [
    (Worksheet, "_write_sheet_data", ["self"]),  # writes all rows
    (Worksheet, "_write_string", ["self", "row", "col", "string", "cell_format"]),  # keeps a link's text
    (Worksheet, "_write_dimension", ["self"]),  # writes the area that cells stand in
    (Workbook, "_get_packager", ["self"]),  # makes the object that packs the parts
    (Packager, "_create_package", ["self"]),  # gives (file, name, is it bytes) of each part
    (Format, "_get_format_key", ["self"]),  # equal keys: one format in the styles part
]  # fmt: skip
CALLED = [
    (Format, "_get_xf_index", ["self"]),  # numbers a format when it is first used
    (Worksheet, "_check_dimensions", ["self", "row", "col"]),  # counts a cell into the area
]
HELD = [
    (Format, "xf_index"),
    (Format, "xf_format_indices"),
    (Format, "dxf_format_indices"),
    (Workbook, "formats"),
    (Workbook, "xf_format_indices"),
    (Workbook, "dxf_format_indices"),
    (Worksheet, "fh"),
]
ADVICE = "see the head of this file"


@pytest.mark.parametrize(("owner", "name", "parameters"), [*OVERRIDDEN, *CALLED])
def test_a_method_is_there_with_its_parameters(owner: type, name: str, parameters: list[str]) -> None:
    method = getattr(owner, name, None)
    assert method is not None, f"{owner.__name__}.{name} is gone; {ADVICE}"
    assert list(inspect.signature(method).parameters)[: len(parameters)] == parameters, ADVICE


@pytest.mark.parametrize(("owner", "name"), HELD)
def test_an_attribute_is_there(owner: type, name: str) -> None:
    made = owner(io.BytesIO()) if owner is Workbook else owner()
    assert hasattr(made, name), f"{owner.__name__}.{name} is gone; {ADVICE}"


def test_a_package_is_its_parts() -> None:
    workbook = sheet.RowBook()
    workbook.add_worksheet("A").put(0, 0, "text", workbook.add_format())
    parts = workbook.parts()
    assert b"<t>text</t>" in parts["xl/worksheets/sheet1.xml"]
    assert all(isinstance(content, bytes) for content in parts.values())


def test_the_lists_are_complete() -> None:
    """No private name of the library is taken that stands in no list."""
    tree = ast.parse(inspect.getsource(sheet))
    own = {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)} | {
        node.attr
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Store)
    }
    called = {
        node.attr
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and node.attr.startswith("_") and not node.attr.startswith("__")
    }
    through_super = {name for _, name, _ in OVERRIDDEN}
    assert called - own - through_super == {name for _, name, _ in CALLED}
    assert set(overridden(tree)) == {name for _, name, _ in OVERRIDDEN}


def overridden(tree: ast.Module) -> Iterator[str]:
    """The private methods of the library that our classes replace."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef):
            base = next((each.__base__ for name, each in vars(sheet).items() if name == node.name), object)
            names = (each.name for each in node.body if isinstance(each, ast.FunctionDef))
            yield from (name for name in names if name[0] == "_" != name[1] and hasattr(base, name))
