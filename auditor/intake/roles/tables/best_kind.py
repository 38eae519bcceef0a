"""Which kind of table one is."""

from dataclasses import replace

from auditor.intake.roles.evidence import Ties, by_words, share
from auditor.intake.roles.kinds import ORDER, ColumnUse, Understood, as_kind, titled
from auditor.intake.roles.tables.form import Form
from auditor.intake.roles.tables.holds import holds
from auditor.intake.words import said
from auditor.job.model import TableKind
from auditor.units import CURRENT_A, POWER_W

_POWERS = frozenset(POWER_W) | frozenset(CURRENT_A)
_SCHEDULES = (TableKind.PULLS, TableKind.COMBINED)


def best_kind(form: Form, ties: Ties) -> Understood | None:
    found = []
    for kind in ORDER:
        if not _may_be(kind, form, ties):
            continue
        understood = as_kind(kind, form.columns, ties, form.pair)
        if understood is not None and kind is TableKind.COMBINED:
            understood = _as_pulls(understood, form, ties)
        if understood is not None and holds(understood, form, ties):
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
    mirrored = far.header == form.columns[form.pair.near].header
    says_device = words.get("tag", (0.0, ""))[0] >= 0.6 and not form.pair.words and not mirrored
    ends = (form.pair.near, form.pair.far) if mirrored else ()
    own = {
        name
        for c, column in form.columns.items()
        if c not in ends
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
