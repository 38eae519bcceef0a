"""What stands at the foot of every printed sheet: which job in hand, of which revision, and how it was judged."""

from collections.abc import Sequence

from auditor.results.audit_result import Audit

MOST_LETTERS = 120  # of a printed line, project convention; a footer holds 255 characters in all


def identity(audit: Audit) -> str:
    """Job, number, revision, date, status, verdict and profile in one line; what is not known is left out."""
    block = audit.title_block
    number = block.number if block.number != audit.job else None
    parts = (
        audit.job,
        f"no. {number}" if number else None,
        f"rev. {block.revision}" if block.revision else None,
        block.date or block.dated,
        block.status,
        f"audit: {audit.verdict.value}",
        f"profile {audit.profile}" if audit.profile else None,
    )
    return _shortened([part for part in parts if part])


def _shortened(parts: Sequence[str]) -> str:
    """All parts, of the job's name as much as there is room for."""
    rest = " · ".join(parts[1:])
    room = max(10, MOST_LETTERS - len(rest) - 3)
    name = parts[0] if len(parts[0]) <= room else f"{parts[0][: room - 1]}…"
    return f"{name} · {rest}"[:MOST_LETTERS]
