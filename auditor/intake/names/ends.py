"""Ends as people write them: devices, ports, head ends and splices.

A listed name counts first. What is listed nowhere is learned from the graph of the rows: an end that
only feeds is a root, and roots that share a stem and differ by a last part are ports of one controller.
What stays in doubt is asked; what matches nothing stays as typed.
"""

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache

from auditor.intake.grammar.numbers import plain
from auditor.intake.names.ports import Spelled, as_words, by_stem, port_alone, port_number, spelled
from auditor.intake.names.spelling import first_word, letters_of, likeness, spelling
from auditor.intake.words import without_accents, word_list
from auditor.job.model import CellRef, Port, Remark

MAX_NAME = 120  # characters; a longer text names no end
LEAST_ALIKE = 4  # characters of a name that a slip of the pen can be seen in; project convention
LOCAL = "PORT"  # the controller of ports that are named without one

_LOOSER: tuple[tuple[str, Callable[[str], str]], ...] = (
    ("case, blanks, dashes or leading zeros", spelling),
    ("characters that look alike", likeness),
    ("words after the tag", first_word),
)


@cache
def _named_by(kind: str) -> re.Pattern[str]:
    """A name that begins with a word of a kind: `MAIN PANEL`, `RACK 1`, `C1`, `JB-2`."""
    number = r"(?:[\s#.\-_]*(?:\d{1,4}[a-z]?|[a-z]))?"
    before = r"(?:[^\W\d_]+[\s\-]+){0,2}"
    words = frozenset(word for word in word_list(kind) if len(word) > 2)
    return re.compile(rf"{before}(?:{as_words(words)}){number}", re.IGNORECASE)


_SHORT_CONTROLLER = re.compile(
    r"(?:c|ct|ctl|ctrl|cu|cp|con|contr|psu|ps)[\s.#-]*\d{1,4}[a-z]?", re.IGNORECASE
)
_BEHIND = re.compile(r"[\s\-_.,:;/(]+(?:[^\W\d_]{1,12}[\s.\-]*)?(?P<port>\d{1,2}|[a-h])\)?", re.IGNORECASE)
_NUMBERED = re.compile(r"(\d{1,3})\s*[.:/\-]\s*(\d{1,2})")
_SHORT_SPLICE = re.compile(r"(?:spl?|jb|j|t|abz)[\s.#-]*\d{1,4}[a-z]?", re.IGNORECASE)


def is_controller(name: str) -> bool:
    return bool(_SHORT_CONTROLLER.fullmatch(name) or _named_by("controller").fullmatch(without_accents(name)))


def is_head_end(name: str) -> bool:
    return bool(_named_by("head_end").fullmatch(without_accents(name)))


def _in_a_head_end(title: str) -> bool:
    """A controller behind the head end it hangs in: `IDF-1 CTRL 1`."""
    words = title.split()
    cuts = range(1, len(words))
    return any(is_head_end(" ".join(words[:cut])) and is_controller(" ".join(words[cut:])) for cut in cuts)


def is_splice(name: str) -> bool:
    bare = without_accents(plain(name))
    words = re.search(rf"\b(?:{as_words(word_list('splice'))})\b", bare, re.IGNORECASE)
    return bool(_SHORT_SPLICE.fullmatch(bare) or words)


@dataclass(slots=True)
class _Seen:
    """How often an end stands on either side of the pulls."""

    feeds: int = 0
    fed: int = 0


