"""Whether the values of a table bear out what its headings say of it."""

from collections.abc import Mapping

from auditor.intake.names.ends import is_splice
from auditor.intake.names.ports import spelled
from auditor.intake.names.ranges import tags_in
from auditor.intake.roles.alone import heads_boxes
from auditor.intake.roles.completed import LEAST_OF_A_CABLE, OF_A_CABLE
from auditor.intake.roles.evidence import Ties, by_words, share
from auditor.intake.roles.kinds import ColumnUse, Understood, titled
from auditor.intake.roles.profiles import ColumnProfile
from auditor.intake.roles.tables.form import Form, single_tags
from auditor.intake.words import fold, matcher
from auditor.job.model import TableKind
from auditor.units import LENGTH_M

MOST_CONTROLLERS = 12  # in a list that gives no number of ports; project convention


def holds(understood: Understood, form: Form, ties: Ties) -> bool:
    """Whether the values bear out what the headings say of a table beside the schedule."""
    columns = understood.columns
    if understood.kind is TableKind.DEVICES and ties.ends:
        column = form.columns[columns["tag"].column]
        keys = column.keys
        other = _is_list_of_boxes(column, columns, form) or _describes_controllers(columns, form)
        if other or keys <= ties.told or _is_titled_otherwise(columns, form, ties):
            return False
        few = keys < ties.tags and len(keys) * 2 <= len(ties.tags)
        # codes of kinds that look like tags, or like them once their spelling is dropped
        codes = keys <= ties.kinds_used and (few or not spelled_as_ends(column, ties))
        # a few of the tags again, once with each word of another list
        if codes or (few and _describes_kinds(understood, form, ties)):
            return False
        met = share(keys, ties.ends)
        return met > 0.2 or (met > 0 and len(keys) < 8) or (len(keys & ties.ends) >= 3)
    if understood.kind is TableKind.LEGEND:
        column = form.columns[columns["type"].column]
        tied = share(column.keys, ties.ends) >= 0.3 and spelled_as_ends(column, ties) >= 0.3
        if tied and _explains_kinds(understood, form, ties):
            return True
        used = bool(column.keys & ties.kinds_used) or _describes_kinds(understood, form, ties)
        return not tied and used and not _lists_tags(form, ties)
    return _touches(understood, form, ties)


def spelled_as_ends(column: ColumnProfile, ties: Ties) -> float:
    """Which part of a column's texts stands among the ends as it is spelled."""
    texts = [text.casefold() for text in single_tags(column)]
    return sum(text in ties.end_texts for text in texts) / len(texts) if texts else 0.0


def _is_titled_otherwise(columns: Mapping[str, ColumnUse], form: Form, ties: Ties) -> bool:
    """Whether a list is one of controllers with their ports, or a legend of kinds, as its sheet is called."""
    title = form.tables[0].sheet.name
    if titled(TableKind.CONTROLLERS, title):
        return any("ports" in by_words("controllers", profile) for profile in form.columns.values())
    words = form.columns[columns["description"].column].keys if "description" in columns else frozenset[str]()
    return titled(TableKind.LEGEND, title) and share(words, ties.kinds_used) > 0.5


def _explains_kinds(understood: Understood, form: Form, ties: Ties) -> bool:
    """Whether the powers of a few codes stand beside words that are the kinds of all devices: the codes `KP-1`,
    `TH-1` are not the devices KP-1 and TH-1."""
    columns = understood.columns
    if not {"description", "power_w"} <= columns.keys():
        return False
    keys, words = (form.columns[columns[name].column].keys for name in ("type", "description"))
    return len(keys) * 2 <= len(ties.tags) and words <= ties.kinds_used


def _describes_kinds(understood: Understood, form: Form, ties: Ties) -> bool:
    """Whether the powers of codes stand beside words, once each, that devices use: the headings of a matrix."""
    columns = understood.columns
    if not {"description", "power_w"} <= columns.keys():
        return False
    words = form.columns[columns["description"].column]
    return words.distinct == 1.0 and share(words.keys, ties.kinds_used) > 0.5


def _is_list_of_boxes(column: ColumnProfile, columns: Mapping[str, ColumnUse], form: Form) -> bool:
    """Whether a list without anything that a device has names splices."""
    if {"power_w", "total_power_w", "quantity", "type", "load"} & columns.keys():
        return False
    by_name = sum(map(is_splice, column.texts)) * 2 > len(column.texts) and not _describes_others(
        columns, form
    )
    by_title = any(titled(TableKind.SPLICES, name) for name in form.titles)
    return by_name or by_title or heads_boxes(column.header)


def _describes_others(columns: Mapping[str, ColumnUse], form: Form) -> bool:
    """Whether no row is described as a box: T1 described as a thermostat is none."""
    use = columns.get("description")
    texts = form.columns[use.column].texts if use is not None else set()
    return bool(texts) and not any(map(is_splice, texts))


def _describes_controllers(columns: Mapping[str, ColumnUse], form: Form) -> bool:
    """Whether each row of a list without loads is described as a controller, on a sheet that says so too."""
    use = columns.get("description") or columns.get("type")
    if use is None or {"power_w", "total_power_w", "load"} & columns.keys():
        return False
    texts = form.columns[use.column].texts
    named = bool(texts) and all(matcher("controller").search(fold(text)) for text in texts)
    return named and any(titled(TableKind.CONTROLLERS, name) for name in form.titles)


def _lists_tags(form: Form, ties: Ties) -> bool:
    """Whether a column holds single tags, one in each row."""
    return any(
        column.distinct > 0.9 and spelled_as_ends(column, ties) > 0.5 and not any(map(tags_in, column.texts))
        for column in form.columns.values()
    )


def _touches(understood: Understood, form: Form, ties: Ties) -> bool:
    """Whether a side list has to do with the job: a name in common, or so many of its own columns that it must."""
    columns = understood.columns
    keys = form.columns[columns["name"].column].keys if "name" in columns else frozenset()
    if understood.kind is TableKind.SPLICES:
        return bool(keys & ties.ends) and _is_list_of_boxes(
            form.columns[columns["name"].column], columns, form
        )
    if understood.kind is TableKind.LENGTHS:
        return share(form.columns[columns["id"].column].keys, ties.ids) > 0.8
    if understood.kind is TableKind.CABLES:
        return bool(keys & ties.cables_used) or len(OF_A_CABLE & columns.keys()) >= LEAST_OF_A_CABLE
    if understood.kind is TableKind.CONTROLLERS:
        return _lists_controllers(columns, keys, form, ties)
    if understood.kind is TableKind.REELS:
        cable = columns.get("cable")
        met = cable is not None and bool(form.columns[cable.column].keys & (ties.cables_used | ties.cables))
        return met or any(titled(TableKind.REELS, name) for name in form.titles)
    return True


def _lists_controllers(
    columns: Mapping[str, ColumnUse], keys: frozenset[str], form: Form, ties: Ties
) -> bool:
    if "ports" not in columns and len(keys) > MOST_CONTROLLERS:
        return False
    names = form.columns[columns["name"].column].texts
    sums = any(profile.heading_unit in LENGTH_M for profile in form.columns.values())
    if "ports" not in columns and sums and keys <= ties.ends and all(map(spelled, names)):
        return False  # ports, and what hangs on each
    known = bool(keys & (ties.controllers | ties.ends)) or "ports" in columns
    titles = "ports" in columns and any(titled(TableKind.CONTROLLERS, name) for name in form.titles)
    supplies = {"ports", "supply_power_w"} <= columns.keys()  # a device `C1` may be called as a controller is
    return known and (titles or supplies or share(keys, ties.fed) < 0.3)
