"""What is planned for a measured job: its cut lists, its port plan, and what would restore its voltages."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from auditor.job.model import Pull
from auditor.results.audit_result import ControllersResult, Cut, CutListResult, CutReel, Move, Status
from auditor.results.judged import Judged

VOLTAGE = "voltage"  # the rule that the remedies answer


@dataclass(frozen=True, slots=True, kw_only=True)
class TooLong:
    """A pull that no reel of its cable type is long enough for."""

    pull: Pull
    name: str
    cut_m: float
    longest_m: float  # the longest reel
    reserve_m: float = 0.0  # what is left on it


@dataclass(frozen=True, slots=True, kw_only=True)
class CutLists:
    """The cut lists of a job, in the order of the cables' first pulls."""

    lists: tuple[CutListResult, ...] = ()
    too_long: Mapping[str, tuple[TooLong, ...]] = field(default_factory=dict)  # by cable type
    problems: tuple[str, ...] = ()  # sentences: why a cut list could not be made


@dataclass(frozen=True, slots=True, kw_only=True)
class BetterBuy:
    """Pulls of one cable that the reels of a better one hold, which buys less or leaves runs underated."""

    cable: str
    better: str
    pulls: tuple[str, ...]
    length_m: float  # what is cut for them
    all_of_it: bool  # no other pull is of that cable
    runs: tuple[str, ...]  # whose limits are then not cut, as the schedule spells their ports
    reel: CutReel | None  # of the better cable, with an offcut that holds them all; None: several do together
    bought_m: tuple[float, float]  # of both cables, as scheduled and so
    cost: tuple[float, float] | None  # the same; None: not both have prices
    own_reels: int  # bought of the cable as scheduled


@dataclass(frozen=True, slots=True, kw_only=True)
class PortPlanning:
    """The plan over all head ends of a job."""

    controllers: ControllersResult | None = None
    status: Status | None = None  # None: nothing to plan, or it could not be made
    reason: str | None = None  # why it is impossible, or what is not proven
    moves: tuple[Move, ...] = ()
    cuts: tuple[Cut, ...] = ()
    ports: frozenset[str] = frozenset()  # names of the ports that the plan uses
    kept: bool = False  # a share of the supplies is kept for the loss in the cable as it is scheduled
    trial: Judged | None = None  # the job as the plan would have it; None: as scheduled, or not offered
    failing: Mapping[str, tuple[str, ...]] = field(
        default_factory=dict
    )  # port of the plan -> rules its run fails there
    problems: tuple[str, ...] = ()

    def remains(self) -> str:
        """What still fails with the plan, a clause: `C2.2 still fails (voltage)`; empty: nothing."""
        return " and ".join(
            f"{port} still fails ({', '.join(rules)})" for port, rules in self.failing.items()
        )

    def suggested_port(self) -> dict[str, str]:
        """Tag of each device -> its port in the plan, where its run fails no rule there."""
        states, good = self.trial.bus.runs if self.trial else (), self.ports - self.failing.keys()
        ports = [(state.run.name, state.run) for state in states if state.run.name in good]
        return {device.tag: port for port, run in ports for device in run.devices}


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One change that restores a run's voltage, in words."""

    sentence: str
    left: tuple[str, ...] = ()  # rules that the run, or its controller, still fails with it
    low: str = ""  # how low it still is where no lowest voltage is stated, a clause; empty: not to review

    @property
    def shortfall(self) -> tuple[bool, bool]:
        """Whether something still fails, and whether the volts are still to be reviewed."""
        return bool(self.left), bool(self.low)


@dataclass(frozen=True, slots=True, kw_only=True)
class SpareReturns:
    """What a cut of a pull would leave, with a spare return landed in the emergency."""

    feeds: tuple[Pull, ...] = ()  # all that lies beyond it is fed and no limit is broken
    breaks: tuple[tuple[Pull, tuple[str, ...]], ...] = ()  # it is fed, and these rules fail
    untried: tuple[Pull, ...] = ()
    alone: tuple[Pull, ...] = ()  # no spare return reaches what lies beyond it


@dataclass(frozen=True, slots=True, kw_only=True)
class Plans:
    """The plans of one job; all empty where none were made."""

    cuts: CutLists = field(default_factory=CutLists)
    ports: PortPlanning = field(default_factory=PortPlanning)
    remedies: Mapping[int, tuple[Way, ...]] = field(default_factory=dict)  # see `remedies()`
    spares: SpareReturns = field(default_factory=SpareReturns)
    better_buys: tuple[BetterBuy, ...] = ()
    crashed: tuple[str, ...] = ()  # rules whose plans raised
