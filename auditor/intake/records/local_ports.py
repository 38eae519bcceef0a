"""Ports that are named alone, where nothing says on which controllers they are."""

from collections.abc import Sequence
from dataclasses import replace

from auditor.intake.names.ends import LOCAL, Ends
from auditor.intake.records.columns import Columns
from auditor.intake.records.pulls import homes_of
from auditor.intake.rows.part import Part
from auditor.intake.said import MOST_CHOICES, Answers, asked, choices, chosen, to_decide, untried
from auditor.job.model import Question, Remark

ONE_FOR_ALL, BY_SHEET = "one controller for all", "the one that each sheet is called after"  # answers


def ports_alone(all_columns: Sequence[Columns], ends: Ends) -> Question | None:
    """A question where one port stands alone on several sheets, or on one beside controllers that are known."""
    port, sheets = _most_named(all_columns, ends)
    if not sheets or (len(sheets) < 2 and not ends.controllers):
        return None
    listed = ", ".join(ends.controllers)
    which = f"which of {listed} is it" if listed else "which one is it on each sheet"
    sentence = (
        f"port {port} on {' and '.join(map(repr, sheets[:2]))} is named without its controller: {which}?"
    )
    pairs = [(name, f"all ports that are named alone are on {name}") for name in ends.controllers]
    pairs = pairs or [
        (BY_SHEET, "each sheet's name is its controller"),
        (ONE_FOR_ALL, "the ports of all sheets are on one controller"),
    ]
    other = untried(
        "another one", "the controller is to be written before each port, or into a column of its own"
    )
    return asked("port-alone", sheets, sentence, (*choices(*pairs[: MOST_CHOICES - 1]), other), None)


def _most_named(all_columns: Sequence[Columns], ends: Ends) -> tuple[str, list[str]]:
    """The port that stands alone on most sheets, and these sheets."""
    sheets: dict[str, list[str]] = {}
    for columns in all_columns:
        homes = homes_of(columns, ends) if "near" in columns else []
        for text, home in zip(columns.texts("near"), homes, strict=False):
            found = ends.ports.get(ends.known(None).get(text, "")) if text and not home else None
            names = sheets.setdefault(found.port, []) if found and found.controller == LOCAL else []
            if columns.sheet not in names:
                names.append(columns.sheet)
    return max(sheets.items(), key=lambda item: len(item[1]), default=("", []))


def give_homes(parts: Sequence[Part], one: Question, answers: Answers) -> bool:
    """Give the records without a controller the one of the answer; whether there is such an answer."""
    answer = chosen(one, answers)
    if answer is None or answer == ONE_FOR_ALL:
        return False
    for part in parts:
        own = part.table.sheet.name if answer == BY_SHEET else answer
        part.homes = [home or own for home in part.homes or [None] * len(part.rows)]
    return True


def said_of_ports(one: Question, answers: Answers) -> Remark:
    return replace(to_decide(one, "port", answers), closes=chosen(one, answers) is None)