@dataclass(slots=True)
class Ends:
    """Which end is what."""

    tags: frozenset[str]
    controllers: Mapping[str, int | None]  # known controllers -> their ports, where stated
    places: frozenset[str]  # head ends that the controller sheet names
    boxes: frozenset[str] = frozenset()  # splices that a list names
    joints: frozenset[str] = frozenset()  # splices that an answer names, as they are typed
    ports: dict[str, Port] = field(default_factory=dict)
    head_ends: dict[str, str] = field(default_factory=dict)  # spelling -> the name first used
    splices: dict[str, str] = field(default_factory=dict)
    remarks: list[Remark] = field(default_factory=list)
    asked: dict[str, str] = field(default_factory=dict)  # root in doubt -> why
    unlisted: tuple[str, ...] = ()  # controllers that no list has, where one has others
    _known: dict[str | None, dict[str, str]] = field(default_factory=dict)
    _loose: list[dict[str, list[str]]] = field(default_factory=list)
    _controller_of: dict[str, str] = field(default_factory=dict)
    _places: dict[str, str] = field(default_factory=dict)
    _boxes: dict[str, str] = field(default_factory=dict)
    _learned: dict[str, Spelled] = field(default_factory=dict)  # text -> the port it was learned to be
    _roots: set[str] = field(default_factory=set)  # texts learned to be head ends without a port

    def __post_init__(self) -> None:
        self._controller_of = {spelling(name): name for name in self.controllers}
        self._places = {spelling(place): place for place in self.places}
        self._boxes = {spelling(box): box for box in self.boxes}

    def known(self, home: str | None = None) -> dict[str, str]:
        """text -> name, of all ends read so far at one controller (None: at none)."""
        found = self._known.get(home)
        if found is None:
            found = self._known[home] = {"": "", **{tag: tag for tag in self.tags}}
        return found

    def home(self, title: str) -> str | None:
        """The controller that a sheet's title names, if it names one."""
        listed = self._controller_of.get(spelling(title))
        named = is_controller(title) or is_head_end(title) or _in_a_head_end(title)
        if listed or not named or not re.search(r"\d|[\s\-_][a-z]$", title, re.IGNORECASE):
            return listed
        return title

    def name(self, text: str, where: Callable[[], CellRef], home: str | None = None) -> str:
        """The end's name in the job: a tag, `controller.port`, a head end, a splice, or as typed."""
        name, said = self._read(text, home)
        if said:
            self.remarks.append(
                Remark(rule="unknown-end", level="note", subject=name, message=said, where=where())
            )
        self.known(home)[text] = name
        return name

    def port(self, controller: str, port: str, written: str = "") -> str:
        """The name of a port that is known to be one.

        Parameters
        ----------
        written : as the schedule spells it, controller and port
        """
        whole = Port(controller=controller, port=port, written=written)
        self.ports.setdefault(whole.name, whole)
        return whole.name

    def head_end_names(self) -> frozenset[str]:
        return frozenset(self.head_ends.values())

    def listed_controller(self, name: str) -> str:
        """The controller's name as it was first written."""
        return self._controller_of.setdefault(spelling(name), name)

    def same_controller(self, name: str, listed: str) -> None:
        """From now on a name that no list has is read as a listed controller."""
        self._controller_of[spelling(name)] = listed

    def is_device(self, text: str) -> bool:
        """Whether the device lists or the lists of splices name this end, however it is spelled."""
        return text in self.tags or spelling(text) in self._boxes or self._device(text) is not None

    def listed_as(self, text: str) -> str | None:
        """The tag of the device that this end is, however it is spelled."""
        return next(iter(self._device(text) or ()), None)

    def is_box(self, text: str) -> bool:
        """Whether a list of splices names this end."""
        return spelling(text) in self._boxes

    def is_listed(self, text: str) -> bool:
        """Whether a list names this end, however it is spelled."""
        key = spelling(text)
        return (
            text in self.tags
            or key in self._controller_of
            or key in self._places
            or key in self._boxes
            or self._device(text) is not None
        )

    # ---------------------------------------------------------------------------------- the graph

    def learn(self, pulls: Iterable[tuple[str, str, str | None]]) -> None:
        """Learn ports and head ends from all pulls as they are typed: (near, far, home of the row)."""
        seen: dict[str, _Seen] = defaultdict(_Seen)
        pulls = list(pulls)
        for near, far, home in pulls:
            for text, side in ((near, "feeds"), (far, "fed")):
                if text and not (home and port_alone(text)):
                    setattr(seen[text], side, getattr(seen[text], side) + 1)
        open_ = {t: s for t, s in seen.items() if len(t) <= MAX_NAME and not self.is_listed(t)}
        settled = self._learn_worded(open_)
        lit = self._lit(pulls, settled)
        roots = {
            t: s
            for t, s in open_.items()
            if t not in settled
            and t not in lit
            and not is_splice(t)
            and (not s.fed or bool(spelled(t)))
            and _feeds(s)
        }
        if (
            not settled and not roots and not any(map(_has_port, pulls))
        ):  # every pull written towards the port
            roots = {
                t: s
                for t, s in open_.items()
                if not s.feeds and s.fed and not is_splice(t) and not self.like_a_tag(t, t)
            }
            roots = roots if len(roots) == 1 else {}
        elsewhere = (len(roots) > 1 or not settled) and self._numbered_as_listed(roots)
        self._learn_by_stem(roots, not elsewhere and bool(settled or self.controllers))
        if self.controllers:
            named = {option.controller for option in self._learned.values()}
            self.unlisted = tuple(sorted(name for name in named if self._listed(name)[0] is None))
        self._learn_head_ends({t: s for t, s in roots.items() if t not in self._learned})

    def _lit(self, pulls: Iterable[tuple[str, str, str | None]], settled: set[str]) -> set[str]:
        """All ends of the pieces that a known port feeds already: nothing in them is a root."""
        parent: dict[str, str] = {}

        def top(name: str) -> str:
            parent.setdefault(name, name)
            while parent[name] != name:
                parent[name] = parent[parent[name]]
                name = parent[name]
            return name

        ports = set()
        for near, far, home in pulls:
            ends = [self._key(near, home), self._key(far, home)]
            ports |= {
                end
                for end, text in zip(ends, (near, far), strict=True)
                if text in settled or (home and port_alone(text))
            }
            if all(ends):
                parent[top(ends[0])] = top(ends[1])
        fed = {top(port) for port in ports if port}
        return {
            text
            for near, far, home in pulls
            for text in (near, far)
            if text and top(self._key(text, home)) in fed
        }

    def _key(self, text: str, home: str | None) -> str:
        return f"{home}\0{text}" if home and text and port_alone(text) else spelling(text) if text else ""

    def _learn_worded(self, seen: Mapping[str, _Seen]) -> set[str]:
        """Ends that are ports by their words, or by the controller that they name."""
        settled = set()
        for text in seen:
            for option in self._spelled(text):
                listed = self._listed(option.controller)[0]
                by_word = option.worded and not self._is_tag(option.controller)
                if listed or by_word or is_controller(option.controller):
                    self._learned[text] = option
                    settled.add(text)
                    break
        return settled

    def _learn_by_stem(self, roots: Mapping[str, _Seen], others: bool) -> None:
        """Roots that share a stem, or that are of one form where nothing else is a port."""
        groups: dict[str, list[tuple[str, Spelled]]] = defaultdict(list)
        for text in roots:
            option = next((o for o in spelled(text) if not self.like_a_tag(o.controller, text)), None)
            option = option or self._by_stem(text, roots)
            if option is not None:
                groups[spelling(option.controller)].append((text, option))
        learned = {spelling(option.controller) for option in self._learned.values()}
        for stem, members in groups.items():
            if stem in learned or not others:
                self._learned |= dict(members)
            else:
                for text, _ in members:
                    self.asked[text] = text
                    self._roots.add(text)

    def _numbered_as_listed(self, roots: Iterable[str]) -> bool:
        """Whether all roots are ports of controllers named as the listed ones but for their number: the list is of
        another building, `CPU-1`, and the pulls start at `CPU-5.1`."""
        forms = {re.sub(r"\d+", "9", spelling(name)) for name in self.controllers}
        stems = [{re.sub(r"\d+", "9", spelling(o.controller)) for o in spelled(text)} for text in roots]
        return bool(stems) and all(own & forms for own in stems)

    def _by_stem(self, text: str, roots: Iterable[str]) -> Spelled | None:
        """A root as a port of the controller that its stem names by a word, or that other roots share."""
        own = by_stem(text)
        if own is None or self.like_a_tag(own.controller, text):
            return None
        others = [o for root in roots if (o := by_stem(root)) is not None]
        stems = Counter(spelling(o.controller) for o in others)
        form = _form(own.controller)
        shared = any(stems[spelling(o.controller)] > 1 and _form(o.controller) == form for o in others)
        return own if shared or is_controller(plain(own.controller)) else None

    def _learn_head_ends(self, roots: Mapping[str, _Seen]) -> None:
        """Roots without a port of their own: a rack, a panel, or the only one there is."""
        named = [
            t
            for t in roots
            if (is_head_end(plain(t)) or is_controller(plain(t))) and not self.like_a_tag(t, t)
        ]
        plain_roots = [t for t in roots if t not in named and not self.like_a_tag(t, t)]
        self._roots.update(named)
        if not self._learned and not named and not self.controllers and len(plain_roots) == 1:
            self._roots.update(plain_roots)

    def like_a_tag(self, stem: str, text: str) -> bool:
        """Whether the listed tags begin with the same letters and are as long."""
        letters, numbers = letters_of(stem), len(re.findall(r"\d+", text))
        return bool(letters) and any(
            letters_of(tag) == letters and len(re.findall(r"\d+", tag)) == numbers for tag in self.tags
        )

    def _is_tag(self, name: str) -> bool:
        return name in self.tags or self._device(name) is not None

    # ---------------------------------------------------------------------------------- one end

    def _read(self, text: str, home: str | None) -> tuple[str, str]:  # noqa: PLR0911
        if len(text) > MAX_NAME:
            return text, ""
        key = spelling(text)
        if key in self._controller_of or key in self._places:
            listed = self._controller_of.get(key) or self._places[key]
            return self.head_ends.setdefault(key, listed), ""
        if key in self._boxes:
            return self.splices.setdefault(key, self._boxes[key]), ""
        if text in self.joints:
            return self.splices.setdefault(text, text), ""
        port, said = self._port(text, home)
        if port is not None:
            return self.port(port.controller, port.port, "" if port_alone(text) else text), said
        if text in self._roots:
            return self.head_ends.setdefault(key, text), ""
        device = self._device(text)
        if device is not None:
            tag, how = device
            return tag, f"{text!r} is read as {tag}: only {how} differ; write the tag as in the device list"
        bare = plain(text)
        if (is_head_end(bare) or is_controller(bare)) and not self.like_a_tag(bare, bare):
            return self.head_ends.setdefault(key, text), ""
        if is_splice(bare) and not self._slips_from_tag(bare):
            return self.splices.setdefault(key, text), ""
        return text, ""

    def _slips_from_tag(self, text: str) -> bool:
        """Whether a short name of a splice is named as the listed tags are, or one slip away from one: `T1O` beside
        `T10`, `T200` beside `T20`, `T21`."""
        key = likeness(text)
        short = _SHORT_SPLICE.fullmatch(text) is not None
        return any(likeness(tag) == key for tag in self.tags) or (short and self.like_a_tag(text, text))

    def _port(self, text: str, home: str | None = None) -> tuple[Port | None, str]:
        """A port end: of a listed controller, of the row's own, or one that was learned."""
        alone = port_alone(text)
        if alone is not None and (home is not None or alone.worded) and not self._is_listed_tag(text, alone):
            return Port(controller=home or LOCAL, port=alone.port), ""
        for option in self._spelled(text):
            listed, said = self._listed(option.controller)
            if listed is not None:
                return Port(controller=listed, port=option.port), said
        option_learned = self._learned.get(text)
        if option_learned is None:
            return None, ""
        return Port(
            controller=self.listed_controller(option_learned.controller), port=option_learned.port
        ), ""

    def _is_listed_tag(self, text: str, port: Spelled) -> bool:
        """Whether a worded port is a listed tag in another spelling: `p10` is the device P10."""
        return port.worded and spelling(text) in self._by_spelling()

    def _spelled(self, text: str) -> Iterable[Spelled]:
        """The ways in which a text may name a port, also behind a listed controller: `Q1 usc. 1`."""
        yield from self._numbered(text)
        yield from spelled(text)
        bare = plain(text)
        for name, ports in () if text in self.tags else self.controllers.items():
            behind = bare[len(name) :] if bare[: len(name)].casefold() == name.casefold() else ""
            match = _BEHIND.fullmatch(behind)
            if match and (any(map(str.isdigit, name)) or _one_of(match["port"], ports)):
                yield Spelled(name, port_number(match["port"]), False)

    def _numbered(self, text: str) -> list[Spelled]:
        """`1.2` is port 2 of the controller 1, where a list names a controller 1."""
        match = _NUMBERED.fullmatch(plain(text))
        if match is None or text in self.tags or spelling(match[1]) not in self._controller_of:
            return []
        return [Spelled(match[1], port_number(match[2]), False)]

    def _listed(self, name: str) -> tuple[str | None, str]:
        """The controller that a name means, and what to say of it: `Controller 1` where only C1 is listed."""
        known = self._controller_of.get(spelling(name))
        number = re.search(r"(\d+)$", name)
        if known is not None or number is None or not is_controller(name):
            return known, ""
        same = [listed for listed in self.controllers if re.search(rf"(?<!\d)0*{int(number[1])}$", listed)]
        if len(same) != 1:
            return None, ""
        return same[0], f"{name!r} is read as the controller {same[0]}, the only one with this number"

    def _by_spelling(self) -> dict[str, list[str]]:
        """Spelling -> the listed tags that have it."""
        self._device("")  # fills the tables
        return self._loose[0]

    def _device(self, text: str) -> tuple[str, str] | None:
        if text in self.joints:
            return None
        if not self._loose:
            for _, key in _LOOSER[:2]:
                table: dict[str, list[str]] = defaultdict(list)
                for tag in self.tags:
                    table[key(tag)].append(tag)
                self._loose.append(table)
            self._loose.append(self._loose[0])
        for (how, key), table in zip(_LOOSER, self._loose, strict=True):
            key_of_text = key(text)
            if key is likeness and len(key_of_text) < LEAST_ALIKE and text.isascii():
                continue
            found = [
                tag for tag in table.get(key_of_text, []) if key is not likeness or _of_one_look(text, tag)
            ]
            if len(found) == 1 and not (key is first_word and self._names_more(text)):
                return found[0], how
            if found:
                return None
        return None

    def _names_more(self, text: str) -> bool:
        """Whether another listed tag stands behind the first one: `KP-1 / KP-2` is not KP-1."""
        parts = [spelling(part) for part in re.split(r"[\s/,;+&|]+", text) if part]
        return sum(part in self._by_spelling() for part in parts) > 1


