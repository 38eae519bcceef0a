"""Roles that follow from those already given: terminals beside an end, a controller before its port."""

from collections.abc import Mapping
from dataclasses import replace

from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.ports import port_alone, spelled
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.cable_numbers import number_cables
from auditor.intake.roles.claims import Claim
from auditor.intake.roles.ends import EndsPair
from auditor.intake.roles.evidence import Ties, by_words, share
from auditor.intake.roles.port_pairs import is_of_other_matter
from auditor.intake.roles.profiles import ColumnProfile
from auditor.intake.words import candidates, said, says
from auditor.job.model import TableKind

OF_A_CABLE = frozenset(
    {"gauge", "conductors", "stranded", "shielded", "capacitance_nf_per_m", "insulation_v"}
)
LEAST_OF_A_CABLE = 3  # of these make a table one of cable types; project convention
_LENGTHS = frozenset({"length_m", "distance_m", "start_mark_m"})
LEAST_MARKS = 3  # of a drum, that may go on; project convention


def complete(
    kind: TableKind,
    taken: dict[str, Claim],
    used: set[int],
    columns: Mapping[int, ColumnProfile],
    ties: Ties,
    pair: EndsPair | None,
) -> None:
    """Add to `taken` and `used` what the given roles say of other columns."""
    if kind is TableKind.LEGEND:
        _add_key(taken, columns)
        _add_words_of_kinds(taken, used, columns)
    if kind is TableKind.CABLES and "name" not in taken:
        _add_cable_name(taken, columns)
    if kind is TableKind.CONTROLLERS and "name" not in taken:
        _name_by_head_end(taken, columns)
        _name_before_ports(taken, columns, ties)
    if kind is TableKind.COMBINED:
        _complete_combined(taken, used, columns, ties)
    if kind is TableKind.PULLS and pair is not None and pair.sequence is None:
        _add_terminals(taken, used, columns)
        _add_controller(taken, used, columns)
        _add_panel_of_home_runs(taken, used, columns)
        _add_port_of_home_runs(taken, used, columns)
        _add_slot_between(taken, used, columns)
    if kind in (TableKind.PULLS, TableKind.DEVICES):
        _add_only_numbers(kind, taken, used, columns)
    if kind in (TableKind.PULLS, TableKind.COMBINED):
        _add_other_mark(taken, used, columns)
    if kind is TableKind.PULLS:
        number_cables(taken, used, columns)
    if "chain" in taken:
        _complete_chain(taken, used, columns)
    if kind in (TableKind.PULLS, TableKind.COMBINED):
        _add_cabinet(taken, columns)


def _add_other_mark(taken: dict[str, Claim], used: set[int], columns: Mapping[int, ColumnProfile]) -> None:
    """Beside one mark on a drum stands the other, though its heading reads like a length: `MtrStart`."""
    for name, other, step in (("end_mark_m", "start_mark_m", -1), ("start_mark_m", "end_mark_m", 1)):
        if name not in taken or other in taken:
            continue
        column = columns.get(taken[name].column + step)
        length = taken.get("length_m")
        if length is not None and _goes_on(columns[taken[name].column], columns[length.column]):
            column = columns[length.column]
        free = column is not None and (
            column.column not in used or (length and length.column == column.column)
        )
        if column is None or not free or column.quantities < 0.8 or column.is_counter:
            continue
        if length is not None and length.column == column.column:
            del taken["length_m"]
        taken[other] = Claim(other, column.column, 1.0, 0.0, "", None)
        used.add(column.column)


def _goes_on(mark: ColumnProfile, other: ColumnProfile) -> bool:
    """Whether the marks of one column are mostly those of another: a pull begins where the one before ended."""
    common = len(mark.texts & other.texts) * 2 > len(mark.texts)
    return common and (len(mark.texts) > LEAST_MARKS or _follows(mark, other) or _follows(other, mark))


def _follows(starts: ColumnProfile, ends: ColumnProfile) -> bool:
    """Whether most cables begin where the one in the row above ended."""
    follows = [end == start for end, start in zip(ends.values, starts.values[1:], strict=False) if end != ""]
    return sum(follows) * 2 > len(follows) > 0


