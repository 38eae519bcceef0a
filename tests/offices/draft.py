"""A workbook in the making: the design, the words and spellings of its office, and the sheets so far."""

from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random
from types import ModuleType

from tests.offices.book import Column, Sheet, Table
from tests.offices.design import Design, Device, End, Port, Pull
from tests.offices.headings import Headings
from tests.offices.names import PULLS, PortStyle, tight
from tests.offices.styles import LengthStyle, PowerStyle


@dataclass(slots=True, kw_only=True)
class Draft:
    seed: int
    design: Design
    language: str  # of all prose: titles, notes, kinds, rooms
    words: ModuleType
    headings: Headings
    ports: PortStyle
    length_style: LengthStyle
    power_style: PowerStyle
    usual: float = 0.0  # how far the office keeps to what is usual
    pull_style: str = "W001"
    respell: Callable[[str], str] = str  # how the pull list spells the device list's tags
    quantities: bool = False
    write: Callable[["Draft"], None] = field(default=lambda draft: None)  # all sheets of a job, raw
    again: Callable[[Random], Design | None] = field(default=lambda rng: None)  # one more design of its kind
    habits: list[str] = field(default_factory=list)
    asks: list[str] = field(default_factory=list)  # why even a careful human would have to ask
    sheets: list[Sheet] = field(default_factory=list)

    def rng(self, name: str) -> Random:
        """The dice of one habit: a habit more does not change what the others throw."""
        return Random(f"{self.seed}:{name}")

    # ------------------------------------------------------------------- words

    def say(self, key: str, **values: object) -> str:
        """A phrase of the office's language; the same one each time."""
        choices = self.words.SAYS[key].split("|")
        return self.rng(f"say {key}").choice(choices).format(**values)

    def says(self, key: str) -> list[str]:
        return self.words.SAYS[key].split("|")

    def room(self, device: Device) -> str:
        rooms = self.rng("rooms").sample(self.words.ROOMS.split("|"), k=len(self.words.ROOMS.split("|")))
        turn, place = divmod(device.room - 1, len(rooms))
        return rooms[place] if turn == 0 else f"{rooms[place]} {turn + 1}"

    def floor(self, number: int) -> str:
        return self.say("floor_name", n=number)

    def kind(self, device: Device) -> str:
        return self.words.KINDS[device.kind][0]

    def code(self, kind: str) -> str:
        """The legend's code for a kind of device."""
        place = list(self.words.KINDS).index(kind)
        return self.rng("codes").choice(
            ([f"T{place + 1}"], [self.words.KINDS[kind][1] + "-1"], ["ABCDEF"[place]])
        )[0]

    # ------------------------------------------------------------------- names

    def end(self, end: End) -> str:
        """An end as the pull list writes it."""
        return self.ports.full(end) if isinstance(end, Port) else self.tag(end)

    def tag(self, tag: str) -> str:
        """A tag as the pull list spells it; a joint keeps its own."""
        return tag if tag in self.design.splices else self.respell(tag)

    def pull_id(self, pull: Pull) -> str | int:
        return PULLS[self.pull_style](pull.number)

    def run_names(self) -> dict[Port, frozenset[str]]:
        """Tight spellings of each port's run, with the slot's where ports stand behind slots."""
        words = [word for role in ("slot", "port") for word in self.words.HEADINGS[role].split("|")]
        found = {}
        for port in self.design.ports:
            head, sign = self.ports.controller(port), self.ports.sign(port)
            more = {f"{head}{word}{sign}" for word in words}
            if self.tables("slot"):
                slots = ("", "s", "slot", *words)
                more |= {f"{head}{slot}{sign}{p}1" for slot in slots for p in ("", "p", "port", *words)}
            found[port] = self.ports.names(port) | {tight(name) for name in more}
        return found

    # ------------------------------------------------------------------- sheets

    def add(self, table: Table, name: str = "", title: bool = True) -> Sheet:
        """A sheet of its own for a table, with its title lines."""
        sheet = Sheet(name=self.free_name(name or self.sheet_name(table.kind)), tables=[table])
        if title:
            sheet.lines = self._title_lines(sheet.name)
        self.sheets.append(sheet)
        return sheet

    def sheet_name(self, kind: str) -> str:
        return self.rng(f"sheet {kind}").choice(self.words.SHEETS[kind].split("|"))

    def free_name(self, name: str) -> str:
        name = name.replace("/", "-").replace(":", "-").replace("[", "").replace("]", "")[:31].strip("' ")
        taken = {sheet.name.casefold() for sheet in self.sheets}
        number = 2
        free = name
        while free.casefold() in taken:
            free, number = f"{name[:27]} {number}", number + 1
        return free

    def _title_lines(self, name: str) -> list[list[object]]:
        rng = self.rng("title block")
        look = self.rng("title lines").choice(("none", "none", "one", "two", "block"))
        if look == "none":
            return []
        job = self.say("job")
        lines: list[list[object]] = [[f"{job} - {name}"]] if look != "two" else [[job], [self.say("title")]]
        if look == "block":
            lines += [
                [f"{self.say('project')}:", f"{rng.randint(2200, 2499)}"],
                [f"{self.say('drawn')}:", "R.M."],
            ]
            lines += [[f"{self.say('date')}:", f"{rng.randint(1, 28):02d}.{rng.randint(1, 12):02d}.2024"]]
        return [*lines, []]

    # ------------------------------------------------------------------- tables

    def tables(self, *roles: str) -> list[Table]:
        """Tables of the job that have all of these roles and count."""
        every = (table for sheet in self.sheets if sheet.of_job for table in sheet.tables)
        return [table for table in every if not table.void and table.has(*roles)]


def length_column(role: str = "length", **more: str) -> Column:
    return Column(role=role, unit="length", **more)
