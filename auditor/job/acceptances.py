"""Reviews that somebody accepts in the cells beside them on the sheet «Audit»."""

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isfinite

from auditor.job.checksums import checksum

BY_HEADING, WHY_HEADING = "Accepted by", "Because"
FINDING_HEADING = "What was found, and what to do"
KEY_HEADING = "Finding id"
NO_FAIL = "a fail cannot be accepted"  # stands in the cell of a fail
TO_ANSWER = "see Questions"  # stands in the cell of a review that asks


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingRecord:
    """What a row of the findings holds for its next reading; it stands in the row's last cell."""

    id: str
    subject: str
    measured: float | None = None  # when the copy was written
    limit: float | None = None
    said: str = ""  # a print of the words that stood in the row then; other ones were typed since
    source: str = ""  # the file that these words were taken from; empty: this copy itself
    accepted: float | None = None  # the figure for which they accept it
    accepted_limit: float | None = None

    def text(self) -> str:
        """The record as its cell holds it."""
        data = {
            "finding": self.id,
            "subject": self.subject,
            "measured": self.measured,
            "limit": self.limit,
            "said": self.said,
            "from": self.source,
            "accepted": self.accepted,
            "accepted_limit": self.accepted_limit,
        }
        return json.dumps(
            {key: value for key, value in data.items() if value not in (None, "")}, ensure_ascii=False
        )


def finding_record_of(cell: str) -> FindingRecord | None:
    """The record that a cell holds; None: it holds none."""
    try:
        data = json.loads(cell)
        return FindingRecord(
            id=str(data["finding"]),
            subject=str(data.get("subject", "")),
            measured=_figure(data.get("measured")),
            limit=_figure(data.get("limit")),
            said=str(data.get("said", "")),
            source=str(data.get("from", "")),
            accepted=_figure(data.get("accepted")),
            accepted_limit=_figure(data.get("accepted_limit")),
        )
    except (ValueError, KeyError, TypeError, AttributeError, OverflowError, RecursionError):
        return None


def _figure(value: object) -> float | None:
    return float(value) if isinstance(value, (int, float)) and isfinite(value) else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Acceptance:
    """A review that somebody accepts, in their words."""

    id: str  # of the finding
    subject: str
    message: str  # of the finding, when the words were typed
    by: str
    because: str
    measured: float | None = None  # the figure that it is accepted for
    limit: float | None = None
    fault: str = ""  # why it cannot be one, a clause
    source: str = ""  # as in `FindingRecord`, where the words were not changed since
    file: str = ""  # the copy it stands in

    @property
    def words(self) -> str:
        return f"{self.by}: {self.because}"


def acceptance(record: FindingRecord, message: str, by: str, because: str, fault: str) -> Acceptance | None:
    """The acceptance of a row; None: nothing was typed in it."""
    by = "" if by in (NO_FAIL, TO_ANSWER) else by
    if not by and not because:
        return None
    before = record.said == print_of(by, because)
    return Acceptance(
        id=record.id,
        subject=record.subject,
        message=message,
        by=by,
        because=because,
        measured=record.accepted if before else record.measured,
        limit=record.accepted_limit if before else record.limit,
        fault=fault or _missing(by, because),
        source=record.source if before else "",
    )


def _missing(by: str, because: str) -> str:
    if not by:
        return "who accepts it is missing"
    return "" if because else "why it is accepted is missing"


def print_of(by: str, because: str) -> str:
    """A short print of the words, to know them again."""
    return checksum(f"{by}|{because}")


def together(own: Sequence[Acceptance], others: Sequence[Acceptance]) -> dict[str, Acceptance]:
    """Finding -> its acceptance: that of the copy that is written anew, else the first of the other copies.

    What was only taken over from another copy counts as long as that copy is not read itself.
    """
    files = {each.file for each in others}
    found = {each.id: each for each in own if each.source not in files}
    for each in others:
        if each.source not in files - {each.file}:
            found.setdefault(each.id, replace(each, source=each.file))
    return found
