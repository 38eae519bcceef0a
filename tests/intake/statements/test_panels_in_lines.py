"""Panels that a line above a list names without a colon."""

import pytest

from auditor.intake.statements.sentences import panel_in_section


@pytest.mark.parametrize(
    ("line", "panel"),
    [
        ("Panel ZC 1", "ZC 1"),
        ("Panel LCP-1", "LCP-1"),
        ("Panel Hall 1", None),
        ("Panel P 1", None),
    ],
)
def test_the_name_behind_the_word(line: str, panel: str | None) -> None:
    assert panel_in_section(line) == panel
