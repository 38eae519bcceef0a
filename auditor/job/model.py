"""The job as its workbook states it: devices, pulls, cables, controllers, each value with its cell.

Quantities are metres, watts, volts and so on (see the suffixes). `None` is a value that the
workbook does not hold; a value that it holds and that could not be read is None too, and stands
in `unread` with its text and the reason.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum


@dataclass(frozen=True, slots=True, order=True)
class CellRef:
    """A cell of a workbook; row and column count from 1."""

    sheet: str
    row: int
    column: int

    @property
    def a1(self) -> str:
        """The cell's address as a spreadsheet writes it, e.g. `AB12`."""
        letters, rest = "", self.column
        while rest:
            rest, digit = divmod(rest - 1, 26)
            letters = chr(65 + digit) + letters
        return f"{letters}{self.row}"


Row = tuple[str, int]  # sheet and row


def row_of(where: CellRef | None) -> Row | None:
    """The row of a cell."""
    return (where.sheet, where.row) if where else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Unread:
    """A cell that holds something which could not be read as what its column says."""

    field: str  # the record's field, e.g. "length_m"
    text: str  # the cell's own text
    reason: str  # e.g. "a date where a length belongs"
    where: CellRef


class Load(StrEnum):
    """How a device's current follows its voltage."""

    CONSTANT_POWER = "constant-power"
    CONSTANT_CURRENT = "constant-current"
    RESISTIVE = "resistive"


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """One row of a device list: `quantity` equal devices at one place."""

    tag: str
    quantity: int = 1
    power_w: float | None = None  # active power of one device
    idle_w: float | None = None
    start_w: float | None = None  # drawn for a moment at switch-on
    at_voltage_v: float | None = None  # the voltage at which a current was stated
    load: Load | None = None  # None: as the profile says
    min_voltage_v: float | None = None
    room: str | None = None
    controller: str | None = None  # as the device list states them, where it does
    port: str | None = None
    asked: frozenset[str] = frozenset()  # fields that are blank because a question is open
    note: str | None = None
    where: CellRef
    cells: Mapping[str, CellRef] = field(default_factory=dict)  # field -> cell
    unread: tuple[Unread, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull:
    """One row of a pull schedule: a two-conductor cable between two ends.

    Ends are names: a device's tag, a splice's name, a port as `controller.port`, or a head end's
    name. `Job` says which is which; an end that is none of these is unknown.
    """

    id: str
    near: str  # the end as scheduled under "from"; not yet known to be nearer the port
    far: str
    length_m: float | None  # one way, as scheduled
    cable: str | None = None  # the cable type's name
    landed: bool = True  # False: a spare return, laid but not joined
    mains_parallel_m: float | None = None  # distance kept from parallel mains
    mains_crossing_deg: float | None = None
    loudspeaker_parallel: bool | None = None  # runs alongside loudspeaker cable
    pinned: bool = False  # a home run that must stay on the port where the schedule has it
    asked: frozenset[str] = frozenset()  # fields that are blank because a question is open
    room: str | None = None  # of the far end, as the schedule states it
    route: str | None = None
    note: str | None = None
    where: CellRef
    cells: Mapping[str, CellRef] = field(default_factory=dict)
    unread: tuple[Unread, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Cable:
    """One cable type. `None`: the workbook does not say."""

    name: str
    area_mm2: float | None = None  # of one conductor
    gauge: str | None = None  # as written, e.g. "16 AWG"
    conductors: int | None = None
    stranded: bool | None = None
    coated: bool | None = None  # tinned
    shielded: bool | None = None
    capacitance_nf_per_m: float | None = None
    insulation_v: float | None = None
    fire_rating: str | None = None  # as written: riser, plenum, or another mark
    ohm_per_km: float | None = None  # of one conductor at 20 degC, from the cable's own data sheet
    where: CellRef | None = None  # None: only named by pulls
    cells: Mapping[str, CellRef] = field(default_factory=dict)
    unread: tuple[Unread, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Controller:
    """One controller with its supply. `None`: as the profile says."""

    name: str
    head_end: str | None = None  # the place where it stands
    ports: int | None = None
    supply_voltage_v: float | None = None
    supply_power_w: float | None = None
    where: CellRef | None = None  # None: only named by port ends
    cells: Mapping[str, CellRef] = field(default_factory=dict)
    unread: tuple[Unread, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Reel:
    """A reel that can be bought, or one that lies on the shelf."""

    length_m: float | None
    cable: str | None = None  # None: any cable type
    price: float | None = None
    on_shelf: int | None = None  # None: to be bought, any number
    where: CellRef | None = None
    unread: tuple[Unread, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Port:
    """A pair of terminals, `controller.port`."""

    controller: str
    port: str
    written: str = field(default="", compare=False)  # as the schedule first spells it

    @property
    def name(self) -> str:
        return f"{self.controller}.{self.port}"

    @property
    def shown(self) -> str:
        """The port as people wrote it, for sentences."""
        return self.written or self.name


class TableKind(StrEnum):
    DEVICES = "devices"
    PULLS = "pulls"
    COMBINED = "combined"  # each device row says what it is fed from and over what length
    CABLES = "cables"
    CONTROLLERS = "controllers"
    REELS = "reels"
    LEGEND = "legend"  # what each kind of device draws
    SPLICES = "splices"
    LENGTHS = "lengths"  # the length of each cable by its number, its ends stand in another table


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table as it stands on a sheet: where our columns are written beside it."""

    kind: TableKind
    sheet: str
    header_row: int  # the lowest row of the heading
    first_row: int  # of the data
    last_row: int
    first_column: int
    last_column: int
    columns: Mapping[str, int] = field(default_factory=dict)  # field -> column
    rows: tuple[int, ...] = ()  # the rows read as records, in order
    joined_rows: tuple[int, ...] = ()  # rows that belong to a record above: the other cores of a cable
    plain_power_rows: frozenset[int] = frozenset()  # rows whose power and quantity are plain numbers
    power_w_per_unit: float = 1.0  # what a plain number in the power column is in watts


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One answer to a question."""

    answer: str
    leads_to: str  # how it is read then, in a clause
    tried: bool = True  # the workbook can be read with this answer
    reading: "Job | None" = None  # the job with this answer, where it was read so
    next_answer: str = (
        ""  # the likeliest answer to the question that the reading asks, where it asks nothing but one
    )
    next_reading: "Job | None" = None  # the job with both answers


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What a person must decide before the workbook can be read for sure."""

    id: str  # from what is asked and the names it is asked of: the same from run to run
    sentence: str
    choices: tuple[Choice, ...]  # two to five
    where: CellRef | None = None
    waits: bool = False  # the answer to another open question may settle it
    answer: str | None = None  # the answer that was obeyed


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """What the reader wants said: a row left out, a tag matched loosely, a hidden sheet read."""

    rule: str
    level: str  # "fail" | "review" | "note"
    subject: str
    message: str
    where: CellRef | None = None
    closes: bool = False  # nothing of the job is judged until it is answered
    question: Question | None = None  # an answer to it would settle the remark


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """What a cell beside the tables says of the job's rows, in words."""

    text: str
    scope: str  # what it holds for
    used: bool  # the job rests on it; False: nothing needed it
    where: CellRef
    more: int = 0  # further cells that say the same


@dataclass(frozen=True, slots=True, kw_only=True)
class TitleBlock:
    """Which job a workbook is of, as its labels say. `None`: the workbook does not say."""

    number: str | None = None  # of the job
    office: str | None = None
    drawn_by: str | None = None
    checked_by: str | None = None
    dated: str | None = None  # as written
    date: str | None = None  # ISO 8601, where it can be told
    revision: str | None = None
    status: str | None = None  # as written, e.g. "as built"


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One workbook's bus design."""

    name: str
    title_block: TitleBlock = field(default_factory=TitleBlock)
    devices: tuple[Device, ...] = ()
    pulls: tuple[Pull, ...] = ()
    cables: Mapping[str, Cable] = field(default_factory=dict)
    controllers: Mapping[str, Controller] = field(default_factory=dict)  # scheduled or named by a port end
    ports: Mapping[str, Port] = field(default_factory=dict)  # name -> port, of every port end
    head_ends: frozenset[str] = frozenset()  # ends that name a head end without a port
    open_ends: frozenset[str] = frozenset()  # ends whose feed a question asks for
    splices: frozenset[str] = frozenset()
    length_unit: str = "ft"  # the schedule's own, for messages: "ft" or "m"
    profile_name: str | None = None  # the profile that the workbook names
    reels: tuple[Reel, ...] = ()
    allowance_per_end_m: float | None = None  # for cutting, where the workbook states it
    waste: float | None = None  # for cutting, a fraction, where the workbook states it
    tables: tuple[Table, ...] = ()
    statements: tuple[Statement, ...] = ()
    remarks: tuple[Remark, ...] = ()
    questions: tuple[Question, ...] = ()  # those of the remarks, each once; first those that settle most
    answered: tuple[Question, ...] = ()  # those whose answers were obeyed
    rows_read: int = 0
    rows_left_out: int = 0
    part: str | None = None  # which job of a workbook that holds several

    def cell_of(self, row: Device | Pull, field: str) -> CellRef | None:
        """The cell of a row's field, also a blank one: that under the column which holds the field."""
        where = row.where
        under = (
            CellRef(where.sheet, where.row, table.columns[field])
            for table in self.tables
            if table.sheet == where.sheet
            and table.first_row <= where.row <= table.last_row
            and field in table.columns
        )
        return row.cells.get(field) or next(under, None)


def known_power_w(devices: Iterable[Device]) -> float:
    """What devices draw together [W]; one whose power is not stated counts as 0."""
    return sum(device.quantity * (device.power_w or 0.0) for device in devices)


def natural_key(name: str) -> tuple[tuple[int, int | str], ...]:
    """Sort key under which `C2` stands before `C10`."""
    parts = re.split(r"(\d+)", name.casefold())
    return tuple((0, int(part)) if part.isdecimal() else (1, part) for part in parts if part)
