"""The titles and headings that an audit writes into a workbook, by which its reader knows them again."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class AddedSheet:
    """A sheet that an audit adds."""

    name: str  # where it is free in the workbook
    title: str
    sign: str  # how one of the first texts below the title begins

    def title_of(self, job: str) -> str:
        """The text of the sheet's first cell."""
        return f"{self.title}: {job}"


QUESTIONS = AddedSheet("Questions", "Questions", "Choose an answer")
AUDIT = AddedSheet("Audit", "Audit", "How it was read")
POWER_BUDGET = AddedSheet("Power budget", "Power budget", "Headroom (W)")
REACH = AddedSheet("Reach chart", "Reach", "Cable distance from the port to each device")
PORT_PLAN = AddedSheet("Port plan", "Port plan", "As scheduled")
CUT_LIST = AddedSheet("Cut list", "Cut list", "Cut length")
ADDED_SHEETS = (QUESTIONS, AUDIT, POWER_BUDGET, REACH, PORT_PLAN, CUT_LIST)

VERDICT_HEADING = "Audit verdict"  # of the first column that is added beside a table
