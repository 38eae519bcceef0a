from dataclasses import replace

import pytest

from auditor.intake import read_job
from auditor.job.field_words import noun_of
from auditor.job.model import CellRef, Controller, Job, Reel, Unread
from auditor.results.findings import Finding, Level
from tests.builders import SPEC, device, found, job, pull
from tests.intake.workbooks import with_lengths

CELL = CellRef("Sheet", 7, 3)


def held(field: str, text: str = "TBD", reason: str = "no number") -> tuple[Unread, ...]:
    return (Unread(field=field, text=text, reason=reason, where=CELL),)


def about(subject: str, message: str) -> Finding:
    return Finding(rule="unreadable-value", level=Level.REVIEW, subject=subject, message=message, where=CELL)


CASES: list[tuple[str, Job, list[Finding]]] = [
    (
        "review: TBD under the lengths",
        job([pull("C1.1", "K1", None, unread=held("length_m", reason="no length"))]),
        [about("C1.1-K1", "The length of pull C1.1-K1 reads 'TBD': no length; correct the cell")],
    ),
    ("passes: what could be read", job([pull("C1.1", "K1")]), []),
    (
        "a device",
        job([pull("C1.1", "K1")], [device("K1", None, unread=held("power_w", "2 pcs"))]),
        [about("K1", "The power of K1 reads '2 pcs': no number; correct the cell")],
    ),
    (
        "a cable type",
        job([pull("C1.1", "K1")], cable=replace(SPEC, unread=held("insulation_v", "high"))),
        [about("CAB", "The insulation voltage of CAB reads 'high': no number; correct the cell")],
    ),
    (
        "a controller",
        job([pull("C1.1", "K1")], controllers=[Controller(name="C1", unread=held("supply_power_w"))]),
        [about("C1", "The supply power of C1 reads 'TBD': no number; correct the cell")],
    ),
    (
        "reels, with and without a cable type",
        job(
            [],
            reels=tuple(Reel(length_m=None, cable=cable, unread=held("length_m")) for cable in ("CAB", None)),
        ),
        [
            about("CAB", "The length of a reel of CAB reads 'TBD': no number; correct the cell"),
            about("reel", "The length of a reel reads 'TBD': no number; correct the cell"),
        ],
    ),
    (
        "two cells of one row",
        job([pull("C1.1", "K1", unread=held("mains_crossing_deg") + held("mains_parallel_m"))]),
        [
            about("C1.1-K1", "The crossing angle of pull C1.1-K1 reads 'TBD': no number; correct the cell"),
            about(
                "C1.1-K1", "The distance from mains of pull C1.1-K1 reads 'TBD': no number; correct the cell"
            ),
        ],
    ),
    ("empty job", job([]), []),
]


@pytest.mark.parametrize(("what", "a_job", "findings"), CASES, ids=[row[0] for row in CASES])
def test_unreadable_value(what: str, a_job: Job, findings: list[Finding]) -> None:
    assert found("unreadable-value", a_job) == findings


def test_every_field_with_a_unit_in_its_name_has_words() -> None:
    """A field's own name is no word for a tradesperson."""
    suffixes = ("_m", "_w", "_v", "_a", "_mm2", "_deg", "_nf_per_m", "_ohm_per_km")
    records = (device("K1"), pull("C1.1", "K1"), SPEC, Controller(name="C1"))
    quantities = {
        name
        for record in records
        for name in type(record).__dataclass_fields__
        if name.endswith(suffixes) or name == "ohm_per_km"
    }
    assert {name for name in quantities if "_" in noun_of(name)} == set()


@pytest.mark.parametrize(
    ("text", "length_m", "said"),
    [
        ("120'", 120 * 0.3048, None),
        ("36.5 m", 36.5, None),
        ("12'-6\"", 12.5 * 0.3048, None),
        ("TBD", None, "The length of pull P1 reads 'TBD': "),
    ],
)
def test_lengths_as_people_write_them_through_a_workbook(
    text: str, length_m: float | None, said: str | None
) -> None:
    a_job = read_job(with_lengths(text), "job.xlsx")
    assert a_job.pulls[0].length_m == (None if length_m is None else pytest.approx(length_m))
    messages = [finding.message for finding in found("unreadable-value", a_job)]
    assert len(messages) == (0 if said is None else 1)
    assert all(message.startswith(said or "") for message in messages)
