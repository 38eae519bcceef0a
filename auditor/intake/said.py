"""What the reader says beside the job: what was read how, and what a person must decide."""

from auditor.job.model import CellRef, Remark


def reading(subject: str, message: str, where: CellRef | None = None) -> Remark:
    """How something was read, to be known: a note."""
    return Remark(rule="reading", level="note", subject=subject, message=message, where=where)


def question(subject: str, message: str, where: CellRef | None) -> Remark:
    """What could be meant otherwise than it was read: a review until somebody has looked."""
    return Remark(rule="unreadable-value", level="review", subject=subject, message=message, where=where)
