"""Workbooks whose XML was damaged here and there: read, or refused in a sentence, never a fault of ours."""

import io
import os
import random
import re
import zipfile
from pathlib import Path

import pytest

from auditor.batch.work import Task, do
from auditor.results.findings import Verdict
from tests.annotate.calls import strip

SAMPLES = sorted((Path(__file__).parent.parent.parent / "sample_workbooks").glob("*.xlsx"))
TRIES = 12  # damaged workbooks of one seed, half of them annotated copies
VALUES = (b'""', b'"-1"', b'"99999999999"', b'"A1:XFD1048576"', b'"x"', '"é"'.encode(), b'"true"', b'"0"')
MARKUP = (b"<", b">", b"&", b"&#0;", b"<c/>", b"</row>", b"<!--", b"<![CDATA[", b"\0", b'<row r="3"/>')


def damaged_text(data: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(data) or 1)
    choice = rng.random()
    if choice < 0.4:
        quoted = list(re.finditer(rb'"[^"]{0,20}"', data))
        place = rng.choice(quoted).span() if quoted else (at, at)
        return data[: place[0]] + rng.choice(VALUES) + data[place[1] :]
    if choice < 0.6:
        return data[:at] + data[at + rng.choice((1, 3, 50)) :]
    if choice < 0.8:
        return data[:at] + rng.choice(MARKUP) + data[at:]
    return data[:at] + data[rng.randrange(len(data) or 1) :][:40] + data[at:]


def damaged(content: bytes, rng: random.Random) -> bytes:
    """The package with one to three of its parts damaged in one to five places, or left out."""
    source, held = zipfile.ZipFile(io.BytesIO(content)), io.BytesIO()
    names = [name for name in source.namelist() if name.endswith((".xml", ".rels"))]
    victims = set(rng.sample(names, rng.choice((1, 1, 2, 3))))
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as package:
        for name in source.namelist():
            data = source.read(name)
            if name in victims:
                for _ in range(rng.choice((1, 2, 5))):
                    data = damaged_text(data, rng)
                if rng.random() < 0.05:
                    continue
            package.writestr(name, data)
    return held.getvalue()


def audited(path: Path, content: bytes) -> Path:
    path.write_bytes(content)
    os.utime(path, (1e9, 1e9))  # long ago: nobody is writing it
    copy = path.with_name("copy.xlsx")
    copy.unlink(missing_ok=True)
    outcome = do(Task(path=str(path), name=path.name, output=str(copy), profile=None))
    assert [audit.crashed for audit in outcome.audits if audit.crashed] == []
    if any(audit.verdict is Verdict.UNREADABLE for audit in outcome.audits):
        (audit,) = outcome.audits
        assert len(audit.problem or "") > 20
        assert not copy.exists()
    return copy


@pytest.mark.parametrize("seed", range(12))
def test_damaged_xml_is_read_or_refused(seed: int, tmp_path: Path) -> None:
    rng = random.Random(seed)
    whole = rng.choice(SAMPLES).read_bytes()
    annotated = audited(tmp_path / "job.xlsx", whole).read_bytes()
    for number in range(TRIES):
        copy = audited(tmp_path / "job.xlsx", damaged(annotated if number % 2 else whole, rng))
        if copy.exists():
            assert zipfile.ZipFile(copy).testzip() is None
            strip(copy.read_bytes())
