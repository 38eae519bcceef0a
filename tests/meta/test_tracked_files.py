"""What is shipped works on any machine: no path of the one it was written on, no package index of its own."""

import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent
BINARY = {".xlsx", ".xlsm", ".xlsb", ".xls", ".ods", ".png", ".gif", ".jpg", ".bin"}
PATTERNS = {
    "a folder of one machine": re.compile(r"(?<![\w.])/(?:home|root|Users|work|tmp|mnt|opt|srv)/\w|[A-Za-z]:\\Users\\"),
    "a package index": re.compile(r"(?:extra-)?index[-_]url|find-links|trusted-host|/simple/?[\"'\s]"),
    "a proxy": re.compile(r"https?_proxy|goproxy", re.IGNORECASE),
    "a machine's address": re.compile(r"//(?:\d{1,3}\.){3}\d{1,3}|localhost:\d"),
    "a secret": re.compile(r"(?i)(?:password|token|secret|api_?key)\s*[=:]\s*[\"'][^\"'{]{8,}|BEGIN [A-Z ]*PRIVATE KEY"),
}  # fmt: skip


def tracked() -> list[Path]:
    try:
        listed = subprocess.run(
            ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True
        ).stdout
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("this is no checkout, so nothing says which files are shipped")
    return [ROOT / name for name in listed.split("\0") if name]


def lines() -> list[tuple[str, str]]:
    """(file and line, text) of every tracked text file but this one."""
    return [
        (f"{path.relative_to(ROOT).as_posix()}:{number}", text)
        for path in tracked()
        if path.is_file() and path.suffix not in BINARY and path != Path(__file__)
        for number, text in enumerate(path.read_text("utf-8").splitlines(), 1)
    ]


@pytest.mark.parametrize("what", PATTERNS)
def test_no_tracked_file_holds(what: str) -> None:
    assert [f"{place}: {text.strip()}" for place, text in lines() if PATTERNS[what].search(text)] == []


@pytest.mark.parametrize(
    ("what", "text"),
    [
        ("a folder of one machine", "open('/home/" + "ann/job.xlsx')"),
        ("a folder of one machine", "C:\\Users\\" + "ann"),
        ("a package index", "pip install --index" + "-url X"),
        ("a machine's address", "http://10.0.0." + "7:8080"),
    ],
)
def test_what_is_looked_for_is_found(what: str, text: str) -> None:
    assert PATTERNS[what].search(text)
