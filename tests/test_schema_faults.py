"""What a record lacks under a schema, in words; profiles and layouts are tried beside their readers."""

from typing import Any

import pytest

from auditor.schema_faults import SchemaFault, first_fault


def layout(**changes: Any) -> dict[str, Any]:
    table = {"sheet": "S", "kind": "pulls", "heading_rows": [1], "columns": [{"column": "A", "field": None}]}
    return {"layout": 1, "file": "a.xlsx", "tables": [table | changes]}


@pytest.mark.parametrize(
    ("record", "fault"),
    [
        (layout(), None),
        (7, SchemaFault((), "wanted fields in {}, not 7")),
        (layout(heading_rows=[0]), SchemaFault(("tables", 0, "heading_rows", 0), "wanted at least 1, not 0")),
        (
            layout(last_row="end"),
            SchemaFault(("tables", 0, "last_row"), 'wanted a whole number or null, not "end"'),
        ),
        (layout() | {"layout": 2}, SchemaFault(("layout",), "wanted 1, not 2")),
        (
            layout() | {"file": ""},
            SchemaFault(("file",), 'wanted a file\'s name or a pattern such as *.xlsx, not ""'),
        ),
        (layout(columns=[]), SchemaFault(("tables", 0, "columns"), "wanted 1 to 500 entries, not 0")),
    ],
)
def test_the_first_fault(record: Any, fault: SchemaFault | None) -> None:
    assert first_fault("layout.schema.json", record) == fault
