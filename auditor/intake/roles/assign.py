"""All tables of a workbook understood together: what one shows counts for the others."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from auditor.intake.blocks.grid import filled_cells
from auditor.intake.blocks.tables import TableBlock, title_above
from auditor.intake.names.chains import names_in_chain
from auditor.intake.names.ends import is_splice
from auditor.intake.names.ports import spelled
from auditor.intake.names.ranges import tags_in
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.alone import heads_boxes
from auditor.intake.roles.cable_types import cable_names, without_cables
from auditor.intake.roles.chains import chain_beside_lengths
from auditor.intake.roles.completed import LEAST_OF_A_CABLE, OF_A_CABLE
from auditor.intake.roles.drawn import columns_of_drawing, pair_of_drawing, understood_drawing
from auditor.intake.roles.empty import kind_of_headings
from auditor.intake.roles.ends import EndsPair, ends_pair
from auditor.intake.roles.evidence import Ties, by_words, share
from auditor.intake.roles.first_look import may_be_record
from auditor.intake.roles.given import Given, as_given, controllers_told, with_pair
from auditor.intake.roles.grids import grid_of, understood_grids
from auditor.intake.roles.kinds import ORDER, ColumnUse, Understood, as_kind, titled
from auditor.intake.roles.lengths import settle_length
from auditor.intake.roles.marks import marks_of
from auditor.intake.roles.port_pairs import port_pair
from auditor.intake.roles.profiles import ColumnProfile, profiles_of, same_form
from auditor.intake.roles.shapes import MATRIX, port_columns, shape_of_form
from auditor.intake.roles.steps import with_steps_gathered
from auditor.intake.roles.unused import without_unused
from auditor.intake.words import fold, matcher, said, says
from auditor.job.model import TableKind
from auditor.units import CURRENT_A, LENGTH_M, POWER_W

SPEAKS = frozenset(
    {"length_m", "cable", "distance_m", "start_mark_m", "end_mark_m", "part_length_m", "length_unit"}
)
_LISTED = Ties(tags=frozenset({""}))  # as if a list of devices were known
_WITH_TAGS = (TableKind.DEVICES, TableKind.COMBINED)
MOST_CONTROLLERS = 12  # in a list that gives no number of ports; project convention
_POWERS = frozenset(POWER_W) | frozenset(CURRENT_A)
_SCHEDULES = (TableKind.PULLS, TableKind.COMBINED)


@dataclass(slots=True)
class Form:
    """Tables of one form, their columns over all of them, and what they were understood as."""

    tables: list[TableBlock]
    columns: dict[int, ColumnProfile]
    pair: EndsPair | None = None
    understood: Understood | None = None
    grid: Understood | None = None  # what it is as one of two grids that belong together
    may_be: list[Understood] = field(default_factory=list)  # other kinds that it could be
    given: Given | None = None  # what an answer says of it

    @property
    def titles(self) -> list[str]:
        """The names of the sheets, and the texts that stand alone right above the tables."""
        above = (title_above(table) for table in self.tables)
        return [table.sheet.name for table in self.tables] + [text for text in above if text]


def understand_tables(tables: Sequence[TableBlock], given: Mapping[int, Given] = {}) -> list[Form]:
    """Every table's kind and its columns' roles.

    Parameters
    ----------
    given : id of a table -> what an answer says of it
    """
    forms = [form_of(own) for own in same_form(tables)]
    for form in forms:
        form.given = next((given[id(table)] for table in form.tables if id(table) in given), None)
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
    ties = _ties(forms)
    for form in forms:
        form.understood = _understood(form, ties)
    ties = _ties_after(forms, ties)
    for form in forms:
        form.understood = _understood(form, ties)
        if form.given is not None:
            continue
        if form.understood is not None:
            form.understood = without_unused(settle_length(form.understood, form.columns))
        else:
            form.understood = kind_of_headings(form.columns)
    _leave_other_numbers(forms, ties)
    return forms


def _understood(form: Form, ties: Ties) -> Understood | None:
    if form.given is not None:
        return as_given(form.given, form.columns, form.pair, ties)
    return _shaped(form, ties) or _best_kind(form, ties)


def _shaped(form: Form, ties: Ties) -> Understood | None:
    return form.grid or shape_of_form(form.columns, ties, of_ends=form.pair is not None)


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
    lists = [(form, _tag_columns(form)) for form in forms if _kind(form) in _WITH_TAGS]
    spelled_alike = [tags for _, own in lists for tags in own if _spelled_as_ends(tags, ties) > 0.5]
    others = frozenset(spelling(tag) for tags in spelled_alike for tag in _single_tags(tags))
    for form, own in lists:
        if _kind(form) is not TableKind.DEVICES or len(own) != 1 or form.given is not None:
            continue
        if _spelled_as_ends(own[0], ties) == 0.0 and share(own[0].keys, others) > 0.5:
            form.understood = None


def _tag_columns(form: Form) -> list[ColumnProfile]:
    """The columns of a list that hold its tags: one, or those of a matrix."""
    return [
        form.columns[use.column]
        for name, use in _columns(form).items()
        if name == "tag" or name.startswith("kind ")
    ]


def _single_tags(column: ColumnProfile) -> list[str]:
    """The names of a column, also those of cells that hold several."""
    listed = ((text, tags_in(text)) for text in column.texts)
    return [tag for text, found in listed for tag in (found.tags if found is not None else (text,))]


def _kind(form: Form) -> TableKind | None:
    return form.understood.kind if form.understood is not None else None


def _columns(form: Form) -> Mapping[str, ColumnUse]:
    return form.understood.columns if form.understood is not None else {}


def form_of(tables: list[TableBlock]) -> Form:
    """Tables of one form with their columns, before anything is understood."""
    if tables[0].drawing is not None:
        return Form(tables, columns_of_drawing(tables[0]), grid=understood_drawing(tables[0]))
    rows = [
        [row for row in range(table.first_row, table.last_row + 1) if may_be_record(table, row)]
        for table in tables
    ]
    return Form(tables, with_steps_gathered(profiles_of(tables, rows)))


def single_names(form: Form) -> frozenset[str]:
    """Names that stand once each in a column: what may be the tags of a list."""
    found: set[str] = set()
    for column in form.columns.values():
        says_tag = bool(column.header) and said(column.header).get("tag", 0.0) >= 0.6
        numbers = column.quantities > 0.9 and (not says_tag or column.counts_rows or column.unit is not None)
        if column.distinct > 0.95 and column.names > 0.8 and column.with_digits > 0.5 and not numbers:
            found |= column.keys
    return frozenset(found)


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


def _ties(forms: Sequence[Form]) -> Ties:
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
    shapes = [shape for form in forms if form.pair is None and (shape := _shaped(form, ties)) is not None]
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
    texts = {
        text
        for form in forms
        if form.pair is not None
        for number in form.pair.ends
        for text in form.columns[number].texts
    }
    return frozenset(text.casefold() for text in texts.union(*map(_chain_ends, forms)))


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


def _spelled_as_ends(column: ColumnProfile, ties: Ties) -> float:
    """Which part of a column's texts stands among the ends as it is spelled."""
    texts = [text.casefold() for text in _single_tags(column)]
    return sum(text in ties.end_texts for text in texts) / len(texts) if texts else 0.0


