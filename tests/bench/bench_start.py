"""What it takes to start the command: CPU time, workers included, as a multiple of `python -c pass`.

The processes run in turns, so that a disturbance hits all alike.
"""

import compileall
import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

import auditor
from tests.intake.workbooks import job_workbook

ROUNDS = 40
COMMAND = ("-c", "from auditor.__main__ import main; main()")  # as the installed script does it


def cpu_ms(*arguments: str) -> float:
    process = subprocess.Popen([sys.executable, *arguments], stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise RuntimeError(f"{arguments} ended with {process.returncode}")
    return 1000 * (usage.ru_utime + usage.ru_stime)


def main() -> None:
    compileall.compile_dir(Path(auditor.__file__).parent, quiet=2)  # as an installed package is
    with tempfile.TemporaryDirectory() as folder:
        path, out = Path(folder, "job.xlsx"), Path(folder, "out")
        path.write_bytes(job_workbook())
        subjects = {
            "python -c pass": ("-c", "pass"),
            "import typer": ("-c", "import typer"),
            "auditor --help": (*COMMAND, "--help"),
            "auditor check --help": (*COMMAND, "check", "--help"),
            "auditor check, one small workbook": (*COMMAND, "check", str(path), "--out", str(out)),
        }
        taken: dict[str, list[float]] = {name: [] for name in subjects}
        for _ in range(ROUNDS):
            for name, arguments in subjects.items():
                taken[name].append(cpu_ms(*arguments))
    print("target: auditor --help at most 6.0 x python -c pass")
    bare = statistics.median(taken["python -c pass"])
    for name, times in taken.items():
        print(f"{name:34} {statistics.median(times) / bare:5.2f} x   [{statistics.median(times):.0f} ms]")


if __name__ == "__main__":
    main()
