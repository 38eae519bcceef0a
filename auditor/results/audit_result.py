"""The result of one job: its verdict, its findings and its figures, each in the project's own unit."""

from dataclasses import dataclass, field, replace
from enum import StrEnum

from auditor.job.answers import Answer
from auditor.job.model import CellRef, Statement, Table, TitleBlock
from auditor.results.findings import Finding, Verdict


class Status(StrEnum):
    """What is known of a plan."""

    PROVEN = "proven"
    BEST_FOUND = "best-found"
    IMPOSSIBLE = "impossible"


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitsResult:
    cable_m: float | None
    reach_m: float | None
    devices: int | None
    power_w: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RunResult:
    """One run: everything joined to one port, or one branch without a port."""

    controller: str | None
    port: str | None  # None: an unassigned branch, with its first pull in `branch`
    branch: str | None
    head_end: str | None = None  # where an unassigned branch starts, as the schedule names it
    cable_m: float | None
    reach_m: float | None
    farthest: str | None
    devices: int
    power_w: float | None
    current_a: float | None
    min_voltage_v: float | None
    min_voltage_at: str | None
    loss_w: float | None
    supplied_w: float | None = None  # what its ports give: source volts times current, loss and all
    capacitance_nf: float | None
    loops: int
    derated: bool | None  # None: cannot be judged, a cable's properties are unknown
    growth_margin: float | None
    first_limit: str | None
    lowest_known: bool = (
        True  # a device says what voltage it needs; else only collapse is judged; not recorded
    )
    verdict: Verdict
    source_voltage_v: float | None = None
    idle_power_w: float | None = None  # None: no device states an idle figure
    limits: LimitsResult

    @property
    def name(self) -> str:
        if self.port is not None:
            return f"{self.controller}.{self.port}"
        return f"branch {self.branch}" if self.branch else "not fed"


