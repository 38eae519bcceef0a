"""What the office's workbooks have in common: who drew them, the usual cable, the notes sheet."""

from drafting.office import Column, Sheet, rows

EXPECT = Column(title="expect", width=22)
NOTES = Column(title="Notes", width=34)
STATUS = Column(title="Status", width=14, choices=("landed", "spare return"))
GENERAL_NOTES = """
1 | Bus cable is extra-low voltage only. It shares no box, sleeve or raceway with mains.
2 | Keep 12 in or more from parallel mains and cross mains at right angles.
3 | Never lay bus cable alongside loudspeaker cable.
4 | Label both ends of every pull with its number before it is landed.
5 | Test every run from the controller's end before the walls are closed, and keep the readings.
6 | Local codes, the maker's instructions and the site electrician come before this schedule.
"""


def pairs(
    job: str, number: str, client: str, drawn: str, date: object, revision: str, *more: tuple[str, str]
) -> tuple[tuple[str, object], ...]:
    """The title block's data: job, number, client, who drew and who checked it, date, revision."""
    return (
        ("Job", job),
        ("Job no.", number),
        ("Client", client),
        ("Drawn by", drawn),
        ("Checked by", "I. Okandri"),
        ("Date", date),
        ("Revision", revision),
        *more,
    )


def notes_sheet(extra: str = "") -> Sheet:
    columns = (
        Column(title="No.", width=12),
        Column(title="General note", width=92),
        Column(title="", width=4),
    )
    return Sheet(
        name="Notes", title="General notes", columns=columns, rows=rows(GENERAL_NOTES + extra), portrait=True
    )


def revisions_sheet(text: str) -> Sheet:
    columns = (
        Column(title="Rev", width=12),
        Column(title="Date issued", width=14),
        Column(title="By", width=16),
        Column(title="Change", width=60),
    )
    return Sheet(name="Revisions", title="Revision record", columns=columns, rows=rows(text))
