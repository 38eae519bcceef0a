"""One office: a design, a workbook in the office's habits, and what is true of it."""

from dataclasses import dataclass, replace
from random import Random

from tests.offices import extras
from tests.offices.ambiguity import reasons
from tests.offices.book import Page, Placement, Table, lay_out
from tests.offices.choices import design_of, draft_of, namer
from tests.offices.design import Design
from tests.offices.devices import DEVICE_LISTS
from tests.offices.dice import dice
from tests.offices.draft import Draft
from tests.offices.habits import habits
from tests.offices.headings import headings
from tests.offices.measures import measure
from tests.offices.names import PortStyle
from tests.offices.shapes import shapes
from tests.offices.styles import LengthStyle, PowerStyle
from tests.offices.truth import Truth, named, truth
from tests.offices.two_jobs import both, joined, second
from tests.offices.words import language
from tests.offices.write import csv, xlsx
from tests.offices.write_ods import ods

HAVE_HEADINGS = frozenset(("cables", "controllers", "legend", "splices", "reels", "matrix"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Office:
    """A workbook and all that is known of it."""

    seed: int
    name: str
    data: bytes
    design: Design  # of the first building, where there are two
    truth: Truth
    habits: tuple[str, ...]
    may_ask: tuple[str, ...]  # why even a careful human would have to ask; none: he would not
    tables: tuple[Placement, ...]  # where each table stands, and each column's role and unit
    said: dict[str, str]  # what an answerer is asked for beside the tables: units, ports


def office(seed: int, only: str = "") -> Office:
    """The office of a seed.

    Parameters
    ----------
    only : a shape (`shape: NAME`) or a habit that lies over one; the office has it if there is a place for it
    """
    draft = draft_of(seed, only)
    other = second(draft)
    _lay_habits(draft, only)
    if other is not None:
        _lay_habits(other, only)
    return _finished(draft, other)


def _lay_habits(draft: Draft, only: str) -> None:
    for habit in habits():
        wanted = habit.name == only or draft.rng(f"habit {habit.name}").random() < habit.share * (
            1 - draft.usual
        )
        if wanted and habit.apply(draft):
            draft.habits.append(habit.name)


def plain_office(seed: int, fault: str = "") -> Office:
    """A control: the design of a seed written as plainly as can be, in English, without a habit."""
    rng = Random(f"plain {seed}")
    unit = rng.choice(("ft", "m"))
    shape = next(shape for shape in shapes() if shape.name == "pull list")
    heads = replace(headings("en", dice(seed, 1.0)), shown="{word} ({unit})", capitals=False)
    heads.words = {role: words.split("|")[0] for role, words in heads.words.items()}
    draft = Draft(
        seed=seed,
        design=design_of(rng, shape, unit, namer("en", "KP-101"), fault, pieces=rng.random() < 0.2),
        language="en",
        words=language("en"),
        headings=heads,
        ports=PortStyle(habit="plain", stem="C", join="."),
        length_style=LengthStyle(where="heading", unit=unit),
        power_style=PowerStyle(where="heading", unit="W"),
        quantities=True,
    )
    shape.write(draft)
    DEVICE_LISTS["device list"][0](draft)
    if draft.design.cables_stated:
        extras.cables(draft)
    if draft.design.splices:
        extras.splices(draft)
    return _finished(draft)


def _finished(draft: Draft, other: Draft | None = None) -> Office:
    """The office of a draft whose tables are all there, raw; with that of a second building."""
    for each in filter(None, (draft, other)):
        each.asks += reasons(each)
        measure(each)
        _dress(each)
    known = named(truth(draft.design), draft.run_names())
    if other is not None:
        known = both(known, named(truth(other.design), other.run_names()))
        joined(draft, other)
    pages = [lay_out(sheet) for sheet in draft.sheets]
    name, data = _file(draft, pages)
    return Office(
        seed=draft.seed,
        name=name,
        data=data,
        design=draft.design,
        truth=known,
        habits=tuple(draft.habits),
        may_ask=tuple(dict.fromkeys(draft.asks)),
        tables=tuple(placement for page in pages for placement in page.placements),
        said=_said(draft),
    )


def _file(draft: Draft, pages: list[Page]) -> tuple[str, bytes]:
    """(name, bytes): a workbook; or text, where one plain sheet is all and the office exports."""
    name = f"office-{draft.seed:05d}"
    if len(pages) == 1 and pages[0].plain() and draft.rng("file").random() < 0.5:
        comma = draft.language != "en"
        draft.habits.append("csv, semicolons" if comma else "csv")
        return f"{name}.csv", csv(pages[0], ";" if comma else ",")
    if all(page.plain() for page in pages) and draft.rng("file").random() < 0.08:
        draft.habits.append("ods")
        return f"{name}.ods", ods(pages)
    return f"{name}.xlsx", xlsx(pages)


def _said(draft: Draft) -> dict[str, str]:
    ports = {f"port {port.controller}.{port.number}": draft.ports.full(port) for port in draft.design.ports}
    return {"length unit": draft.length_style.unit, "power unit": draft.power_style.unit, **ports}


def _dress(draft: Draft) -> None:
    """Headings for all columns; none where the office has none."""
    plain = (
        draft.headings
        if draft.headings.speak
        else headings(draft.language, dice(f"{draft.seed}:plain headings", draft.usual))
    )
    for table in (table for sheet in draft.sheets for table in sheet.tables):
        (plain if table.kind in HAVE_HEADINGS else draft.headings).dress(table)
        table.headed = table.kind in HAVE_HEADINGS or not draft.headings.removed
        _headings_again(table)


def _headings_again(table: Table) -> None:
    for row in table.rows:
        if row.kind == "heading":
            row.values = [column.heading for column in table.columns]
