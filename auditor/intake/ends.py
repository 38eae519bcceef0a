"""Ends as people write them: devices, ports, head ends and splices.

A device is matched exactly first. Only then, and only where exactly one device is left, by a looser
spelling; that is always said. What matches nothing stays as typed.
"""

import re
import unicodedata
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from auditor.intake.numbers import plain
from auditor.job.model import CellRef, Port, Remark

MAX_NAME = 120  # characters; a longer text names no end

_WORDS_PORT = r"(?:port|prt|pt|p|output|out|terminals?|anschluss|sortie|salida|puerto|ausgang)"
_PORT_AFTER = re.compile(
    rf"(?P<name>.+?)(?P<mark>\s*[.:/,\-]\s*|\s+|(?<=\d)(?=p)){_WORDS_PORT}?(?P<gap>[\s.#-]*)(?P<port>\d{{1,2}}|[a-d])",
    re.IGNORECASE,
)
_PORT_WORD_AFTER = re.compile(
    rf"(?P<name>.+?)\s*[.:/,\-]?\s*{_WORDS_PORT}[\s.#-]*(?P<port>\d{{1,2}}|[a-d])", re.IGNORECASE
)
_PORT_BEFORE = re.compile(
    rf"{_WORDS_PORT}\s*(?P<port>\d{{1,2}}|[a-d])\s+(?:of|on|at|an|von|de|du|del)\s+(?P<name>.+)",
    re.IGNORECASE,
)
_PORT_ALONE = re.compile(rf"(?:{_WORDS_PORT}[\s.#-]*)?(?P<port>\d{{1,2}}|[a-d])", re.IGNORECASE)
_CONTROLLER_NAME = re.compile(
    r"(?:c|ct|ctl|ctrl|cu|cp|con|controller|control|contr|panel|psu|ps|zentrale|steuerung|contrôleur|controlador)[\s.#-]*\d{1,4}[a-z]?",
    re.IGNORECASE,
)
_PLAIN_NAME = re.compile(r"[A-Za-z]{1,4}[\s-]?\d{1,4}")
_HEAD_END = re.compile(
    r"(?:main\s+|lighting\s+|control\s+|bus\s+)*(?:panel|head[\s-]*end|rack|cabinet|enclosure|m\.?d\.?f\.?|i\.?d\.?f\.?|equipment\s+room|"
    r"comms\s+room|controllers?|verteiler|schaltschrank|schrank|zentrale|tableau|baie|armoire|cuadro|armario|cabecera|tête\s+de\s+réseau)"
    r"(?:[\s#.-]*\w{1,3})?",
    re.IGNORECASE,
)
_SPLICE = re.compile(
    r"(?:.*\b(?:splice|joint|junction|j[\s-]?box|jbox|tee|t[\s-]?tap|wye|muffe|abzweigdose|abzweig|verbinder|dose|épissure|dérivation|"
    r"boîte|empalme|derivación|caja)\b.*|(?:spl?|jb|j|t|abz)[\s.#-]*\d{1,4}[a-z]?)",
    re.IGNORECASE,
)
_LOOKALIKES = str.maketrans({"o": "0", "l": "1", "i": "1", "|": "1"})
_MAY_LOOK_ALIKE = re.compile(r"[^\n!-~]|[oil|\-_.,/]|(?<!\d)0", re.IGNORECASE)
_FOREIGN = str.maketrans("авеԁкмнорстухігԛѕјӏοаеорсух", "abedkmhopctyxirqsjloaeopcyx")


def spelling(text: str) -> str:
    """A name without case, spaces, dashes and leading zeros: `k-07` and `K7` are one."""
    return re.sub(r"(?<!\d)0+(?=\d)", "", _bare(plain(text).casefold()))