def _controllers(forms: Sequence[Form]) -> frozenset[str]:
    """The controllers that ports at the ends of pulls name, without their spelling."""
    texts = {
        text
        for form in forms
        if form.pair is not None
        for number in form.pair.ends
        for text in form.columns[number].texts
    }
    return frozenset(spelling(option.controller) for text in texts for option in spelled(text))


def _listed_tags(forms: Sequence[Form], ties: Ties) -> frozenset[str]:
    """The tags of the lists that may be device lists."""
    found: set[str] = set()
    for form in forms:
        if form.given is not None:
            tag = form.given.columns.get("tag")
            found |= form.columns[tag].keys if tag is not None else frozenset()
            continue
        shape = _shaped(form, ties) if form.pair is None else None
        if shape is not None and shape.shape == MATRIX:
            for name, use in shape.columns.items():
                found |= form.columns[use.column].keys if name.startswith("kind ") else frozenset()
        elif form.pair is None and form.grid is None and not _says_feeds(form, ties):
            devices = as_kind(TableKind.DEVICES, form.columns, ties, None)
            if devices is not None and _holds(devices, form, ties):
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


def _ties_after(forms: Sequence[Form], before: Ties) -> Ties:
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
        if form.understood.kind in _SCHEDULES:
            fed |= (
                form.columns[columns["far" if "far" in columns else "tag"].column].keys
                if {"far", "tag"} & columns.keys()
                else frozenset()
            )
        if "controller" in columns:
            controllers |= form.columns[columns["controller"].column].keys
        if form.understood.kind in _SCHEDULES:
            for column in (
                form.columns[columns[name].column] for name in ("near", "far", "tag") if name in columns
            ):
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


