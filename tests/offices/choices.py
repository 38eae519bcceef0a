"""What one office does, drawn at random: its shape, words, units, spellings and fault."""

from collections.abc import Callable
from random import Random

from tests.offices import extras
from tests.offices.design import Design
from tests.offices.devices import DEVICE_LISTS
from tests.offices.dice import USUAL, Dice, dice
from tests.offices.draft import Draft
from tests.offices.faults import FAULTS
from tests.offices.grow import grow
from tests.offices.headings import headings
from tests.offices.names import PULLS, RESPELLED, SPLICES, TAGS, Namer, alone, port_style, weighted
from tests.offices.shapes import Shape, shapes
from tests.offices.styles import drawn, length_style, power_style
from tests.offices.words import language

LANGUAGES = {"en": 10, "de": 4, "fr": 3, "es": 3, "nl": 3, "it": 3}
HEADINGS = {"the language's": 16, "technical": 2, "camel": 1, "snake": 1, "invented": 2, "none": 2}
SILENT = ("invented", "none")  # headings that say nothing
NO_FAULT = 0.6  # of the offices
WITHOUT_CABLES = frozenset(("loop", "unfed", "typo", "look-alike", "a length missing", "a power missing", ""))
TREES = (
    "Alder",
    "Ash",
    "Beech",
    "Birch",
    "Cedar",
    "Elm",
    "Fir",
    "Hazel",
    "Holly",
    "Larch",
    "Maple",
    "Oak",
    "Yew",
)
IN_ROWS = "in the rows"  # what stands for a device list where the shape has all that it would say


def draft_of(seed: int, only: str) -> Draft:
    """All sheets of the job, raw, before any habit lies over them.

    Parameters
    ----------
    only : `shape: NAME` for this shape; anything else is left to chance
    """
    plain = Random(f"office {seed}")
    custom = drawn(plain, {name: weight for name, (_, weight) in USUAL.items()})
    usual = USUAL[custom][0]
    rng = dice(f"choices {seed}", usual)
    shape = _shape(rng, only)
    tongue = drawn(plain, LANGUAGES)
    unit = "ft" if plain.random() < (0.75 if tongue == "en" else 0.1) else "m"
    tags = weighted(rng, {name: style for name, style in TAGS.items() if name not in shape.tags})
    devices = _device_list(rng, shape)
    pieces = devices in ("device list", "device lists by floor", "tags in ranges") and rng.seldom(0.25)
    fault = _fault(plain, shape, tags, devices)
    design = design_of(plain, shape, unit, namer(tongue, tags), fault, pieces)
    heads = headings(_heading_kind(rng, tongue, shape), dice(f"{seed}:headings", usual))
    known = heads.kind == tongue
    draft = Draft(
        seed=seed,
        design=design,
        language=tongue,
        words=language(tongue),
        headings=heads,
        usual=usual,
        ports=alone(rng) if not shape.needs_ports and rng.seldom(0.04) else port_style(rng, tongue),
        length_style=length_style(rng, unit, tongue, heads.removed, known, shape.plain_lengths),
        power_style=power_style(rng, tongue, heads.removed, known, _legend(design, shape, devices)),
        pull_style=rng.choice(list(PULLS)),
        quantities=pieces,
    )
    _respelling(rng, draft)
    draft.habits += [custom, *_names(draft, shape, devices, tags)]
    draft.write = lambda each: _write(each, shape, devices)
    draft.again = lambda other: design_of(other, shape, unit, namer(tongue, tags), "", pieces)
    draft.write(draft)
    return draft


def namer(tongue: str, tags: str) -> Namer:
    """Spells the tag of a device."""
    words, spelled = language(tongue), TAGS[tags][0]

    def name(kind: str, own: int, run: int, floor: int) -> str:
        word, prefix = words.KINDS[kind]
        turn, place = divmod(own - 1, len(TREES))
        called = TREES[place] + (f" {TREES[turn]}" if turn else "")
        return spelled(prefix, f"{called} {word.lower()}", own, run, floor)

    return name


def design_of(
    rng: Random, shape: Shape, unit: str, names: Namer, fault: str = "", pieces: bool = False
) -> Design:
    """A design that the shape can express."""
    forms = [form for form in shape.forms if not fault or form in FAULTS[fault].forms]
    return grow(
        rng,
        form=rng.choice(forms),
        unit=unit,
        namer=names,
        splice=rng.choice(SPLICES).format,
        fault=fault,
        cables_stated=fault not in WITHOUT_CABLES or rng.random() < 0.75,
        splices=shape.splices and rng.random() < 0.4,
        pieces=pieces and fault not in ("device-count", "power"),
    )