def likeness(text: str) -> str:
    """A name in which characters that look alike are one: O and 0, l and 1, А and A."""
    if text.isascii() and text.isalnum():
        key = text.lower().translate(_LOOKALIKES)
        return re.sub(r"(?<!\d)0+(?=\d)", "", key) if "0" in key else key
    text = unicodedata.normalize("NFKD", plain(text).casefold())
    text = "".join(c for c in text if not unicodedata.combining(c))
    return re.sub(r"(?<!\d)0+(?=\d)", "", _bare(text).translate(_FOREIGN).translate(_LOOKALIKES))


def _bare(text: str) -> str:
    """Without separators; between two digits they stay, since 1-1 is not 11."""
    text = re.sub(r"\s+", "", text)
    return re.sub(r"[\-_.,/]+", "", re.sub(r"(?<=\d)[\-_.,/]+(?=\d)", "~", text))


def first_word(text: str) -> str:
    """A name without what follows it: `K7 (north wall)`, `K7 - kitchen`."""
    return spelling(re.split(r"\s*[(\[,;:]|\s+-\s+|\s{1,}", plain(text), maxsplit=1)[0])


_LOOSER: tuple[tuple[str, Callable[[str], str]], ...] = (
    ("case, blanks, dashes or leading zeros", spelling),
    ("characters that look alike", likeness),
    ("words after the tag", first_word),
)