def _best_kind(form: Form, ties: Ties) -> Understood | None:
    found = []
    for kind in ORDER:
        if not _may_be(kind, form, ties):
            continue
        understood = as_kind(kind, form.columns, ties, form.pair)
        if understood is not None and kind is TableKind.COMBINED:
            understood = _as_pulls(understood, form, ties)
        if understood is not None and _holds(understood, form, ties):
            found.append(understood)
    if not found:
        found = _by_title(form, ties)
    found.sort(key=lambda one: _merit(one, form, ties), reverse=True)
    form.may_be = found[1:]
    return found[0] if found else None


def _by_title(form: Form, ties: Ties) -> list[Understood]:
    """Splices or controllers whose sheet says so, where the heading of their names says nothing."""
    names = [
        c for c, p in form.columns.items() if p.distinct > 0.95 and p.names > 0.8 and not p.quantities > 0.9
    ]
    for kind in (TableKind.SPLICES, TableKind.CONTROLLERS):
        if form.pair is not None or not names or not any(titled(kind, name) for name in form.titles):
            continue
        first = form.columns[names[0]]
        rest = {column: profile for column, profile in form.columns.items() if column != names[0]}
        uses = {
            "name": ColumnUse("name", names[0], first.header, reason="the sheet's name says what it lists")
        }
        for name in ("ports", "supply_power_w", "supply_voltage_v", "head_end", "room"):
            for column, profile in rest.items():
                if by_words(kind.value, profile).get(name, (0.0, ""))[0] >= 0.6 and column not in {
                    u.column for u in uses.values()
                }:
                    uses[name] = ColumnUse(
                        name,
                        column,
                        profile.header,
                        profile.heading_unit,
                        reason=f"heading {profile.header!r}",
                    )
                    break
        if kind is TableKind.SPLICES and not first.keys & ties.ends:
            continue
        if kind is TableKind.CONTROLLERS and (len(uses) < 2 or first.keys & (ties.kinds_used | ties.kinds)):
            continue
        return [Understood(kind, uses, (), score=float(len(uses)))]
    return []


def _may_be(kind: TableKind, form: Form, ties: Ties) -> bool:
    if kind is TableKind.PULLS:
        return not (form.pair is not None and _is_combined(form, ties))
    if kind is TableKind.COMBINED:
        return form.pair is None or _is_combined(form, ties)
    return form.pair is None


