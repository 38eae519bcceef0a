"""How much longer every pull may turn out, in words."""

import pytest

from auditor.report.words import growth_text
from tests.report.audits import run


@pytest.mark.parametrize(
    ("margin", "first", "told"),
    [
        (1.063, "reach", "1.06 times as long breaks reach"),
        (2.0, "run-length", "twice as long breaks total cable"),
        (1.5, "power", "1.5 times as long breaks supply"),
        (1.0, "reach", "any longer breaks reach"),
        (0.9, "power", "supply is past its limit as scheduled"),
        (None, None, ""),
    ],
)
def test_a_margin_reads_as_a_plain_factor(margin: float | None, first: str | None, told: str) -> None:
    assert growth_text(run("1", growth_margin=margin, first_limit=first)) == told


def test_without_a_lowest_voltage_it_is_collapse_that_is_told() -> None:
    asked = run("1", growth_margin=1.4, first_limit="voltage")
    assert growth_text(asked) == "1.4 times as long breaks voltage"
    unknown = run("1", growth_margin=1.4, first_limit="voltage", lowest_known=False)
    assert growth_text(unknown) == "1.4 times as long makes its voltage collapse"
    past = run("1", growth_margin=0.9, first_limit="voltage", lowest_known=False)
    assert growth_text(past) == "its voltage collapses as scheduled"
