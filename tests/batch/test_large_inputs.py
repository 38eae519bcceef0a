"""The files of the list of bad inputs that are large, or unpack to something large."""

import zipfile
import zlib
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pytest

from tests.batch.bad_packages import SWOLLEN_BYTES, many_pulls, swelling
from tests.batch.cases import SHEET
from tests.batch.runs import folder_of_jobs, results, run, verdicts

HALF = "0.5"  # GB that one workbook may take: less than what the sheet unpacks to
GREATEST_PIECE = 4 * 1024**2


def _unpacked(packed: bytes) -> Iterator[bytes]:
    inflater = zlib.decompressobj(-15)
    while not inflater.eof:
        yield inflater.decompress(packed, GREATEST_PIECE)
        packed = inflater.unconsumed_tail


def test_13_the_sheet_does_unpack_to_a_gibibyte() -> None:
    data = swelling(SWOLLEN_BYTES)
    assert 1_000_000 < len(data) < 1_100_000
    entry = zipfile.ZipFile(BytesIO(data)).getinfo(SHEET)
    start = entry.header_offset + 30 + len(entry.filename)
    size = check_sum = 0
    for piece in _unpacked(data[start : start + entry.compress_size]):
        size, check_sum = size + len(piece), zlib.crc32(piece, check_sum)
    assert (size, check_sum) == (SWOLLEN_BYTES, entry.CRC) == (entry.file_size, entry.CRC)


@pytest.mark.parametrize(
    ("declared_bytes", "said"),
    [
        (
            SWOLLEN_BYTES,
            "swells.xlsx: the part 'xl/worksheets/sheet2.xml' would unpack to 1,074 MB (1,010 times its "
            "size), more than a schedule holds; the file is not read",
        ),
        (
            5_000,
            "swells.xlsx: the part 'xl/worksheets/sheet2.xml' is damaged; open the workbook in a spreadsheet "
            "program, check it and save it again",
        ),
    ],
    ids=["the directory tells the truth", "the directory says 5,000 bytes"],
)
def test_13_a_sheet_that_swells_is_never_unpacked(tmp_path: Path, declared_bytes: int, said: str) -> None:
    source, out = folder_of_jobs(tmp_path / "in", "a.xlsx", "z.xlsx"), tmp_path / "out"
    (source / "swells.xlsx").write_bytes(swelling(declared_bytes))
    done = run("check", source, "--out", out, "--memory", HALF)
    assert (done.returncode, done.stderr) == (3, "")
    assert [each["problem"] for each in results(out)] == [None, said, None]


def test_27_two_hundred_thousand_pulls_are_audited_or_the_limit_is_named(tmp_path: Path) -> None:
    """On a slow machine, and with the few seconds that a test may take, it is the limit."""
    source, out = folder_of_jobs(tmp_path / "in", "a.xlsx", "z.xlsx"), tmp_path / "out"
    (source / "many.xlsx").write_bytes(many_pulls(200_000))
    done = run("check", source, "--out", out, "--seconds", "6", "--memory", "2")
    assert done.stderr == ""
    first, many, last = results(out)
    assert (first["verdict"], last["verdict"]) == ("pass", "pass")
    if many["verdict"] == "unreadable":
        assert done.returncode == 3
        assert many["problem"] == (
            "many.xlsx: the file took longer than the 6 s that one workbook may take; allow more with "
            "--seconds"
        )
    else:
        assert many["rows_read"] == 200_003
    assert list(verdicts(out)) == ["a.xlsx", "many.xlsx", "z.xlsx"]
