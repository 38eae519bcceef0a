"""What the cells beside the tables were understood to say, for a person who checks how a workbook was read.

A statement is used where the job rests on it: a unit by lengths that have none of their own, a panel by its
ports, a void line by the rows that it leaves out. One that nothing needed is kept and said to be not used.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

from auditor.intake.document import Document
from auditor.intake.grammar.values import words
from auditor.intake.names.spelling import spelling
from auditor.intake.rows.part import Part
from auditor.intake.statements.facts import (
    CABLE,
    CUMULATIVE,
    CURRENT_VOLTS,
    LENGTH_UNIT,
    PANEL,
    POWER_UNIT,
    SUPPLY_VOLTAGE,
    VOID,
    Fact,
)
from auditor.intake.statements.labels import Labelled
from auditor.job.model import Cable, CellRef, Job, Statement
from auditor.units import CAPACITANCE_NF_PER_M, CURRENT_A, length_text, number_text

ALL_SHEETS = "all sheets"
MOST_SCOPES = 2  # that one line names
_LENGTHS = ("length_m", "distance_m", "start_mark_m", "end_mark_m", "mains_parallel_m")
_POWERS = ("power_w", "total_power_w", "idle_w", "start_w")


def with_statements(job: Job, document: Document) -> Job:
    """The job with what the cells beside its tables say of it."""
    found = list(_merged([*_labels(job, document), *_facts(job, document), *_sheet_names(document)]))
    if document.part is not None:  # what nothing of this job needs may be said of another one
        found = [one for one in found if one.used]
    return replace(job, statements=tuple(found))


def _merged(statements: list[Statement]) -> Iterator[Statement]:
    """Each thing once, with where it holds and how many more cells say it; used where one of them is."""
    same: dict[str, list[Statement]] = {}
    for one in statements:
        same.setdefault(one.text, []).append(one)
    for own in same.values():
        cells = {one.where for one in own}
        first = next((one for one in own if one.used), own[0])
        scopes = list(dict.fromkeys(one.scope for one in (first, *own)))
        more = f" and {len(scopes) - MOST_SCOPES} more" if len(scopes) > MOST_SCOPES else ""
        yield replace(first, scope=", ".join(scopes[:MOST_SCOPES]) + more, more=first.more + len(cells) - 1)


# ------------------------------------------------------------------------------------------------- labels


def _labels(job: Job, document: Document) -> Iterator[Statement]:
    """The labelled cells that are read: `Bus profile: …`, `Allowance per end | 3 ft`."""
    labels = document.labels
    texts: Mapping[str, Callable[[], str]] = {
        "job_name": lambda: f"the job is {labels.job_name}",
        "profile_name": lambda: f"the profile {labels.profile_name} judges the job",
        "allowance_per_end_m": lambda: (
            f"each end of a pull needs {length_text(labels.allowance_per_end_m or 0.0, job.length_unit)} more"
        ),
        "waste": lambda: f"{number_text(100 * (labels.waste or 0.0))} % of the cable is waste",
        "supply_voltage_v": lambda: f"the supply is {number_text(labels.supply_voltage_v or 0.0)} V",
    }
    if labels.titles:
        yield _title_block(labels)
    for name, where in labels.cells.items():
        if name in labels.titles:
            continue
        used = name != "supply_voltage_v" or _flows_at(job, labels.supply_voltage_v)
        yield Statement(text=texts[name](), scope="the job", used=used, where=where)


def _title_block(labels: Labelled) -> Statement:
    """All that the title block says, in one line."""
    cells = [labels.cells[name] for name in labels.titles]
    said = (
        f"{'job number' if name == 'number' else name.replace('_', ' ')} {words(value)}"
        for name, value in labels.titles.items()
    )
    return Statement(text=", ".join(said), scope="the job", used=True, where=cells[0], more=len(cells) - 1)


# -------------------------------------------------------------------------------------------------- facts


def _facts(job: Job, document: Document) -> Iterator[Statement]:
    for fact in document.facts.found:
        used = _USED[fact.kind](fact, job, document)
        yield Statement(text=_text(fact, job), scope=_scope(fact), used=used, where=fact.where)


def _text(fact: Fact, job: Job) -> str:
    """What a fact says, in words."""
    value = fact.value
    texts: Mapping[str, Callable[[], str]] = {
        LENGTH_UNIT: lambda: f"lengths without a unit are in {value}",
        POWER_UNIT: lambda: f"{'currents' if value in CURRENT_A else 'powers'} without a unit are in {value}",
        CURRENT_VOLTS: lambda: f"currents flow at {number_text(value)} V",
        PANEL: lambda: f"ports that are named alone are those of {value}",
        VOID: lambda: f"{value!r}: what it heads does not hold",
        CUMULATIVE: lambda: "lengths count from the port",
        CABLE: lambda: f"cable {value.name} is {_cable_text(value, job.length_unit)}",
        SUPPLY_VOLTAGE: lambda: f"the supply is {number_text(value)} V",
    }
    return texts[fact.kind]()


def _cable_text(cable: Cable, unit: str) -> str:
    """What a sentence says of a cable: `16 AWG, 2 conductors, stranded, unshielded, 27 pF/ft, 600 V`."""
    capacitance, per = cable.capacitance_nf_per_m, f"pF/{unit}"
    said = (
        cable.gauge,
        cable.conductors and f"{cable.conductors} conductors",
        None if cable.stranded is None else "stranded" if cable.stranded else "solid",
        None if cable.shielded is None else "shielded" if cable.shielded else "unshielded",
        capacitance and f"{number_text(capacitance / CAPACITANCE_NF_PER_M[per])} {per}",
        cable.insulation_v and f"{number_text(cable.insulation_v)} V",
    )
    return ", ".join(text for text in said if text)


def _scope(fact: Fact) -> str:
    """What a fact holds for."""
    if fact.wide:
        return ALL_SHEETS
    if fact.last_row is None:
        return f"sheet {fact.where.sheet!r}"
    return f"rows {fact.first_row} to {fact.last_row} of {fact.where.sheet!r}"


def _sets_unit(names: tuple[str, ...]) -> Callable[[Fact, Job, Document], bool]:
    """Whether a fact gives one of these columns its unit."""
    return lambda fact, _, document: any(_lacks_unit(part, names) for part in _parts_of(fact, document))


def _parts_of(fact: Fact, document: Document) -> Iterator[Part]:
    """The tables for which a fact is the nearest of its kind, or agrees with it."""
    for part in document.parts:
        at = part.table.sheet.name, part.table.first_row
        if document.facts.agreed(fact.kind, *at) is not None and fact in document.facts.nearest(
            fact.kind, *at
        ):
            yield part


def _lacks_unit(part: Part, names: tuple[str, ...]) -> bool:
    """Whether a table has a column of these whose heading and cells state no unit."""
    uses = [use for name in names if (use := part.table.understood.columns.get(name)) is not None]
    return any(use.unit is None and not _given_units(part, use.field) for use in uses)


def _given_units(part: Part, name: str) -> bool:
    given = part.given.get(name)
    return given is not None and given.units is not None and any(given.units)


def _sets_volts(fact: Fact, job: Job, document: Document) -> bool:
    return _flows_at(job, fact.value)


def _flows_at(job: Job, volts: float | None) -> bool:
    """Whether the current of a device is taken at these volts."""
    return any(device.at_voltage_v == volts for device in job.devices if device.at_voltage_v is not None)


def _names_panel(fact: Fact, job: Job, document: Document) -> bool:
    own = [part for part in document.parts if part.table.sheet.name == fact.where.sheet]
    homes = {home for part in own for home in part.homes or ()}
    return fact.value in homes and any(
        spelling(port.controller) == spelling(fact.value) for port in job.ports.values()
    )


def _voids(fact: Fact, job: Job, document: Document) -> bool:
    """Whether rows or a whole table are left out because of it."""
    sheet = fact.where.sheet
    if any(
        fact.holds(sheet, row)
        for part in document.parts
        if part.table.sheet.name == sheet
        for row in part.other.void
    ):
        return True
    read = {(table.sheet.name, table.first_row) for table in document.tables}
    return any(
        block.sheet.name == sheet
        and fact.holds(sheet, block.first_row)
        and (sheet, block.first_row) not in read
        for block in document.blocks
    )


def _counts_from_port(fact: Fact, job: Job, document: Document) -> bool:
    return any(part.has("length_m") and part.has("near") for part in _parts_of(fact, document))


def _describes_cable(fact: Fact, job: Job, document: Document) -> bool:
    return any(cable.where == fact.where for cable in job.cables.values())


_USED: Mapping[str, Callable[[Fact, Job, Document], bool]] = {
    LENGTH_UNIT: _sets_unit(_LENGTHS),
    POWER_UNIT: _sets_unit(_POWERS),
    CURRENT_VOLTS: _sets_volts,
    PANEL: _names_panel,
    VOID: _voids,
    CUMULATIVE: _counts_from_port,
    CABLE: _describes_cable,
    SUPPLY_VOLTAGE: _sets_volts,
}


# -------------------------------------------------------------------------------------------- sheet names


def _sheet_names(document: Document) -> Iterator[Statement]:
    """The sheets whose names are the controllers of ports that are named alone."""
    for part in document.parts:
        name = part.table.sheet.name
        said = any(fact.where.sheet == name for fact in document.facts.of(PANEL))
        if part.homes and set(part.homes) == {name} and not said:
            yield Statement(
                text=f"the sheet's name: ports that are named alone are those of {name}",
                scope=f"sheet {name!r}",
                used=True,
                where=CellRef(name, 1, 1),
            )
