"""A pin that cannot be read holds: its home run stays on its port until somebody corrects the cell."""

import pytest

from auditor.intake import read_job
from tests.intake.workbooks import workbook


@pytest.mark.parametrize(
    ("cell", "pinned", "unread"),
    [("yes", True, 0), ("no", False, 0), ("", False, 0), ("fixed there", True, 1)],
)
def test_a_pin(cell: str, pinned: bool, unread: int) -> None:
    pulls = [["From", "To", "Length (ft)", "Pinned"], ["C1.1", "K1", 50, cell], ["K1", "K2", 40, "no"]]
    devices = [["Tag", "Power (W)"], ["K1", 0.5], ["K2", 0.5]]
    one = read_job(workbook({"Devices": devices, "Pulls": pulls}), "a.xlsx").pulls[0]
    assert (one.pinned, len(one.unread)) == (pinned, unread)
