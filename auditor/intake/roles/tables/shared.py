"""What the tables of a workbook share: tags, ends, kinds, cables, controllers."""

from collections.abc import Sequence
from dataclasses import replace

from auditor.intake.names.chains import names_in_chain
from auditor.intake.names.ports import spelled
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.chains import chain_beside_lengths
from auditor.intake.roles.evidence import Ties, by_words, share
from auditor.intake.roles.given import controllers_told
from auditor.intake.roles.kinds import as_kind
from auditor.intake.roles.profiles import ColumnProfile
from auditor.intake.roles.shapes import MATRIX, port_columns
from auditor.intake.roles.tables.form import Form, shaped
from auditor.intake.roles.tables.holds import holds
from auditor.job.model import TableKind
from auditor.units import LENGTH_M

_LISTED = Ties(tags=frozenset({""}))  # as if a list of devices were known
_WITH_TAGS = (TableKind.DEVICES, TableKind.COMBINED)
_SCHEDULES = (TableKind.PULLS, TableKind.COMBINED)


def ties_of(forms: Sequence[Form]) -> Ties:
    ends: set[str] = set()
    fed: set[str] = set()
    for form in forms:
        if form.pair is not None:
            ends |= frozenset().union(*(form.columns[column].keys for column in form.pair.ends))
            fed |= form.columns[form.pair.far].keys
        ends |= set(map(spelling, _chain_ends(form)))
    known = Ties(
        end_texts=_end_texts(forms),
        ends=frozenset(ends),
        fed=frozenset(fed),
        ids=_ids_without_length(forms),
        cables_used=_values_of(forms, "cable"),
        kinds_used=_kinds_used(forms),
        controllers=_controllers(forms),
        told=frozenset().union(*(controllers_told(form.given, form.columns) for form in forms)),
    )
    known = replace(known, kinds_used=known.kinds_used | _kinds_in_headings(forms, known))
    cables, kinds = _named_lists(forms, known.ends, known.kinds_used)
    return replace(known, cables=cables, kinds=kinds, tags=_listed_tags(forms, known))


def ties_after(forms: Sequence[Form], before: Ties) -> Ties:
    """What is shared once each table has a kind."""
    ends = set(before.ends)
    controllers = set(before.controllers)
    fed = set(before.fed)
    kinds: set[str] = set()
    used = set(before.kinds_used)
    end_texts = set(before.end_texts)
    for form in forms:
        if form.understood is None:
            continue
        columns = form.understood.columns
        if "controller" in columns:
            controllers |= form.columns[columns["controller"].column].keys
        if form.understood.kind in _SCHEDULES:
            named = {
                name: form.columns[columns[name].column] for name in ("far", "tag", "near") if name in columns
            }
            fed |= next((named[name].keys for name in ("far", "tag") if name in named), frozenset())
            for column in named.values():
                ends |= column.keys
                end_texts |= {text.casefold() for text in column.texts}
        if form.understood.kind in _WITH_TAGS and "type" in columns:
            used |= form.columns[columns["type"].column].keys
        if form.understood.kind is TableKind.LEGEND:
            kinds |= form.columns[columns["type"].column].keys
    tags = _listed_tags(forms, replace(before, ends=frozenset(ends), end_texts=frozenset(end_texts)))
    return replace(
        before,
        tags=tags,
        fed=frozenset(fed),
        controllers=frozenset(controllers),
        ends=frozenset(ends),
        end_texts=frozenset(end_texts),
        kinds=frozenset(kinds) or before.kinds,
        kinds_used=frozenset(used),
        explained=frozenset(kinds),
    )


def _values_of(forms: Sequence[Form], name: str) -> frozenset[str]:
    """The values of all columns whose heading may name this role in a schedule or a device list."""
    found: set[str] = set()
    for form in forms:
        for column in form.columns.values():
            for kind in ("pulls", "devices", "combined"):
                if by_words(kind, column).get(name, (0.0, ""))[0] >= 0.6 and (
                    form.pair is not None or kind != "pulls"
                ):
                    found |= column.keys
    return frozenset(found)


def _kinds_in_headings(forms: Sequence[Form], ties: Ties) -> frozenset[str]:
    """The kinds of device that head the columns of a matrix."""
    shapes = [shape for form in forms if form.pair is None and (shape := shaped(form, ties)) is not None]
    uses = [use for shape in shapes if shape.shape == MATRIX for use in shape.columns.values()]
    return frozenset(spelling(use.header) for use in uses if use.field.startswith("kind "))