def _add_only_numbers(
    kind: TableKind, taken: dict[str, Claim], used: set[int], columns: Mapping[int, ColumnProfile]
) -> None:
    """The only numbers of a table whose headings say nothing: lengths beside two ends, powers with fractions
    beside a tag."""
    if any(profile.header and said(profile.header) for profile in columns.values()):
        return
    numeric = [c for c, p in columns.items() if p.quantities > 0.9 and not p.is_counter and c not in used]
    if len(numeric) != 1 or columns[numeric[0]].unit is not None or columns[numeric[0]].share_filled < 0.7:
        return
    column = columns[numeric[0]]
    whole = all(number.is_integer() for number in column.numbers)
    ends = {"near", "far"} <= taken.keys() or {"port", "sequence", "far"} <= taken.keys()
    if kind is TableKind.PULLS and ends and not _LENGTHS & taken.keys():
        name = "length_m" if len(set(column.numbers)) > 3 else ""
    elif kind is TableKind.DEVICES and "tag" in taken and not {"power_w", "quantity"} & taken.keys():
        name = "power_w" if not whole else ""
    else:
        return
    if name:
        taken[name] = Claim(name, numeric[0], 1.0, 0.0, "", None)
        used.add(numeric[0])


def _add_key(taken: dict[str, Claim], columns: Mapping[int, ColumnProfile]) -> None:
    """What a legend explains is its key, whatever it is called; without one, the words for the kinds."""
    name = next((name for name in ("symbol", "tag", "id") if name in taken), None)
    if "type" not in taken and name is not None:
        taken["type"] = replace(taken.pop(name), field="type")
    words = taken.get("description")
    if (
        not {"type", "tag"} & taken.keys()
        and words
        and "power_w" in taken
        and columns[words.column].distinct > 0.95
    ):
        taken["type"] = replace(taken.pop("description"), field="type")


def _add_words_of_kinds(
    taken: dict[str, Claim], used: set[int], columns: Mapping[int, ColumnProfile]
) -> None:
    """The one other column of names says in words what each key stands for."""
    if "type" not in taken or "power_w" not in taken or "description" in taken:
        return
    rest = [c for c, p in columns.items() if c not in used and p.names > 0.8 and p.distinct > 0.95]
    rest = [c for c in rest if columns[c].quantities < 0.1 and columns[c].share_filled > 0.9]
    if len(rest) == 1:
        taken["description"] = Claim("description", rest[0], 1.0, 0.0, "", None)
        used.add(rest[0])


def _complete_combined(
    taken: dict[str, Claim], used: set[int], columns: Mapping[int, ColumnProfile], ties: Ties
) -> None:
    if not {"near", "level", "sequence"} & taken.keys():
        _add_places(taken, used, columns, ties)
    if "tag" not in taken and "id" in taken:
        taken["tag"] = replace(taken.pop("id"), field="tag")  # a wire's number names what it feeds


def _complete_chain(taken: dict[str, Claim], used: set[int], columns: Mapping[int, ColumnProfile]) -> None:
    if "port" not in taken and "near_terminal" in taken:
        taken["port"] = replace(taken.pop("near_terminal"), field="port")
    if "id" not in taken:
        _add_name_of_chain(taken, used, columns)


def _add_cable_name(taken: dict[str, Claim], columns: Mapping[int, ColumnProfile]) -> None:
    """The first column of names before what a cable is, whatever its heading says."""
    used = {claim.column for claim in taken.values()}
    if len(OF_A_CABLE & taken.keys()) < LEAST_OF_A_CABLE:
        return
    names = [c for c, p in columns.items() if c not in used and p.distinct > 0.95 and p.names > 0.8]
    if names and names[0] < min(claim.column for claim in taken.values() if claim.field in OF_A_CABLE):
        taken["name"] = Claim("name", names[0], 1.0, 0.0, "", None)


