"""Blank cells under an end: the same end again, or the device above?"""

from dataclasses import replace

from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.ports import port_alone
from auditor.intake.rows.part import Part, filled_down
from auditor.intake.rows.running import proves
from auditor.intake.said import asked, choices, chosen, to_decide
from auditor.job.model import CellRef, TableKind

GO_ON = 0.8  # share of these rows that begin at the mark at which the one above ends; project convention
MANY = 0.3  # share of the rows whose near end is blank; fewer are slips; project convention


def fill_ports_down(part: Part) -> None:
    """Read blanks under a port and under its controller as the ones above, where each controller has a port beside it."""
    port = next((name for name in ("port", "near_terminal") if part.has(name)), None)
    if not (part.has("controller") and part.has("near")) or port is None:
        return
    controllers, ports = part.values("controller"), part.values(port)
    merged = _merged_on(part)
    blanks = [
        (is_blank(a) or row in merged, is_blank(b))
        for row, a, b in zip(part.rows, controllers, ports, strict=True)
    ]
    if not blanks or blanks[0][0] or not any(a for a, _ in blanks) or any(b and not a for a, b in blanks):
        return
    part.give("controller", filled_down(controllers))
    part.give(port, filled_down(ports))
    if part.has("slot"):
        part.give("slot", filled_down(part.values("slot")))


def _merged_on(part: Part) -> set[int]:
    """The rows below the first one of each cell that is merged down under the controller."""
    column = part.column_of("controller")
    merges = [merge for merge in part.table.sheet.merges if merge[1] == merge[3] == column]
    return {row for first, _, last, _ in merges for row in range(first + 1, last + 1)}


def _go_on(part: Part, rows: list[int]) -> bool:
    """Whether the marks on the drum say that these pulls begin where the one above ends."""
    if not (part.has("start_mark_m") and part.has("end_mark_m")):
        return False
    starts, ends = part.values("start_mark_m"), part.values("end_mark_m")
    return sum(starts[row] == ends[row - 1] != "" for row in rows) >= GO_ON * len(rows)


def fill_blank_ends(part: Part) -> None:
    """Ask what blanks under an end mean, where they are a habit of the table."""
    fed = {TableKind.PULLS: "far", TableKind.COMBINED: "tag"}.get(part.table.kind)
    if fed is None or not (part.has("near") and part.has(fed)):
        return
    near, far = part.values("near"), part.values(fed)
    elsewhere = [part.values(name) for name in ("port", "controller") if part.has(name)]
    if part.has("near_terminal"):  # a device's own terminal, `BUS`, names no port
        elsewhere.append(
            [value if port_alone(words(value)) else "" for value in part.values("near_terminal")]
        )
    if near and not is_blank(near[0]) and any(not is_blank(own[0]) for own in elsewhere):
        elsewhere = []  # the first pull has its port and its near end: the port does not stand for a blank
    blank = [
        index
        for index, value in enumerate(near)
        if is_blank(value) and not is_blank(far[index]) and all(is_blank(own[index]) for own in elsewhere)
    ]
    if not blank or is_blank(near[0]) or len(blank) < MANY * len(near):
        return
    from_above = list(near)
    for index in blank:
        from_above[index] = far[index - 1]
    if _go_on(part, blank) or proves(part, from_above):
        part.give("near", from_above)
        return
    header, first = part.table.understood.columns["near"].header, blank[0]
    end, above = words(near[first - 1]), words(far[first - 1])
    where = CellRef(part.table.sheet.name, part.rows[first], part.column_of("near"))
    again, chain = "from the same end again", "from the device above"
    one = asked(
        "blank-ends",
        (part.table.sheet.name, header),
        f"{header!r} is blank in {len(blank)} rows below {end}: does each pull come from {end} again, or from the device above, "
        f"as {words(far[first])} from {above}?",
        choices(
            (again, f"{words(far[first])} comes from {end}"),
            (chain, f"{words(far[first])} comes from {above}"),
        ),
        where,
    )
    answer = chosen(one, part.answers)
    remark = to_decide(one, header, part.answers, "Fill the cells in")
    part.remarks.append(replace(remark, closes=answer is None))
    if answer == chain:
        part.give("near", from_above)
    else:
        part.give("near", filled_down(near))
