"""The command run as a person runs it, and folders compared before and after."""

import ctypes
import json
import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from tests.intake.workbooks import with_lengths

ROOT = Path(__file__).parent.parent.parent
COMMAND = (sys.executable, "-m", "auditor")


def run(*arguments: str | Path, **options: Any) -> subprocess.CompletedProcess[str]:
    """The command with these arguments, its outputs captured."""
    usual: dict[str, Any] = {"capture_output": True, "text": True, "encoding": "utf-8", "timeout": 120}
    usual["env"] = environment()
    return subprocess.run([*COMMAND, *map(str, arguments)], check=False, **(usual | options))


def environment(**changes: str) -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(ROOT), **changes}


def folder_of_jobs(folder: Path, *names: str) -> Path:
    """A folder with a small job under each name, no two alike."""
    for number, name in enumerate(names, 1):
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(with_lengths(100 + number, 50))
    return folder


def state(folder: Path) -> dict[str, tuple[bytes, int]]:
    """Name -> bytes and time of every file below a folder."""
    return {
        str(path.relative_to(folder)): (path.read_bytes(), path.stat().st_mtime_ns)
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.is_symlink()
    }


def contents(folder: Path) -> dict[str, bytes]:
    return {name: content for name, (content, _) in state(folder).items()}


def names(folder: Path) -> list[str]:
    """Every file below a folder."""
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if not path.is_dir())


def results(out: Path) -> list[dict[str, Any]]:
    lines = (out / "results.jsonl").read_bytes().decode("utf-8").split("\n")
    assert lines[-1] == ""
    return [json.loads(line) for line in lines[:-1]]


def verdicts(out: Path) -> Mapping[str, str]:
    found = results(out)
    assert len({each["file"] for each in found}) == len(found)
    return {each["file"]: each["verdict"] for each in found}


def as_anyone() -> Callable[[], None] | None:
    """For `preexec_fn`: root without its power over permissions; None where it has none."""
    if os.geteuid() != 0:
        return None
    library = ctypes.CDLL(None)

    def drop() -> None:
        for power in (1, 2):  # CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH
            library.prctl(24, power)  # PR_CAPBSET_DROP: gone after the next exec

    return drop
