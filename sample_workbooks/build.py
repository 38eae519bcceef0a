"""Writes the sample workbooks: the jobs of an invented office, every name in them invented.

    python sample_workbooks/build.py [--out FOLDER]

In every table the last column, `expect`, names the rules that an audit must report on that row
(levels `review` and `fail`; blank: none). "expect for the job" names those that have no cell.
"""

import argparse
from pathlib import Path

from drafting import kept, office
from drafting.jobs import BOOKS
from drafting.jobs.kept import BOOKS as KEPT


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--out", type=Path, default=Path(__file__).parent, help="folder to write into")
    out = parser.parse_args().out
    for path in (*(office.write(book, out) for book in BOOKS), *(kept.write(book, out) for book in KEPT)):
        print(path.relative_to(out))


if __name__ == "__main__":
    main()
