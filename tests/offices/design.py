"""A bus as its designer has it in mind, before any workbook is written: pure data."""

from dataclasses import dataclass

FOOT_M = 0.3048  # the international foot of 1959, exactly


@dataclass(frozen=True, slots=True, order=True)
class Port:
    """A pair of terminals where a run starts; both numbers count from 1."""

    controller: int
    number: int


End = Port | str  # a port, or the tag of a device, the name of a splice, or a slip of one


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    tag: str
    kind: str  # a key of `words` under "kinds"
    floor: int
    room: int  # counts through the whole job
    power_w: float | None  # of one piece; None: the schedule leaves it out
    quantity: int = 1  # pieces at one place under one tag


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull:
    """One cable; its near end is the one nearer to the port."""

    number: int
    near: End
    far: End
    length: float | None  # in the design's unit; None: the schedule leaves it out
    cable: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Cable:
    """A type of cable with all that a cable sheet says of it."""

    name: str
    awg: int
    stranded: bool = True
    shielded: bool = False
    capacitance_pf_per_ft: float = 27.0

    @property
    def in_specification(self) -> bool:
        """Against the profile two-wire-35w: 16 AWG, stranded, unshielded, 30 pF/ft."""
        thick, soft = self.awg <= 16, self.stranded and not self.shielded
        return thick and soft and self.capacitance_pf_per_ft <= 30


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    unit: str  # "ft" or "m": of the lengths
    form: str  # "tree", "chain" or "star"
    ports: tuple[Port, ...]
    devices: tuple[Device, ...]
    pulls: tuple[Pull, ...]
    splices: tuple[str, ...] = ()
    cables: tuple[Cable, ...]
    cables_stated: bool  # whether the workbook says what the cable is
    fault: str = ""  # what was made wrong on purpose
    slip: tuple[str, str] | None = None  # an end as it is written by mistake, and the tag that is meant

    @property
    def metres(self) -> float:
        """Metres in one of the design's units of length."""
        return FOOT_M if self.unit == "ft" else 1.0

    @property
    def controllers(self) -> list[int]:
        return sorted({port.controller for port in self.ports})

    def device(self, tag: End) -> Device | None:
        return next((device for device in self.devices if device.tag == tag), None)

    def fed_by(self, tag: str) -> Pull | None:
        """The pull whose far end this is."""
        return next((pull for pull in self.pulls if pull.far == tag), None)

    def port_of(self, end: End) -> Port:
        """The port at the root of the path that feeds an end."""
        while not isinstance(end, Port):
            pull = self.fed_by(end)
            if pull is None:
                raise ValueError(f"{end} is not fed")
            end = pull.near
        return end