def _form(name: str) -> str:
    """A name's first word with its other letters and numbers as one each: `CU-WL` and `CU-HR` are of one form."""
    first, mark, rest = re.match(r"([^\W\d_]*)([\W_]*)(.*)", name).groups()  # type: ignore[union-attr]
    return (
        first + mark + re.sub(r"[^\W\d_]+", "A", re.sub(r"\d+", "9", rest))
        if mark
        else re.sub(r"\d+", "9", name)
    )


def _one_of(port: str, ports: int | None) -> bool:
    """Whether a port's number is one of those that a list counts at its controller: `DOME:2` of 2."""
    return port.isdigit() and 1 <= int(port) <= (ports or 0)


def _of_one_look(text: str, tag: str) -> bool:
    """Whether two names differ only by letters of another alphabet; an O for a nought is a slip to be asked about."""
    return not (text.isascii() and tag.isascii())


def _has_port(pull: tuple[str, str, str | None]) -> bool:
    """Whether a pull's port is known by its sheet or by a terminal, which leaves its end blank."""
    near, far, home = pull
    return not (near and far) or bool(home and (port_alone(near) or port_alone(far)))


def _feeds(seen: _Seen) -> bool:
    """An end that feeds and is not fed, but for a spare return or a home run written from its device."""
    return seen.feeds > 0 and seen.fed <= 1


def device_port(controller: str | None, port: str | None, ends: Ends) -> tuple[str | None, str | None]:
    """A row's own controller and port, as names: `C1` and `2`, or `C1.2` in either column."""
    for text in (port, controller):
        alone = port_alone(text) if text else None
        whole = ends._port(text)[0] if text and alone is None else None
        if whole is None and text and alone is None:
            option = next((o for o in spelled(text) if o.worded or is_controller(o.controller)), None)
            whole = Port(controller=option.controller, port=option.port) if option else None
        if whole is not None:
            return ends.listed_controller(whole.controller), whole.port
    number = port_alone(port) if port else None
    known = controller and (number or ends.is_listed(controller) or is_controller(controller))
    name = ends.listed_controller(controller) if controller and known else None
    return name, (number.port if number else port_number(port) if port and len(port) <= 2 else port)
