"""One office: a design, a workbook in the office's habits, and what is true of it."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from random import Random

from tests.offices import extras
from tests.offices.ambiguity import reasons
from tests.offices.book import Placement, Table, lay_out
from tests.offices.design import Design
from tests.offices.devices import DEVICE_LISTS, NEED_LEGEND
from tests.offices.draft import Draft
from tests.offices.grow import grow
from tests.offices.habits import habits
from tests.offices.headings import headings
from tests.offices.measures import measure
from tests.offices.names import PULLS, RESPELLED, SPLICES, TAGS, PortStyle, port_style, weighted
from tests.offices.shapes import Shape, shapes
from tests.offices.styles import LengthStyle, PowerStyle, length_style, power_style
from tests.offices.truth import Truth, named, truth
from tests.offices.words import language
from tests.offices.write import xlsx

LANGUAGES = {"en": 10, "de": 4, "fr": 3, "es": 3, "nl": 3, "it": 3}
HEADINGS = {"the language's": 16, "technical": 2, "camel": 1, "snake": 1, "invented": 2, "none": 2}
NO_FAULT = 0.6  # of the offices
LISTS = frozenset(
    ("cables", "controllers", "legend", "splices", "reels", "matrix")
)  # always have plain headings
FAR_FROM_LIMITS = frozenset(
    ("loop", "unfed", "typo", "look-alike", "a length missing", "a power missing", "")
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Office:
    """A workbook and all that is known of it."""

    seed: int
    name: str
    data: bytes
    design: Design
    truth: Truth
    habits: tuple[str, ...]
    may_ask: tuple[str, ...]  # why even a careful human would have to ask; none: he would not
    tables: tuple[Placement, ...]  # where each table stands, and each column's role and unit
    said: dict[str, str]  # what an answerer is asked for beside the tables: units, ports


def office(seed: int, only: str = "") -> Office:
    """The office of a seed.

    Parameters
    ----------
    only : the name of a shape or of a habit that lies over one: the office has it if there is a place for it
    """
    rng = Random(f"office {seed}")
    draft = _draft(rng, seed, only)
    for habit in habits():
        wanted = habit.name == only or draft.rng(f"habit {habit.name}").random() < habit.share
        if wanted and habit.apply(draft):
            draft.habits.append(habit.name)
    return _finished(draft)


def plain_office(seed: int, fault: str = "") -> Office:
    """A control: the design of a seed written as plainly as can be, in English, without a habit."""
    rng = Random(f"plain {seed}")
    unit = rng.choice(("ft", "m"))
    shape = next(shape for shape in shapes() if shape.name == "pull list")
    heads = replace(headings("en", rng), shown="{word} ({unit})", capitals=False)
    design = _design(rng, shape, unit, "en", "KP-101", fault, pieces=rng.random() < 0.2)
    heads.words = {role: words.split("|")[0] for role, words in heads.words.items()}
    draft = Draft(
        seed=seed,
        design=design,
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
    for wanted, write in ((design.cables_stated, extras.cables), (design.splices, extras.splices)):
        if wanted:
            write(draft)
    return _finished(draft)


def _finished(draft: Draft) -> Office:
    """The office of a draft whose tables are all there, raw."""
    draft.asks += reasons(draft)
    measure(draft)
    _dress(draft)
    pages = [lay_out(sheet) for sheet in draft.sheets]
    names = {port: draft.ports.names(port) for port in draft.design.ports}
    return Office(
        seed=draft.seed,
        name=f"office-{draft.seed:05d}.xlsx",
        data=xlsx(pages),
        design=draft.design,
        truth=named(truth(draft.design), names),
        habits=tuple(draft.habits),
        may_ask=tuple(draft.asks),
        tables=tuple(placement for page in pages for placement in page.placements),
        said=_said(draft),
    )


def _said(draft: Draft) -> dict[str, str]:
    return {
        "length unit": draft.length_style.unit,
        "power unit": draft.power_style.unit,
        **{f"port {port.controller}.{port.number}": draft.ports.full(port) for port in draft.design.ports},
    }


def _drawn(rng: Random, weights: dict[str, int]) -> str:
    return rng.choices(list(weights), list(weights.values()))[0]


def _shape(rng: Random, only: str) -> Shape:
    every = shapes()
    chosen = rng.choices(every, [shape.weight for shape in every])[0]
    return next((shape for shape in every if only == f"shape: {shape.name}"), chosen)


def _draft(rng: Random, seed: int, only: str) -> Draft:
    shape = _shape(rng, only)
    tongue = _drawn(rng, LANGUAGES)
    tags = "KP-101"
    while tags == "KP-101" or tags in shape.tags:
        tags = weighted(rng, TAGS)
        if tags not in shape.tags:
            break
    heads = headings(_heading_kind(rng, tongue), Random(f"{seed}:headings"))
    unit = "ft" if rng.random() < (0.75 if tongue == "en" else 0.1) else "m"
    devices = (
        "in the rows"
        if shape.lists_devices
        else _drawn(rng, {name: w for name, (_, w) in DEVICE_LISTS.items()})
    )
    fault = _fault(rng, shape)
    legend = devices in NEED_LEGEND
    if legend and fault in ("a power missing", "power"):
        fault = ""
    quantities = devices in ("device list", "device lists by floor", "tags in ranges") and rng.random() < 0.25
    design = _design(rng, shape, unit, tongue, tags, fault, quantities)
    draft = Draft(
        seed=seed,
        design=design,
        language=tongue,
        words=language(tongue),
        headings=heads,
        ports=port_style(rng, tongue),
        pull_style=rng.choice(list(PULLS)),
        quantities=quantities,
    )
    _styles(rng, draft, shape, legend)
    _respelling(rng, draft)
    draft.habits = _names(draft, shape, devices, tags)
    _write(rng, draft, shape, devices)
    return draft


def _heading_kind(rng: Random, tongue: str) -> str:
    kind = _drawn(rng, HEADINGS)
    return tongue if kind == "the language's" else kind


def _fault(rng: Random, shape: Shape) -> str:
    return "" if rng.random() < NO_FAULT else rng.choice(["", *sorted(shape.faults)])


def _design(rng: Random, shape: Shape, unit: str, tongue: str, tags: str, fault: str, pieces: bool) -> Design:
    from tests.offices.faults import FAULTS

    kinds, spelled, joint = language(tongue).KINDS, TAGS[tags][0], rng.choice(SPLICES)
    forms = [form for form in shape.forms if not fault or form in FAULTS[fault].forms] or list(shape.forms)
    if fault and not any(form in FAULTS[fault].forms for form in shape.forms):
        fault = ""
    return grow(
        rng,
        form=rng.choice(forms),
        unit=unit,
        namer=lambda kind, own, run, floor: spelled(kinds[kind][1], own, run, floor),
        splice=joint.format,
        fault=fault,
        cables_stated=fault not in FAR_FROM_LIMITS or rng.random() < 0.75,
        splices=shape.splices and rng.random() < 0.4,
        pieces=pieces and fault not in ("device-count", "power"),
    )


def _styles(rng: Random, draft: Draft, shape: Shape, legend: bool) -> None:
    heads, tongue = draft.headings, draft.language
    known = heads.kind == tongue
    draft.length_style = length_style(rng, draft.design.unit, tongue, heads.removed, known)
    powers = {round(device.power_w, 6) if device.power_w else None for device in draft.design.devices}
    no_legend = shape.lists_devices or None in powers or len(powers) == 1
    style = power_style(rng, tongue, heads.removed, known, no_legend)
    while legend and style.where != "legend":
        style = power_style(rng, tongue, heads.removed, known, False)
    draft.power_style = style


def _respelling(rng: Random, draft: Draft) -> None:
    if rng.random() < 0.15:
        name = rng.choice(list(RESPELLED))
        respell: Callable[[str], str] = RESPELLED[name]
        tags = [device.tag for device in draft.design.devices]
        if any(respell(tag) != tag for tag in tags) and len({respell(tag) for tag in tags}) == len(tags):
            draft.respell = respell
            draft.habits.append(f"tags respelled: {name}")


def _names(draft: Draft, shape: Shape, devices: str, tags: str) -> list[str]:
    design, ports = draft.design, draft.ports
    kind = draft.headings.kind
    said = [
        f"shape: {shape.name}",
        f"devices: {devices}",
        f"language: {draft.language}",
        f"headings: {kind if kind != draft.language else 'in the language'}",
        f"ports: {ports.habit}",
        f"tags: {tags}",
        f"length unit: {draft.length_style.where}",
        f"lengths in {draft.length_style.unit}",
        f"power unit: {draft.power_style.where}",
        f"power in {draft.power_style.unit}" + ("" if draft.power_style.volts else ", no voltage"),
        f"fault: {design.fault or 'none'}",
        f"form: {design.form}",
    ]
    more = {
        "ports lettered": ports.lettered,
        "controllers lettered": ports.controllers_lettered,
        "quantities": draft.quantities,
        "splices": bool(design.splices),
        "decimal comma": draft.length_style.comma or draft.power_style.comma,
        "no cable sheet": not design.cables_stated,
    }
    return [*draft.habits, *said, *(name for name, there in more.items() if there)]


def _write(rng: Random, draft: Draft, shape: Shape, devices: str) -> None:
    """All sheets of the job, raw."""
    shape.write(draft)
    if devices in DEVICE_LISTS:
        DEVICE_LISTS[devices][0](draft)
        if rng.random() < 0.7:  # the device list stands first, mostly
            _devices_first(draft)
    if draft.power_style.where == "legend":
        extras.legend(draft)
    if draft.design.cables_stated:
        extras.cables(draft)
    if draft.design.splices and (draft.design.splices[0].startswith("X") or rng.random() < 0.5):
        extras.splices(draft)
        draft.habits.append("splices listed")
    for name, share, write in (
        ("controllers sheet", 0.4, extras.controllers),
        ("reels left", 0.12, extras.reels),
    ):
        if rng.random() < share:
            write(draft)
            draft.habits.append(name)


def _devices_first(draft: Draft) -> None:
    lists = [sheet for sheet in draft.sheets if sheet.tables[0].kind in ("devices", "matrix")]
    draft.sheets = [*lists, *(sheet for sheet in draft.sheets if sheet not in lists)]


def _dress(draft: Draft) -> None:
    """Headings for all columns; none where the office has none."""
    plain = draft.headings if draft.headings.speak else headings(draft.language, draft.rng("plain headings"))
    for table in (table for sheet in draft.sheets for table in sheet.tables):
        (plain if table.kind in LISTS else draft.headings).dress(table)
        table.headed = table.kind in LISTS or not draft.headings.removed
        _headings_again(table)


def _headings_again(table: Table) -> None:
    for row in table.rows:
        if row.kind == "heading":
            row.values = [column.heading for column in table.columns]