def _shape(rng: Random, only: str) -> Shape:
    every = shapes()
    chosen = rng.choices(every, [shape.weight for shape in every])[0]
    return next((shape for shape in every if only == f"shape: {shape.name}"), chosen)


def _device_list(rng: Random, shape: Shape) -> str:
    chosen = drawn(rng, {name: weight for name, (_, weight) in DEVICE_LISTS.items()})
    return IN_ROWS if shape.lists_devices else chosen


def _fault(rng: Random, shape: Shape, tags: str, devices: str) -> str:
    """A fault that the shape, the tags and the device list have a place for; mostly none."""
    usable = [name for name in sorted(shape.faults) if FAULTS[name].forms & set(shape.forms)]
    no_slip = {"Alder keypad": ("typo", "look-alike"), "K12": ("look-alike",)}  # no digits, or too few
    usable = [name for name in usable if name not in no_slip.get(tags, ())]
    if devices == "room matrix":  # its power stands by kind
        usable = [name for name in usable if name != "a power missing"]
    return "" if rng.random() < NO_FAULT else rng.choice(usable)


def _heading_kind(rng: Random, tongue: str, shape: Shape) -> str:
    """The kind of headings; those of the language where nothing but a heading says what the lengths are."""
    kind = drawn(rng, HEADINGS)
    silent = shape.needs_headings and kind in SILENT
    return tongue if kind == "the language's" or silent else kind


def _legend(design: Design, shape: Shape, devices: str) -> str:
    """Whether the power stands in a legend by type: "always", "may be" or "never"."""
    powers = {device.power_w for device in design.devices}
    if devices == "room matrix":
        return "always"
    return "never" if shape.lists_devices or None in powers or len(powers) == 1 else "may be"


def _respelling(rng: Dice, draft: Draft) -> None:
    name, wanted = rng.choice(list(RESPELLED)), rng.seldom(0.15)
    respell: Callable[[str], str] = RESPELLED[name]
    tags = [device.tag for device in draft.design.devices]
    spelled = {respell(tag) for tag in tags}
    if wanted and spelled != set(tags) and len(spelled) == len(tags):
        draft.respell = respell
        draft.habits.append(f"tags respelled: {name}")


def _names(draft: Draft, shape: Shape, devices: str, tags: str) -> list[str]:
    """The habits that were drawn."""
    design, ports, kind = draft.design, draft.ports, draft.headings.kind
    lengths, powers = draft.length_style, draft.power_style
    said = [
        f"shape: {shape.name}",
        f"devices: {devices}",
        f"language: {draft.language}",
        f"headings: {kind if kind != draft.language else 'in the language'}",
        f"ports: {ports.habit}",
        f"tags: {tags}",
        f"length unit: {lengths.where}",
        f"lengths in {lengths.unit}",
        f"power unit: {powers.where}",
        f"power in {powers.unit}" + ("" if powers.volts else ", no voltage"),
        f"fault: {design.fault or 'none'}",
        f"form: {design.form}",
    ]
    more = {
        "ports lettered": ports.lettered,
        "controllers lettered": ports.controllers_lettered,
        "quantities": draft.quantities,
        "splices": bool(design.splices),
        "decimal comma": lengths.comma or powers.comma,
        "no cable sheet": not design.cables_stated,
    }
    return [*said, *(name for name, there in more.items() if there)]


def _write(draft: Draft, shape: Shape, devices: str) -> None:
    rng = draft.rng("sheets")
    shape.write(draft)
    if devices in DEVICE_LISTS:
        DEVICE_LISTS[devices][0](draft)
        if rng.random() < 0.7:
            _devices_first(draft)
    if draft.power_style.where == "legend":
        extras.legend(draft)
    if draft.design.cables_stated:
        extras.cables(draft)
    if draft.design.splices and (draft.design.splices[0].startswith("X") or rng.random() < 0.5):
        extras.splices(draft)  # an X1 is known as a splice by a list only
        draft.habits.append("splices listed")
    one_list = shape.lists_devices and not draft.design.cables_stated and rng.random() < 0.6
    for name, share, write in (
        ("controllers sheet", 0.4, extras.controllers),
        ("reels left", 0.12, extras.reels),
    ):
        if rng.random() < share and not one_list:
            write(draft)
            draft.habits.append(name)


def _devices_first(draft: Draft) -> None:
    lists = [sheet for sheet in draft.sheets if sheet.tables[0].kind in ("devices", "matrix")]
    draft.sheets = [*lists, *(sheet for sheet in draft.sheets if sheet not in lists)]
