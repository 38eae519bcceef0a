"""Names of annotated copies: each different, each short enough for a file system."""

import os
import re
import unicodedata
from collections.abc import Iterator
from itertools import count

from auditor.endings import PATCHED

MARK = ".audited"  # stands before the ending of our own outputs
COPY = re.compile(rf"(.+){re.escape(MARK)}(?:-new)?(?:-\d+)?", re.DOTALL)  # the stem of such a name
LONGEST_NAME = 255  # bytes; what common file systems hold
_SPARE = 16  # bytes left free for a longer ending, or a number when the copy is held open


def originals(file: str) -> tuple[str, ...]:
    """The names that the workbook of an annotated copy may have: `job.xls`, `job`; none where it is no copy's name."""
    stem, ending = os.path.splitext(file)
    copy = COPY.fullmatch(stem)
    return (f"{copy[1]}{ending}", copy[1]) if copy else ()


class Names:
    """Gives out names, none twice.

    Names that differ in case, in the composition of letters or only in their ending count as one:
    a file system may not tell them apart, and a copy's ending follows what its workbook really is.
    """

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def output(self, name: str) -> str:
        """Path of the annotated copy below the out folder, "/" between.

        Parameters
        ----------
        name : the job's path below the dropped folder
        """
        folder, slash, file = name.replace("\\", "_").rpartition("/")
        ending = os.path.splitext(file)[1]
        ending = ending if ending.lower() in PATCHED else ".xlsx"
        for stem in _stems(file, ending):
            path = f"{folder}{slash}{stem}"
            key = unicodedata.normalize("NFC", path).casefold()
            if key not in self._taken:
                self._taken.add(key)
                return path + ending
        raise AssertionError("numbers do not end")


def _stems(file: str, ending: str) -> Iterator[str]:
    """What the copy may be called: after the stem, after the whole name, with a number."""
    stem, own = os.path.splitext(file)
    if own.lower() in PATCHED:
        copy = COPY.fullmatch(stem)
        yield _fitting(copy[1] if copy else stem, MARK, ending)
    yield _fitting(file, MARK, ending)
    for number in count(2):
        yield _fitting(file, f"{MARK}-{number}", ending)


def _fitting(stem: str, tail: str, ending: str) -> str:
    room = LONGEST_NAME - _SPARE - len(os.fsencode(tail + ending))
    while len(os.fsencode(stem)) > room:
        stem = stem[:-1]
    return stem + tail