def _is_combined(form: Form, ties: Ties) -> bool:
    """Whether the far end's own data stand in its row, and no device list has them."""
    assert form.pair is not None
    far = form.columns[form.pair.far]
    others = (
        share(far.keys, ties.tags) > 0.2 and share(ties.tags, far.keys) > 0.5
    )  # rows of another trade between, a slip in one of three tags
    if share(far.keys, ties.tags) > 0.5 or others:
        return False
    words = by_words("combined", far)
    says_device = words.get("tag", (0.0, ""))[0] >= 0.6 and not form.pair.words
    own = {
        name
        for column in form.columns.values()
        for name, (s, _) in by_words("devices", column).items()
        if s >= 0.6
    }
    shown = any(
        p.unit in _POWERS and p.quantities > 0.9 and (not p.header or said(p.header).keys() <= {"power_w"})
        for p in form.columns.values()
    )
    if {"power_w", "total_power_w"} & own or says_device or shown:
        return True
    return bool({"type", "description"} & own) and not _is_cable_type(form)


def _is_cable_type(form: Form) -> bool:
    """Whether the type beside plain ends is the cable's: no other column names one that comes again."""
    assert form.pair is not None
    says = [p for p in form.columns.values() if "cable" in by_words("pulls", p)]
    typed = [p for p in says if "type" in by_words("devices", p)]
    named = [p for p in says if p not in typed and p.distinct <= 0.9]
    return form.pair.words == 1.0 and bool(typed) and not named


def _as_pulls(understood: Understood, form: Form, ties: Ties) -> Understood:
    """A table whose devices a list has in full is one of pulls only."""
    tag = understood.columns["tag"]
    if share(form.columns[tag.column].keys, ties.tags) <= 0.5:
        return understood
    columns = {("far" if name == "tag" else name): use for name, use in understood.columns.items()}
    return replace(understood, kind=TableKind.PULLS, columns={**columns, "far": replace(tag, field="far")})


def _holds(understood: Understood, form: Form, ties: Ties) -> bool:
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
        codes = keys <= ties.kinds_used and (few or not _spelled_as_ends(column, ties))
        # a few of the tags again, once with each word of another list
        if codes or (few and _describes_kinds(understood, form, ties)):
            return False
        met = share(keys, ties.ends)
        return met > 0.2 or (met > 0 and len(keys) < 8) or (len(keys & ties.ends) >= 3)
    if understood.kind is TableKind.LEGEND:
        column = form.columns[columns["type"].column]
        tied = share(column.keys, ties.ends) >= 0.3 and _spelled_as_ends(column, ties) >= 0.3
        if tied and _explains_kinds(understood, form, ties):
            return True
        used = bool(column.keys & ties.kinds_used) or _describes_kinds(understood, form, ties)
        return not tied and used and not _lists_tags(form, ties)
    return _touches(understood, form, ties)


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
        column.distinct > 0.9 and _spelled_as_ends(column, ties) > 0.5 and not any(map(tags_in, column.texts))
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
    return known and (titles or share(keys, ties.fed) < 0.3)


def _merit(found: Understood, form: Form, ties: Ties) -> tuple[bool, bool, float]:
    """Schedules first, then controllers that feed and are not fed, then what explains most."""
    title = any(titled(found.kind, name) for name in form.titles)
    return found.kind in _SCHEDULES, _only_feed(found, form, ties), found.score + (0.5 if title else 0.0)


def _only_feed(found: Understood, form: Form, ties: Ties) -> bool:
    """Whether a list of controllers with their numbers of ports names ends that feed and are fed by nothing."""
    if found.kind is not TableKind.CONTROLLERS or "ports" not in found.columns:
        return False
    keys = form.columns[found.columns["name"].column].keys
    return keys <= ties.ends and not keys & ties.fed


def empty_cells(table: TableBlock, row: int) -> bool:
    return not filled_cells(table.sheet.rows[row - 1], table.first_column, table.last_column)


def forms_by_table(forms: Sequence[Form]) -> Mapping[int, Form]:
    return {id(table): form for form in forms for table in form.tables}