@dataclass(slots=True)
class Ends:
    """Which end is what; grows as ends are read."""

    tags: frozenset[str]
    controllers: Mapping[str, int | None]  # known controllers -> their ports, where stated
    places: frozenset[str]  # head ends that the controller sheet names
    ports: dict[str, Port] = field(default_factory=dict)
    head_ends: dict[str, str] = field(default_factory=dict)  # spelling -> the name first used
    splices: dict[str, str] = field(default_factory=dict)
    remarks: list[Remark] = field(default_factory=list)
    _known: dict[str | None, dict[str, str]] = field(default_factory=dict)
    _loose: list[dict[str, list[str]]] = field(default_factory=list)
    _controller_of: dict[str, str] = field(default_factory=dict)
    _places: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._controller_of = {spelling(name): name for name in self.controllers}
        self._places = {spelling(place): place for place in self.places}

    def known(self, home: str | None = None) -> dict[str, str]:
        """text -> name, of all ends read so far on sheets of one controller (None: of no one)."""
        found = self._known.get(home)
        if found is None:
            found = self._known[home] = {"": "", **{tag: tag for tag in self.tags}}
        return found

    def home(self, title: str) -> str | None:
        """The controller that a sheet's title names, if it names one."""
        listed = self._controller_of.get(spelling(title))
        if listed or _CONTROLLER_NAME.fullmatch(title) is None or title.casefold().startswith("panel"):
            return listed
        return title

    def name(self, text: str, where: Callable[[], CellRef], home: str | None = None) -> str:
        """The end's name in the job: a tag, `controller.port`, a head end, a splice, or as typed."""
        name, said = self._read(text, home)
        if said:
            self.remarks.append(
                Remark(rule="unknown-end", level="note", subject=name, message=said, where=where())
            )
        else:
            self.known(home)[text] = name
        return name

    def port(self, controller: str, port: str) -> str:
        """The name of a port that is known to be one."""
        whole = Port(controller=controller, port=port)
        self.ports.setdefault(whole.name, whole)
        return whole.name

    def _read(self, text: str, home: str | None) -> tuple[str, str]:
        if len(text) > MAX_NAME:
            return text, ""
        port, said = self._port(text, home)
        if port is not None:
            return self.port(port.controller, port.port), said
        key = spelling(text)
        if key in self._controller_of or key in self._places:
            listed = self._controller_of.get(key) or self._places[key]
            return self.head_ends.setdefault(key, listed), ""
        device = self._device(text)
        if device is not None:
            tag, how = device
            return tag, f"{text!r} is read as {tag}: only {how} differ; write the tag as in the device list"
        bare = plain(text)
        for known, form in (
            (self.head_ends, _HEAD_END),
            (self.splices, _SPLICE),
            (self.head_ends, _CONTROLLER_NAME),
        ):
            if form.fullmatch(bare):
                return known.setdefault(key, text), ""
        return text, ""

    def _port(self, text: str, home: str | None = None) -> tuple[Port | None, str]:
        """A port end. Of an unlisted controller only where the name is a controller's by its form."""
        bare = plain(text)
        if home is not None and (match := _PORT_ALONE.fullmatch(bare)):
            return Port(controller=home, port=_port_number(match["port"])), ""
        for pattern, worded in ((_PORT_BEFORE, True), (_PORT_WORD_AFTER, True), (_PORT_AFTER, False)):
            match = pattern.fullmatch(bare)
            if match is None:
                continue
            name = match["name"].strip(" .,:/-")
            listed, said = self._listed(name)
            separated = worded or match["mark"].strip() != "" or listed is not None
            by_form = _CONTROLLER_NAME.fullmatch(name) and separated
            if (
                listed is None
                and not by_form
                and not (match.groupdict().get("mark") == "." and self._dotted(name))
            ):
                continue
            controller = listed or self._controller_of.setdefault(spelling(name), name)
            return Port(controller=controller, port=_port_number(match["port"])), said
        return None, ""

    def _dotted(self, name: str) -> bool:
        """Whether `L1` of `L1.2` may be a controller that is listed nowhere: no controller is listed,
        no device has this name, and the tags themselves are not written with dots."""
        if self.controllers or _SPLICE.fullmatch(name) or not _PLAIN_NAME.fullmatch(name):
            return False
        if self._device(name) is not None or name in self.tags:
            return False
        return not any("." in tag for tag in self.tags)

    def _listed(self, name: str) -> tuple[str | None, str]:
        """The controller that a name means, and what to say of it: `Controller 1` where only C1 is listed."""
        known = self._controller_of.get(spelling(name))
        number = re.search(r"(\d+)$", name)
        if known is not None or number is None or not _CONTROLLER_NAME.fullmatch(name):
            return known, ""
        same = [listed for listed in self.controllers if re.search(rf"(?<!\d)0*{int(number[1])}$", listed)]
        if len(same) != 1:
            return None, ""
        return same[0], f"{name!r} is read as the controller {same[0]}, the only one with this number"

    def _device(self, text: str) -> tuple[str, str] | None:
        if not self._loose:
            for _, key in _LOOSER[:2]:
                table: dict[str, list[str]] = defaultdict(list)
                for tag in self.tags:
                    table[key(tag)].append(tag)
                self._loose.append(table)
            self._loose.append(self._loose[0])
        for (how, key), table in zip(_LOOSER, self._loose, strict=True):
            found = table.get(key(text), [])
            if len(found) == 1:
                return found[0], how
            if found:
                return None
        return None


def _port_number(text: str) -> str:
    return text.upper().lstrip("0") or "0"


def device_port(controller: str | None, port: str | None, ends: Ends) -> tuple[str | None, str | None]:
    """A device row's own controller and port, as names: `C1` and `2`, or `C1.2` in either column."""
    for text in (port, controller):
        whole = ends._port(text)[0] if text else None
        if whole is not None:
            return whole.controller, whole.port
    number = _PORT_ALONE.fullmatch(plain(port)) if port else None
    name = ends._controller_of.get(spelling(controller), controller) if controller else None
    return name, (_port_number(number["port"]) if number else port)


def lookalikes(tags: Iterable[str]) -> list[tuple[str, str]]:
    """Pairs of different tags that are probably the same."""
    tags = list(tags)
    if not _MAY_LOOK_ALIKE.search("\n".join(tags)) and len({tag.lower() for tag in tags}) == len(set(tags)):
        return []
    seen: dict[str, str] = {}
    pairs = []
    for tag in tags:
        key = likeness(tag)
        first = seen.setdefault(key, tag)
        if first != tag:
            pairs.append((first, tag))
    return pairs
