"""Text files with separators. The numbers are those of the list of bad inputs that the project keeps."""

import pytest

from auditor.errors import UnusableFileError
from auditor.intake import read_job

HEADING = "Cable,From,To,Length (ft),Type"
ROWS = "P1,C1.1,K1,120,16/2\r\nP2,K1,K2,80.5,16/2\r\n"


def pulls(data: bytes, name: str = "job.csv") -> list[tuple[str, str, str, float | None, str | None]]:
    job = read_job(data, name)
    return [(p.id, p.near, p.far, round(p.length_m, 4) if p.length_m else None, p.cable) for p in job.pulls]


def test_65_utf_8_with_a_byte_order_mark() -> None:
    data = ("\ufeff" + HEADING + "\r\n" + ROWS).encode()
    assert pulls(data) == [("P1", "C1.1", "K1", 36.576, "16/2"), ("P2", "K1", "K2", 24.5364, "16/2")]


def test_a_heading_in_quotation_marks_over_several_lines() -> None:
    data = b'"Cable\tno\n(as on plan)\t",From,To,Length (ft)\nP1,C1.1,K1,120\n'
    assert [each[1:4] for each in pulls(data)] == [("C1.1", "K1", 36.576)]


def test_66_semicolons_decimal_commas_and_cp1252() -> None:
    text = "Kabel;Von;Nach;Länge (m);Typ\r\nP1;C1.1;Küche;41,5;2x1,5\r\nP2;Küche;Flur;1.250,25;2x1,5\r\n"
    assert pulls(text.encode("cp1252")) == [
        ("P1", "C1.1", "Küche", 41.5, "2x1,5"),
        ("P2", "Küche", "Flur", 1250.25, "2x1,5"),
    ]
    said = [r.message for r in read_job(text.encode("cp1252"), "job.csv").remarks]
    assert "read as text in cp1252, columns separated by semicolons" in said
    assert "the numbers in 'Länge (m)' are read with a comma as the decimal character" in said


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_67_utf_16_with_tabs(encoding: str) -> None:
    mark = "" if encoding == "utf-16" else "\ufeff"
    data = (mark + HEADING.replace(",", "\t") + "\r\n" + ROWS.replace(",", "\t")).encode(encoding)
    assert [p[0] for p in pulls(data, "job.tsv")] == ["P1", "P2"]


def test_68_sep_line_quoted_line_breaks_and_doubled_quotes() -> None:
    text = 'sep=;\r\nCable;From;To;Length;Notes\r\nP1;C1.1;K1;"12\'-6""";"first line\r\nsecond; line"\r\n'
    job = read_job(text.encode(), "job.csv")
    assert [(p.id, p.length_m, p.note) for p in job.pulls] == [
        ("P1", pytest.approx(3.81), "first line second; line")
    ]
    assert job.pulls[0].where.row == 3


def test_69_a_quotation_mark_that_is_never_closed() -> None:
    text = HEADING + '\r\nP1,C1.1,K1,120,16/2\r\nP2,"K1,K2,80,16/2\r\nP3,K2,K3,80,16/2\r\n'
    with pytest.raises(UnusableFileError) as refused:
        read_job(text.encode(), "job.csv")
    assert str(refused.value) == (
        "job.csv: line 3 has a quotation mark that is never closed, or text right after a closing one; "
        "mend it and save the file again"
    )


def test_69_ragged_rows_and_zero_bytes() -> None:
    text = HEADING + "\r\nP1,C1.1,K1\r\nP2,K1,K2,80,16/2,,,extra\r\nP3,K\0002,K3,10,16/2\r\n"
    assert pulls(text.encode()) == [
        ("P1", "C1.1", "K1", None, None),
        ("P2", "K1", "K2", 24.384, "16/2"),
        ("P3", "K2", "K3", 3.048, "16/2"),
    ]


def test_69_a_cell_of_five_megabytes() -> None:
    text = HEADING + "\r\nP1,C1.1,K1,120," + "x" * 5_000_000 + "\r\n"
    with pytest.raises(UnusableFileError, match="line 2 has a cell that is longer than any schedule's"):
        read_job(text.encode(), "job.csv")


def test_commas_win_over_semicolons_in_notes() -> None:
    text = HEADING + ",Notes\r\nP1,C1.1,K1,120,16/2,a; b; c; d; e; f; g\r\n"
    assert [p[3] for p in pulls(text.encode())] == [36.576]