@dataclass(frozen=True, slots=True, kw_only=True)
class ControllersResult:
    scheduled: int
    needed: int | None
    lower_bound: int | None
    status: Status | None
    driven_by: str | None = None  # the limit that drives the number: "cable", "devices" or "power"


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyResult:
    """One controller's supply. `None`: neither the workbook nor the profile says."""

    controller: str
    voltage_v: float | None
    power_w: float | None  # what its runs may draw together: the rating, less any derating
    devices: int | None = None  # how many devices the controller may serve
    rated_w: float | None = None  # what the supply is rated at, no headroom taken off


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceResult:
    tag: str
    controller: str | None
    port: str | None
    distance_m: float | None
    voltage_v: float | None
    power_w: float | None  # of the row: quantity times the power of one
    suggested_controller: str | None
    suggested_port: str | None
    verdict: Verdict
    why: str = ""  # the worst finding in one sentence
    quantity: int = 1
    where: CellRef | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PullResult:
    id: str
    length_m: float | None
    cable: str | None
    controller: str | None
    port: str | None
    reel: str | None
    verdict: Verdict
    why: str = ""
    landed: bool = True
    room: str | None = None  # of its far end
    route: str | None = None
    note: str | None = None
    hold: str = ""  # why it must not be cut yet; empty: nothing speaks against it
    name: str = ""  # the id, told apart by its ends where several pulls have the same; as cut lists name it
    branch: str | None = None  # of a run without a port, its first pull; not recorded, the run has it
    near: str
    far: str
    feeds: str | None = None  # the end that it feeds by the shortest way from a source; not recorded
    current_a: float | None = None  # None: not known, or it feeds nothing; not recorded
    off_spec: bool | None = None  # None: its cable's properties are not all stated; not recorded
    where: CellRef | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A branch that goes to another port; `origin` None: no port was scheduled."""

    branch: str
    origin: str | None
    target: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A pull that is lifted, with the new home run that feeds its far end."""

    pull: str
    new_home_run_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PortPlanResult:
    status: Status
    reason: str | None  # why it is impossible, or what is not proven
    moves: tuple[Move, ...]
    cuts: tuple[Cut, ...]
    runs: tuple[RunResult, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CutReel:
    """One reel and what is cut from it, in cutting order."""

    reel: str  # its name for the crew, e.g. "R3"
    length_m: float
    pulls: tuple[str, ...]
    cut_m: tuple[float, ...]  # length to cut for each pull, allowances and waste included
    offcut_m: float
    on_shelf: bool = False  # taken from stock, not bought
    runs: tuple[str, ...] = ()  # the run of each pull, e.g. "C1.1"; empty text: no port or branch feeds it


@dataclass(frozen=True, slots=True, kw_only=True)
class ReelOffer:
    """A reel that could be had: to be bought in any number, or so many on the shelf."""

    length_m: float
    price: float | None = None
    on_shelf: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CutListResult:
    cable: str
    status: Status
    lower_bound: float | None  # of the cost where all reels have prices, else of the metres bought
    cost: float | None
    bought_m: float
    needed_m: float
    offcut_given_up_m: float = 0.0  # so much shorter is the longest offcut, for few reels on each run
    spec: str = ""  # what the schedule states of the cable, e.g. "16 AWG, 2 conductors, stranded"
    length_unit: str = "ft"  # the schedule's own
    keep_from_m: float = 0.0  # a shorter offcut is scrap
    waste: float | None = None  # added to each pull, a fraction; None: not known, or not one for all pulls
    allowance_per_end_m: float | None = None  # added at each end of a pull; None: as above
    round_up_m: float | None = None  # cuts are whole multiples of it, 0: as they are; None: as above
    reserve_m: float = 0.0  # left on each reel, part of its offcut
    reels: tuple[CutReel, ...]
    uncut: tuple[str, ...] = ()  # pulls that no reel is long enough for
    unmeasured: tuple[str, ...] = ()  # pulls without a length, for which nothing is cut
    offers: tuple[ReelOffer, ...] = ()  # the reels that were planned with


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoiceResult:
    """One answer to a question, and what it would lead to in one sentence."""

    answer: str
    leads_to: str
    outcome: str = ""  # what differs, without how the workbook is read then; not recorded
    tried: bool = True  # the workbook can be read with this answer; not recorded


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionResult:
    """What a person must decide before the workbook can be read for sure."""

    id: str
    sentence: str
    choices: tuple[ChoiceResult, ...]
    answered: str | None = None  # the answer that was obeyed; None: the question is open
    waits: bool = False  # the answer to another open question may settle it; not recorded
    typed: Answer | None = None  # what its answer cell holds; not recorded
    where: CellRef | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Audit:
    """What the audit of one job came to. Immutable; everything that a report shows is in it."""

    job: str
    part: str | None = None  # which job of a workbook that holds several
    title_block: TitleBlock = field(default_factory=TitleBlock)
    file: str = ""
    sha256: str = ""
    profile: str | None
    profile_chosen: str = ""  # which rule of precedence chose the profile, in words
    verdict: Verdict
    problem: str | None = None  # one sentence, when unreadable
    runs: tuple[RunResult, ...] = ()
    controllers: ControllersResult | None = None
    findings: tuple[Finding, ...] = ()
    ways_untried: int = 0  # ways to mend a finding that were not tried, when causes were sought; not recorded
    questions: tuple[QuestionResult, ...] = ()  # open ones first
    left_answers: tuple[Answer, ...] = ()  # to what is not asked any more; not recorded
    devices: tuple[DeviceResult, ...] = ()
    pulls: tuple[PullResult, ...] = ()
    port_plan: PortPlanResult | None = None
    cut_lists: tuple[CutListResult, ...] = ()
    supplies: tuple[SupplyResult, ...] = ()
    length_unit: str = "ft"
    tables: tuple[Table, ...] = ()
    statements: tuple[Statement, ...] = ()
    rows_read: int = 0
    rows_left_out: int = 0
    unknown_ends: frozenset[str] = frozenset()  # ends of pulls that are nothing of the job; not recorded
    voltage_basis: str = ""  # for headings, e.g. "30 degC, constant power"
    crashed: tuple[str, ...] = field(default=())  # rules of ours that raised

    @property
    def open_questions(self) -> tuple[QuestionResult, ...]:
        return tuple(one for one in self.questions if one.answered is None)

    def stamped(self, *, file: str, sha256: str, profile_chosen: str) -> "Audit":
        """The same audit with the file it came from."""
        return replace(self, file=file, sha256=sha256, profile_chosen=profile_chosen)