def _name_by_head_end(taken: dict[str, Claim], columns: Mapping[int, ColumnProfile]) -> None:
    """`Head end` before its number of ports names the controller, where no other column does."""
    place = taken.get("head_end")
    if place is None or "ports" not in taken or place.column > taken["ports"].column:
        return
    column = columns[place.column]
    if column.distinct > 0.95 and column.with_digits > 0.5:
        taken["name"] = replace(taken.pop("head_end"), field="name")


def _name_before_ports(taken: dict[str, Claim], columns: Mapping[int, ColumnProfile], ties: Ties) -> None:
    """The first column names what the numbers of ports are of, whatever its heading says, where supplies stand
    beside them, pulls start at its names, or a second column says where they are: `Cabinet`, `Location`, `Ports`."""
    if "name" in taken or "ports" not in taken:
        return
    first = min(columns)
    column = columns[first]
    placed = [c for c, p in columns.items() if "head_end" in by_words("controllers", p)]
    sure = "supply_power_w" in taken or column.keys <= ties.controllers | ties.ends or placed[1:]
    free = all(first < claim.column or claim.field == "head_end" for claim in taken.values())
    if sure and free and column.distinct == 1.0 and column.names == 1.0 and column.quantities == 0.0:
        if "head_end" in taken and taken["head_end"].column == first:
            del taken["head_end"]
        taken["name"] = Claim("name", first, 1.0, 0.0, "", None)


def _add_terminals(taken: dict[str, Claim], used: set[int], columns: Mapping[int, ColumnProfile]) -> None:
    """A column without a heading of its own right beside an end holds its terminals, if a port stands in it."""
    for name in ("near", "far"):
        column = columns.get(taken[name].column + 1)
        free = column is not None and column.column not in used and f"{name}_terminal" not in taken
        silent = column is not None and (
            not column.header
            or f"{name}_terminal" in by_words("pulls", column)
            or _is_unknown_under(column, columns[taken[name].column].group)
            or (
                name == "near"
                and _tells_roots(column, columns[taken["near"].column], columns[taken["far"].column])
            )
        )
        numbers = [text for text in column.texts if text[:1].isdigit()] if column is not None else []
        ports = column is not None and any(map(port_alone, column.texts)) and all(map(port_alone, numbers))
        worded = column is not None and all(
            (p := port_alone(t)) is not None and p.worded for t in column.texts
        )
        numbered = column is not None and _numbers_pulls(
            column, columns[taken["near"].column], columns[taken["far"].column]
        )
        if column is not None and free and ports and (silent or worded) and not numbered:
            taken[f"{name}_terminal"] = Claim(f"{name}_terminal", column.column, 1.0, 0.0, "", None)
            used.add(column.column)


def _numbers_pulls(column: ColumnProfile, near: ColumnProfile, far: ColumnProfile) -> bool:
    """Whether each row has a number of its own: below a heading that says so, or below one that says nothing where
    devices feed others, each at another terminal."""
    silent = not said(column.header) and bool(near.keys & far.keys)
    return column.distinct == 1.0 and (silent or says(column.header, "id"))


def _tells_roots(column: ColumnProfile, near: ColumnProfile, far: ColumnProfile) -> bool:
    """Whether nothing is said of a column and it holds ports just where the near end is fed by no other row."""
    rows = [
        (spelling(words(start)) not in far.keys, port_alone(words(value)) is not None)
        for start, value in zip(near.values, column.values, strict=True)
        if spelling(words(start))
    ]
    return not said(column.header) and len(set(rows)) == 2 and all(root == port for root, port in rows)


def _is_unknown_under(column: ColumnProfile, group: str) -> bool:
    """Whether a heading stands under the same text as the end's and its own word says nothing: `Point`."""
    return bool(group) and column.group == group and not candidates("pulls", column.lower)


