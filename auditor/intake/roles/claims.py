"""One column as one role, and how strongly."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Claim:
    field: str
    column: int
    score: float
    words: float
    language: str
    relations: float | None