def _kinds_used(forms: Sequence[Form]) -> frozenset[str]:
    """The kinds that devices name: values that come again in their column, or stand in the tables of two forms."""
    once: set[str] = set()
    used: set[str] = set()
    for form in forms:
        own: set[str] = set()
        for column in form.columns.values():
            if _names_kinds(column, of_pulls=form.pair is not None):
                own |= column.keys
                used |= column.keys if column.distinct < 1.0 else frozenset()
        used |= own & once
        once |= own
    return frozenset(used)


def _names_kinds(column: ColumnProfile, *, of_pulls: bool) -> bool:
    """Whether a heading says that its column names kinds of devices."""
    tables = ("devices", "combined", "pulls") if of_pulls else ("devices", "combined")
    return any(
        by_words(table, column).get(name, (0.0, ""))[0] >= 0.6
        for table in tables
        for name in ("type", "description", "symbol")
    )


def _ids_without_length(forms: Sequence[Form]) -> frozenset[str]:
    """The numbers of pulls in tables that give their ends and no length."""
    found: set[str] = set()
    for form in forms:
        if form.pair is None:
            continue
        rest = [p for c, p in form.columns.items() if c not in (form.pair.near, form.pair.far)]
        if not any("length_m" in by_words("pulls", p) or p.unit in LENGTH_M for p in rest):
            for column in rest:
                if column.distinct > 0.9 and column.names > 0.8:
                    found |= column.keys
    return frozenset(found)


def _end_texts(forms: Sequence[Form]) -> frozenset[str]:
    texts = _texts_of_pairs(forms).union(*map(_chain_ends, forms))
    return frozenset(text.casefold() for text in texts)


def _texts_of_pairs(forms: Sequence[Form]) -> set[str]:
    """The texts of the two columns that name the ends of pulls."""
    return {
        text
        for form in forms
        if form.pair is not None
        for number in form.pair.ends
        for text in form.columns[number].texts
    }


def _chain_ends(form: Form) -> set[str]:
    """The names in the columns that hold chains, and in a grid."""
    if form.tables[0].drawing is not None:
        return set()  # its two ends are columns
    if form.grid is not None and form.grid.kind is TableKind.PULLS:
        return {text for use in form.grid.columns.values() for text in form.columns[use.column].texts}
    if (ports := port_columns(form.columns, _LISTED)) is not None:
        names = [use.column for name, use in ports.columns.items() if name.startswith("device ")]
        return {text for column in names for text in form.columns[column].texts}
    beside = next(iter(chain_beside_lengths(form.columns) or ()), None)
    return {
        name
        for number, column in form.columns.items()
        if column.is_chain or number == beside
        for text in column.texts
        for name in names_in_chain(text)
    }


def _controllers(forms: Sequence[Form]) -> frozenset[str]:
    """The controllers that ports at the ends of pulls name, without their spelling."""
    options = (option for text in _texts_of_pairs(forms) for option in spelled(text))
    return frozenset(spelling(option.controller) for option in options)


def _listed_tags(forms: Sequence[Form], ties: Ties) -> frozenset[str]:
    """The tags of the lists that may be device lists."""
    found: set[str] = set()
    for form in forms:
        if form.given is not None:
            tag = form.given.columns.get("tag")
            found |= form.columns[tag].keys if tag is not None else frozenset()
            continue
        shape = shaped(form, ties) if form.pair is None else None
        if shape is not None and shape.shape == MATRIX:
            for name, use in shape.columns.items():
                found |= form.columns[use.column].keys if name.startswith("kind ") else frozenset()
        elif form.pair is None and form.grid is None and not _says_feeds(form, ties):
            devices = as_kind(TableKind.DEVICES, form.columns, ties, None)
            if devices is not None and holds(devices, form, ties):
                found |= form.columns[devices.columns["tag"].column].keys
    return frozenset(found)


def _named_lists(
    forms: Sequence[Form], ends: frozenset[str], used: frozenset[str]
) -> tuple[frozenset[str], frozenset[str]]:
    """The names of cable types and the keys of legends, as far as headings tell them."""
    empty = Ties()
    cables: set[str] = set()
    kinds: set[str] = set()
    for form in forms:
        if form.pair is not None:
            continue
        as_cables = as_kind(TableKind.CABLES, form.columns, empty, None)
        if as_cables is not None:
            cables |= form.columns[as_cables.columns["name"].column].keys
            continue
        as_legend = as_kind(TableKind.LEGEND, form.columns, empty, None)
        if as_legend is not None:
            keys = form.columns[as_legend.columns["type"].column].keys
            if share(keys, ends) < 0.3 or keys <= used:
                kinds |= keys
    return frozenset(cables), frozenset(kinds)


def _says_feeds(form: Form, ties: Ties) -> bool:
    """Whether a table says itself what feeds its devices."""
    return as_kind(TableKind.COMBINED, form.columns, ties, None) is not None