def _add_places(
    taken: dict[str, Claim], used: set[int], columns: Mapping[int, ColumnProfile], ties: Ties
) -> None:
    """What feeds a device by its place alone: blanks before its name, or a number that starts again on each port."""
    indented = next((c for c, profile in columns.items() if profile.is_indented), None)
    if indented is not None:
        for name in [name for name, claim in taken.items() if claim.column == indented or name == "tag"]:
            used.discard(taken.pop(name).column)
        taken["tag"] = Claim("tag", indented, 1.0, 0.0, "", None)
        taken["level"] = Claim("level", indented, 1.0, 0.0, "", None)
        used.add(indented)
        return
    number = next((c for c, p in columns.items() if p.restarts and _counts_on(p) and c not in used), None)
    tags = [
        c
        for c, p in columns.items()
        if p.distinct > 0.95 and share(p.keys, ties.tags) > 0.7 and not p.is_counter
    ]
    if number is None or not tags:
        return
    before = [
        c
        for c, p in sorted(columns.items())
        if c < number and p.names > 0.8 and p.distinct < 0.7 and not (is_of_other_matter(p) or _says_place(p))
    ]
    if before:
        for name in [
            n
            for n, claim in taken.items()
            if claim.column in (number, tags[0], *before[-2:]) or n in ("tag", "port", "controller")
        ]:
            used.discard(taken.pop(name).column)
        taken["sequence"] = Claim("sequence", number, 1.0, 0.0, "", None)
        taken["tag"] = Claim("tag", tags[0], 1.0, 0.0, "", 1.0)
        for name, column in zip(("port", "controller"), reversed(before[-2:]), strict=False):
            taken[name] = Claim(name, column, 1.0, 0.0, "", None)
        used.update((number, tags[0], *before[-2:]))


def _counts_on(column: ColumnProfile) -> bool:
    """Whether places past the first are not rare: a quantity of two among many of one is no place."""
    return sum(number > 1 for number in column.numbers) * 3 >= len(column.numbers)


def _says_place(column: ColumnProfile) -> bool:
    """Whether a heading says a room or a floor of devices, and nothing that feeds."""
    fields = {name for name, _ in candidates("devices", column.header)} if column.header else set()
    return bool({"room", "floor"} & fields) and not says(column.header, "controller", "port", "near")


def _add_cabinet(taken: dict[str, Claim], columns: Mapping[int, ColumnProfile]) -> None:
    """Before port and number on the port stands the controller, whatever it is called."""
    if "controller" in taken or not {"port", "sequence"} <= taken.keys():
        return
    port, column = columns[taken["port"].column], columns.get(taken["port"].column - 1)
    if column is None or column.column in (
        c.column for n, c in taken.items() if n not in ("room", "name", "id")
    ):
        return
    if is_of_other_matter(column) or all(any(o.worded for o in spelled(text)) for text in port.texts):
        return  # `CPU-1 port 1` names its controller
    if column.names > 0.8 and column.distinct < 0.6:
        for name in [name for name, claim in taken.items() if claim.column == column.column]:
            del taken[name]
        taken["controller"] = Claim("controller", column.column, 1.0, 0.0, "", None)


def _add_controller(taken: dict[str, Claim], used: set[int], columns: Mapping[int, ColumnProfile]) -> None:
    """`From Panel` beside `From Port` names the controller, where another column names the device."""
    if "slot" in taken and "controller" not in taken and {"port", "near_terminal"} & taken.keys():
        _add_panel(taken, used, columns)
    placed = {"controller", "near_terminal"} <= taken.keys() and "port" not in taken
    if placed and ("slot" in taken or _instead_of_ends(taken, columns)):
        taken["port"] = replace(taken.pop("near_terminal"), field="port")  # panel, slot and port are one name
    if "controller" in taken or not {"port", "near_terminal"} & taken.keys():
        return
    for number, column in columns.items():
        worded = by_words("pulls", column)
        says_near = worded.get("near", (0.0, ""))[0] >= 0.6
        if number not in used and says_near and column.distinct < 0.5 and column.names > 0.8:
            if "port" not in taken:
                taken["port"] = replace(taken.pop("near_terminal"), field="port")
            taken["controller"] = Claim("controller", number, 1.0, 0.6, "", None)
            used.add(number)
            return


