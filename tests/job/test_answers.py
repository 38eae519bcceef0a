"""Answers of several copies together: which counts, and when nobody can tell."""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from auditor.job.answers import (
    THIS_FOLDER,
    RowRecord,
    TypedAnswer,
    record_of,
    same_words,
    settled,
    typed_answer,
)

RECORD = RowRecord(id="unit-00000000", sentence="Ft or m?", choices=("ft", "m"))


def typed(text: str, file: str = "own.xlsx", **changes: object) -> TypedAnswer:
    record = replace(RECORD, **{key: value for key, value in changes.items() if key != "use"})  # type: ignore[arg-type]
    return replace(typed_answer(record, text, str(changes.get("use", "")), ""), file=file)


Rows = Sequence[TypedAnswer]
OTHER, THIRD = "b.xlsx", "c.xlsx"


@pytest.mark.parametrize(
    ("own", "others", "folder", "obeyed", "source"),
    [
        ([typed("ft")], [], [], "ft", ""),
        ([typed(" FT ")], [], [], "ft", ""),
        ([typed("")], [typed("m", OTHER)], [], "m", OTHER),
        ([typed("m")], [typed("m", OTHER)], [], "m", ""),
        ([typed("ft")], [typed("m", OTHER)], [], None, ""),
        ([typed("ft", source=OTHER, answer="ft")], [typed("m", OTHER)], [], "m", OTHER),
        ([typed("ft", source=OTHER, answer="ft")], [], [], "ft", OTHER),
        ([typed("ft", source=OTHER, answer="m")], [typed("m", OTHER)], [], None, ""),
        ([], [typed("ft", OTHER), typed("m", THIRD)], [], None, ""),
        ([typed("ft", set_aside=("ft", "m"))], [typed("m", OTHER)], [], "ft", ""),
        ([typed("", set_aside=("ft", "m"))], [typed("m", OTHER)], [], None, ""),
        ([typed("")], [], [typed("m", OTHER, use=THIS_FOLDER)], "m", OTHER),
        ([typed("ft")], [], [typed("m", OTHER, use=THIS_FOLDER)], "ft", ""),
        ([], [], [typed("m", OTHER), typed("ft", THIRD)], None, ""),
    ],
)  # fmt: skip
def test_the_answer_that_counts(
    own: Rows, others: Rows, folder: Rows, obeyed: str | None, source: str
) -> None:
    answer = settled(own, others, folder)[RECORD.id]
    assert answer.obeyed == obeyed
    assert bool(answer.trouble) is (obeyed is None)
    assert obeyed is None or answer.source == source


def test_nothing_typed_is_no_answer() -> None:
    assert settled([typed("")], [typed("", OTHER)]) == {}


def test_a_contradiction_names_the_copies_and_sets_their_answers_aside() -> None:
    answer = settled([typed("ft")], [typed("m", OTHER)])[RECORD.id]
    assert (answer.text, answer.set_aside) == ("", ("ft", "m"))
    assert "«ft» in own.xlsx, «m» in b.xlsx" in answer.trouble


def test_a_record_is_read_back_and_knows_its_sentence() -> None:
    record = replace(RECORD, source=OTHER, answer="ft", set_aside=("m",), choices=('a "b", c', "m"))
    assert record_of(record.text(), record.sentence) == (record, True)
    assert record_of(record.text(), " ft or  M? ") == (replace(record, sentence=" ft or  M? "), True)
    assert record_of(record.text(), "another?") == (replace(record, sentence="another?"), False)


@pytest.mark.parametrize(
    "cell", ["", "x", "[]", "{}", '{"id": 1}', '{"id": "a", "of": 1, "choices": 3}', "null", "{", "[" * 9999]
)
def test_a_cell_without_a_record_has_none(cell: str) -> None:
    assert record_of(cell, "Ft or m?") is None


@pytest.mark.parametrize(
    ("typed_text", "same"),
    [
        ("’Length A (ft)’ in  column D", True),
        ("Length A (ft)' in column d", True),
        ("'Length B (ft)' in column D", False),
    ],
)
def test_quotation_marks_capitals_and_blanks_do_not_count(typed_text: str, same: bool) -> None:
    assert same_words("'Length A (ft)' in column D", typed_text) is same
