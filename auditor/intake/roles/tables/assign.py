"""All tables of a workbook understood together: what one shows counts for the others."""

from collections.abc import Mapping, Sequence

from auditor.intake.blocks.tables import TableBlock
from auditor.intake.names.ports import spelled
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.cable_types import cable_names, without_cables
from auditor.intake.roles.drawn import pair_of_drawing
from auditor.intake.roles.empty import kind_of_headings
from auditor.intake.roles.ends import EndsPair, ends_pair
from auditor.intake.roles.evidence import Ties, by_words, share
from auditor.intake.roles.given import Given, as_given, with_pair
from auditor.intake.roles.grids import grid_of, understood_grids
from auditor.intake.roles.kinds import Understood
from auditor.intake.roles.lengths import settle_length
from auditor.intake.roles.marks import marks_of
from auditor.intake.roles.port_pairs import port_pair
from auditor.intake.roles.powers import settle_power
from auditor.intake.roles.profiles import same_form
from auditor.intake.roles.tables.best_kind import best_kind
from auditor.intake.roles.tables.form import (
    Form,
    form_of,
    kind_of,
    shaped,
    single_names,
    single_tags,
    tag_columns,
)
from auditor.intake.roles.tables.holds import spelled_as_ends
from auditor.intake.roles.tables.shared import ties_after, ties_of
from auditor.intake.roles.unused import without_unused
from auditor.intake.words import says
from auditor.job.model import TableKind
from auditor.units import LENGTH_M

SPEAKS = frozenset(
    {"length_m", "cable", "distance_m", "start_mark_m", "end_mark_m", "part_length_m", "length_unit"}
)
_WITH_TAGS = (TableKind.DEVICES, TableKind.COMBINED)


def understand_tables(tables: Sequence[TableBlock], given: Mapping[int, Given] = {}) -> list[Form]:
    """Every table's kind and its columns' roles.

    Parameters
    ----------
    given : id of a table -> what an answer says of it
    """
    forms = [form_of(own) for own in same_form(tables)]
    for form in forms:
        own = next((given[id(table)] for table in form.tables if id(table) in given), None)
        form.given = own.within(form.columns) if own is not None else None
    for index, understood in understood_grids([form.columns for form in forms]).items():
        forms[index].grid = understood
    singles = {id(form): single_names(form) for form in forms}
    cables = cable_names(form.columns for form in forms)
    for form in forms:
        others = frozenset().union(*(names for key, names in singles.items() if key != id(form)))
        form.pair = (
            _pair_of(form, others, cables)
            if form.given is None or form.given.kind is TableKind.DEVICES
            else None
        )
        if form.given is not None:
            form.given, form.pair = with_pair(form.given, form.pair)
    ties = ties_of(forms)
    for form in forms:
        form.understood = _understood(form, ties)
    ties = ties_after(forms, ties)
    for form in forms:
        form.understood = _understood(form, ties)
        if form.given is not None:
            continue
        if form.understood is not None:
            settled = settle_power(settle_length(form.understood, form.columns), form.columns)
            form.understood = without_unused(settled)
        else:
            form.understood = kind_of_headings(form.columns)
    _leave_other_numbers(forms, ties)
    return forms


def _understood(form: Form, ties: Ties) -> Understood | None:
    if form.given is not None:
        return as_given(form.given, form.columns, form.pair, ties)
    return shaped(form, ties) or best_kind(form, ties)


def _pair_of(form: Form, others: frozenset[str], cables: frozenset[str]) -> EndsPair | None:
    """The columns of the ends: places on a port before two columns of ends, home runs after them. Neither a
    grid's places nor marks on a drum nor cables are ends."""
    if form.tables[0].drawing is not None:
        return pair_of_drawing(form.tables[0])
    if grid_of(form.columns) is not None:
        return None
    marks = marks_of(form.columns) or ()
    named = [text for c in marks for text in form.columns[c].texts if text[:1].isalpha() and spelled(text)]
    if named or all(share(form.columns[c].keys, others) > 0.7 for c in marks):
        marks = ()  # tags that count: 1101, 1102 …
    columns = without_cables({c: p for c, p in form.columns.items() if c not in marks}, cables)
    by_port = port_pair(columns, others)
    if by_port is not None and by_port.sequence is not None:
        return by_port
    form.pair = ends_pair(columns, others)
    return form.pair if form.pair is not None and _is_schedule(form, others) else by_port


def _leave_other_numbers(forms: Sequence[Form], ties: Ties) -> None:
    """Leave a list whose numbers are tags only once their spelling is dropped, where another list has the tags
    as the pulls spell them: the door D1 is not the device D001."""
    lists = [(form, tag_columns(form)) for form in forms if kind_of(form) in _WITH_TAGS]
    spelled_alike = [tags for _, own in lists for tags in own if spelled_as_ends(tags, ties) > 0.5]
    others = frozenset(spelling(tag) for tags in spelled_alike for tag in single_tags(tags))
    for form, own in lists:
        if kind_of(form) is not TableKind.DEVICES or len(own) != 1 or form.given is not None:
            continue
        if spelled_as_ends(own[0], ties) == 0.0 and share(own[0].keys, others) > 0.5:
            form.understood = None


def _is_schedule(form: Form, others: frozenset[str]) -> bool:
    """From and to alone are none: a length, a cable, or ends that meet another table must speak for it."""
    assert form.pair is not None
    near, far = form.columns[form.pair.near], form.columns[form.pair.far]
    numbers = max(near.quantities, far.quantities) > 0.6
    tied = form.pair.tie >= 0.6 and (share(far.keys, others) > 0.7 or _said_of_numbers(form))
    if (numbers and not tied) or near.names < 0.7 or far.names < 0.7:
        return False
    named = set()
    for column, profile in form.columns.items():
        if column not in (form.pair.near, form.pair.far):
            named |= {
                name for name, (strength, _) in by_words("pulls", profile).items() if strength >= 0.55
            } & SPEAKS
            if profile.unit in LENGTH_M and (profile.quantities > 0.5 or profile.is_units):
                named.add("length_unit")
    meets = share(far.keys, others) > 0.5 or share(near.keys, others) > 0.5
    if (
        not form.pair.words
        and "length_unit" not in named
        and "length_m" not in named
        and says(near.header, "port")
    ):
        return False  # the port of each device in a list that another table's pulls end at
    if meets and not named and form.pair.tie > 0.6:
        return True  # ends that a list knows; their lengths may stand elsewhere
    if form.pair.words:
        return bool(named) or meets
    return bool(named) and (meets or form.pair.tie > 0.6)


def _said_of_numbers(form: Form) -> bool:
    """Whether both headings say ends and something else than a number stands among the near ones: a port."""
    assert form.pair is not None
    near, far = form.columns[form.pair.near], form.columns[form.pair.far]
    whole = all(number.is_integer() for number in far.numbers)
    return form.pair.words == 1.0 and near.quantities < 1.0 and whole and far.distinct > 0.9