def _add_panel_of_home_runs(
    taken: dict[str, Claim], used: set[int], columns: Mapping[int, ColumnProfile]
) -> None:
    """Right before ports that stand only where no near end does, the names in the same rows are the controllers."""
    if "controller" in taken or "slot" in taken or "port" not in taken:
        return
    number = taken["port"].column - 1
    column, port = columns.get(number), columns[taken["port"].column]
    near = columns[taken["near"].column]
    if column is None or number in used or column.names < 1.0 or column.quantities > 0.0:
        return
    rows = [tuple(map(is_blank, row)) for row in zip(column.values, port.values, near.values, strict=True)]
    beside = all(first == second for first, second, _ in rows)
    instead = all(third or (first and second) for first, second, third in rows)
    if beside and instead and not all(first for first, _, _ in rows) and column.distinct < 1.0:
        taken["controller"] = Claim("controller", number, 1.0, 0.0, "", None)
        used.add(number)


def _add_port_of_home_runs(
    taken: dict[str, Claim], used: set[int], columns: Mapping[int, ColumnProfile]
) -> None:
    """Right behind controllers that stand only where no near end does, ports in the same rows are theirs."""
    if "controller" not in taken or {"port", "near_terminal", "slot"} & taken.keys():
        return
    number = taken["controller"].column + 1
    column, controller = columns.get(number), columns[taken["controller"].column]
    near = columns[taken["near"].column]
    if column is None or number in used or column.heading_unit is not None or not column.texts:
        return
    rows = [
        tuple(map(is_blank, row)) for row in zip(column.values, controller.values, near.values, strict=True)
    ]
    beside = all(first == second and (third or first) for first, second, third in rows)
    if beside and all(map(port_alone, column.texts)) and near.share_filled < 1.0:
        taken["port"] = Claim("port", number, 1.0, 0.0, "", None)
        used.add(number)


def _add_slot_between(taken: dict[str, Claim], used: set[int], columns: Mapping[int, ColumnProfile]) -> None:
    """Between controller and port stands the slot that the port is in, in the same rows: `Modul`."""
    if not {"controller", "port"} <= taken.keys() or "slot" in taken:
        return
    number, port = taken["controller"].column + 1, columns[taken["port"].column]
    column = columns.get(number)
    if column is None or number in used or port.column != number + 1 or column.unit is not None:
        return
    rows = zip(column.values, port.values, strict=True)
    if (
        column.texts
        and all(map(port_alone, column.texts))
        and all(is_blank(a) == is_blank(b) for a, b in rows)
    ):
        taken["slot"] = Claim("slot", number, 1.0, 0.0, "", None)
        used.add(number)


def _instead_of_ends(taken: Mapping[str, Claim], columns: Mapping[int, ColumnProfile]) -> bool:
    """Whether the terminals stand only where no end does: with the controller they name the port."""
    near, terminal = (columns[taken[name].column].values for name in ("near", "near_terminal"))
    return all(is_blank(a) for a, b in zip(near, terminal, strict=True) if not is_blank(b))


def _add_panel(taken: dict[str, Claim], used: set[int], columns: Mapping[int, ColumnProfile]) -> None:
    """The column of names right before the slots is the panel that they are in, whatever it is called."""
    column = columns.get(taken["slot"].column - 1)
    if column is None or column.column in used or column.quantities > 0.5:
        return
    if column.names > 0.8 and not column.is_counter:
        taken["controller"] = Claim("controller", column.column, 1.0, 0.0, "", None)
        used.add(column.column)


def _add_name_of_chain(taken: dict[str, Claim], used: set[int], columns: Mapping[int, ColumnProfile]) -> None:
    """A second column that is headed as a chain tells the chains apart: `Run` beside `Chain`."""
    for number, column in columns.items():
        also_chain = any(field == "chain" for field, _ in candidates("pulls", column.header))
        if number not in used and also_chain and column.distinct == 1.0 and column.share_filled == 1.0:
            taken["id"] = Claim("id", number, 1.0, 0.0, "", None)
            used.add(number)
            return
