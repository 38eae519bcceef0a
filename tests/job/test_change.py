"""Changes of a job's rows, alone and together."""

from dataclasses import replace

import pytest

from auditor.job.change import Change, together
from auditor.job.model import CellRef, Port, Remark
from tests.builders import SPEC, device, job, pull

JOB = job([pull("C1.1", "K1", id="P1"), pull("K1", "K2", id="P2")], [device("K1"), device("K2")])
FIRST, SECOND = JOB.pulls
ONE = {id(FIRST): replace(FIRST, far="K9")}
TAG = {id(JOB.devices[0]): replace(JOB.devices[0], tag="K9")}


@pytest.mark.parametrize(
    ("one", "other", "meet"),
    [
        (Change(pulls=ONE), Change(pulls=ONE), True),
        (Change(pulls=ONE), Change(pulls={id(SECOND): SECOND}), False),
        (Change(devices=TAG), Change(devices=TAG), True),
        (Change(devices=TAG), Change(pulls=ONE), False),
        (Change(gone=frozenset({("Pulls", 2)})), Change(gone=frozenset({("Pulls", 2)})), True),
        (Change(gone=frozenset({("Pulls", 2)})), Change(gone=frozenset({("Pulls", 3)})), False),
        (Change(cables={"CAB": SPEC}), Change(cables={"CAB": SPEC}), True),
        (Change(), Change(), False),
    ],
)
def test_two_changes_meet_where_they_change_one_row(one: Change, other: Change, meet: bool) -> None:
    assert one.meets(other) is other.meets(one) is meet


def test_a_row_that_goes_takes_its_pull_its_device_and_its_remarks_along() -> None:
    said = [
        Remark(rule="reading", level="note", subject="K1", message="…", where=CellRef("Pulls", row, 1))
        for row in (2, 3)
    ]
    remarked = replace(JOB, remarks=(*said, replace(said[0], where=None)))
    after = Change(gone=frozenset({("Pulls", 2), ("Devices", 3)})).applied(remarked)
    assert [each.id for each in after.pulls] == ["P2"]
    assert [each.tag for each in after.devices] == ["K1"]
    assert [each.where and each.where.row for each in after.remarks] == [3, None]


def test_changes_together_do_all_that_each_does() -> None:
    thick = replace(SPEC, gauge="14 AWG")
    port = Port(controller="C2", port="1")
    changes = [
        Change(pulls=ONE, cables={"CAB": thick}),
        Change(devices=TAG, ports={"C2.1": port}, drawn=(replace(SECOND, id="P3"),)),
        Change(gone=frozenset({("Pulls", 3)})),
    ]
    after = together(changes).applied(JOB)
    assert [(each.id, each.far) for each in after.pulls] == [("P1", "K9"), ("P3", "K2")]
    assert [each.tag for each in after.devices] == ["K9", "K2"]
    assert after.cables == {"CAB": thick}
    assert set(after.ports) == {"C1.1", "C2.1"}
    assert set(after.controllers) == {"C1", "C2"}
