"""Files with a few bytes changed: read, or refused with a sentence, and never anything else."""

import io
import random
import zipfile

import pytest

from auditor.errors import UnusableFileError
from auditor.intake import read_job
from tests.intake.workbooks import job_workbook

from .test_other_formats import ods, xls, xlsb

TRIES = 60
SCRAPS = [b"<", b">", b'"', b"&amp;", b"999999999", b"</row>", b"\x00", b"\xff\xff\xff\x7f"]


def scratched(data: bytes, chance: random.Random) -> bytes:
    broken = bytearray(data)
    for _ in range(chance.choice([1, 2, 8])):
        at = chance.randrange(len(broken))
        broken[at : at + chance.choice([0, 1, 1, 12])] = chance.choice(
            [*SCRAPS, bytes([chance.randrange(256)])]
        )
    return bytes(broken)


def scratched_part(data: bytes, chance: random.Random) -> bytes:
    """One part changed, its check sum right again."""
    source, held = zipfile.ZipFile(io.BytesIO(data)), io.BytesIO()
    target = chance.choice([part for part in source.namelist() if source.getinfo(part).file_size])
    with zipfile.ZipFile(held, "w") as package:
        for part in source.namelist():
            content = source.read(part)
            package.writestr(part, scratched(content, chance) if part == target else content)
    return held.getvalue()


@pytest.mark.parametrize(
    ("ending", "make"), [("xlsx", job_workbook), ("ods", ods), ("xlsb", xlsb), ("xls", xls)]
)
def test_read_or_refused(ending: str, make: object, capfd: pytest.CaptureFixture[str]) -> None:
    whole = make()  # type: ignore[operator]
    chance = random.Random(20)
    outcomes = set()
    for number in range(TRIES):
        change = scratched_part if number % 2 and ending != "xls" else scratched
        try:
            outcomes.add(read_job(change(whole, chance), f"job.{ending}").rows_read > 0)
        except UnusableFileError as refused:
            outcomes.add(str(refused).startswith(f"job.{ending}: "))
    assert outcomes <= {True}
