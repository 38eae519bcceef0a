"""What is typed beside a finding, read with the record in its row."""

import pytest

from auditor.job.acceptances import (
    NO_FAIL,
    TO_ANSWER,
    Acceptance,
    FindingRecord,
    acceptance,
    finding_record_of,
    print_of,
    together,
)

RECORD = FindingRecord(id="reach-00000000", subject="K1", measured=480.0, limit=500.0)


def test_a_record_is_read_back() -> None:
    record = FindingRecord(
        id="reach-00000000",
        subject="K1",
        measured=1.5,
        limit=2.0,
        said="0a",
        source="b.xlsx",
        accepted=1.25,
        accepted_limit=2.5,
    )
    assert finding_record_of(record.text()) == record
    assert finding_record_of(RECORD.text()) == RECORD


@pytest.mark.parametrize("cell", ["", "[]", "{}", "null", "1", '{"id": "a"}', "[" * 9999])
def test_a_cell_without_a_record_has_none(cell: str) -> None:
    assert finding_record_of(cell) is None


@pytest.mark.parametrize("figure", ["NaN", "Infinity", "true", '"x"', "null", "1" + "0" * 400])
def test_a_figure_that_is_none_is_not_taken(figure: str) -> None:
    record = finding_record_of(f'{{"finding": "a", "measured": {figure}}}')
    assert record is None or record.measured in (None, 1.0)


@pytest.mark.parametrize(("by", "because"), [("", ""), (NO_FAIL, ""), (TO_ANSWER, "")])
def test_what_we_wrote_is_no_acceptance(by: str, because: str) -> None:
    assert acceptance(RECORD, "m", by, because, "") is None


def typed(record: FindingRecord = RECORD, file: str = "own.xlsx", because: str = "surveyed") -> Acceptance:
    found = acceptance(record, "K1 is far", "R. Amann", because, "")
    assert found is not None
    return Acceptance(**{name: getattr(found, name) for name in Acceptance.__slots__} | {"file": file})


def test_words_stand_for_the_figure_they_were_typed_at() -> None:
    said = print_of("R. Amann", "surveyed")
    carried = FindingRecord(
        id="reach-00000000",
        subject="K1",
        measured=480.0,
        limit=500.0,
        said=said,
        accepted=470.0,
        accepted_limit=500.0,
    )
    assert typed().measured == 480.0
    assert typed(carried).measured == 470.0
    assert typed(carried, because="surveyed again").measured == 480.0


def test_the_own_copy_goes_before_others_unless_it_only_took_them_over() -> None:
    said = print_of("R. Amann", "surveyed")
    taken = FindingRecord(id=RECORD.id, subject="K1", said=said, source="b.xlsx")
    other = typed(file="b.xlsx", because="otherwise")
    assert together([typed()], [other])[RECORD.id].because == "surveyed"
    assert together([typed(taken)], [other])[RECORD.id].because == "otherwise"
    assert together([typed(taken)], [])[RECORD.id].because == "surveyed"
    assert together([], [other])[RECORD.id].source == "b.xlsx"
