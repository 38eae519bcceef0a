"""How offices spell things: tags, splices, numbers of pulls, ports; and what a run may be called."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from random import Random

from tests.offices.design import Port
from tests.offices.dice import Dice

# ------------------------------------------------------------------------------- tags

Namer = Callable[[str, int, int, int], str]  # kind, number in kind, number in all, floor -> tag
TagStyle = Callable[[str, str, int, int, int], str]  # prefix, words, number in kind, number in all, floor

TAGS: dict[str, tuple[TagStyle, int]] = {  # name -> (spelling, how often)
    "KP-101": (lambda kind, words, own, run, floor: f"{kind}-{floor * 100 + run}", 5),
    "KP01": (lambda kind, words, own, run, floor: f"{kind}{own:02d}", 4),
    "KP-3": (lambda kind, words, own, run, floor: f"{kind}-{own}", 4),
    "KP 4": (lambda kind, words, own, run, floor: f"{kind} {own}", 1),
    "K12": (lambda kind, words, own, run, floor: f"{kind[0]}{run}", 2),
    "D001": (lambda kind, words, own, run, floor: f"D{run:03d}", 3),
    "-KP101": (lambda kind, words, own, run, floor: f"-{kind}{floor * 100 + run}", 1),
    "KP_0103": (lambda kind, words, own, run, floor: f"{kind}_{floor:02d}{run:02d}", 2),
    "1-KP-03": (lambda kind, words, own, run, floor: f"{floor}-{kind}-{own:02d}", 2),
    "L2.KP.03": (lambda kind, words, own, run, floor: f"L{floor}.{kind}.{own:02d}", 2),
    "1203": (lambda kind, words, own, run, floor: f"{1000 + floor * 100 + run}", 1),
    "Alder keypad": (lambda kind, words, own, run, floor: words, 1),
    "KP/2/07": (lambda kind, words, own, run, floor: f"{kind}/{floor}/{run:02d}", 1),
}
SPLICES = ("J-{}", "SP{}", "JB-{:02d}", "BOX {}", "SPL-{}", "X{}")
PULLS = {
    "W001": lambda n: f"W{n:03d}",
    "P-12": lambda n: f"P-{n}",
    "12": lambda n: n,
    "C0412": lambda n: f"C{400 + n:04d}",
    "CBL-00012": lambda n: f"CBL-{n:05d}",
    "K.12": lambda n: f"K.{n:02d}",
    "B12-A": lambda n: f"B{n}-A",
}


def weighted(rng: Random, choices: dict[str, tuple[TagStyle, int]]) -> str:
    return rng.choices(list(choices), [weight for _, weight in choices.values()])[0]


# ------------------------------------------------------------------------------- tags spelled again

RESPELLED: dict[str, Callable[[str], str]] = {  # the same tag as the other list has it
    "leading zeros dropped": lambda tag: re.sub(r"(?<![0-9])0+(?=[0-9])", "", tag),
    "no dash": lambda tag: tag[0] + re.sub(r"[-_ ]", "", tag[1:]),
    "lower case": lambda tag: tag.lower(),
    "blank for dash": lambda tag: tag[0] + tag[1:].replace("-", " "),
}


# ------------------------------------------------------------------------------- ports

STEMS = (
    "C",
    "BC-",
    "LCP-",
    "BCU-",
    "HUB-",
    "PNL-",
    "CTL",
    "HE",
    "CTRL-",
    "Ctrl ",
    "Controller ",
    "Panel ",
    "MCP-",
    "ST",
    "-ST",
    "RK",
    "CU0",
    "SC-",
    "NODE-",
    "IDF-1 CTRL ",
    "RACK-",
    "CPU-",
    "BS_",
    "LV-",
    "Head end ",
    "ZC ",
    "PSU-",
    "R1-U",
)
JOINS = {  # name -> between the controller and the port's own sign
    "X.1": ".",
    "X:1": ":",
    "X/1": "/",
    "X-1": "-",
    "X P1": " P",
    "X-P1": "-P",
    "X:P1": ":P",
    "X/P1": "/P",
    "X.P1": ".P",
    "X port 1": " port ",
    "X, port 1": ", port ",
    "X PORT #1": " PORT #",
    "X bus 1": " bus ",
    "X CH1": " CH",
    "X out 1": " out ",
    "X line 1": " line ",
    "X link 1": " LINK ",
    "X (port 1)": " (port {})",
    "X Ausgang 1": " Ausgang ",
    "X Kanal 1": " Kanal ",
    "X sortie 1": " sortie ",
    "X salida 1": " salida ",
    "X poort 1": " poort ",
    "X porta 1": " porta ",
    "X_P1": "_P",
    "port 1 of X": "port {} of ",
}
OF_LANGUAGE = {
    "de": (" Ausgang ", " Kanal "),
    "fr": (" sortie ",),
    "es": (" salida ",),
    "nl": (" poort ",),
    "it": (" porta ",),
}
_FOREIGN = {join for joins in OF_LANGUAGE.values() for join in joins}


@dataclass(frozen=True, slots=True, kw_only=True)
class PortStyle:
    """How an office writes its ports."""

    habit: str
    stem: str
    join: str
    lettered: bool = False  # ports A and B
    controllers_lettered: bool = False
    first: int = 1  # number of the first controller
    alone: bool = False  # controllers without ports: the port is never written

    def controller(self, port: Port) -> str:
        number = port.controller + self.first - 1
        sign = chr(64 + port.controller) if self.controllers_lettered else str(number)
        return self.stem + sign

    def sign(self, port: Port) -> str:
        """The port's own sign: `1` or `A`."""
        return chr(64 + port.number) if self.lettered else str(port.number)

    def local(self, port: Port) -> str:
        """The port where its controller is known from elsewhere: `P1`, `Port A`, `Ausgang 1`."""
        join = self.join.strip(" .:/-_,") or "Port "
        if "{}" in join:
            return f"Port {self.sign(port)}"
        return join + ("" if len(join) == 1 or join.endswith(("#", " ")) else " ") + self.sign(port)

    def full(self, port: Port) -> str:
        """The port as it is written in one cell."""
        if self.alone:
            return self.controller(port)
        if self.join.startswith("port"):
            return self.join.format(self.sign(port)) + self.controller(port)
        if "{}" in self.join:
            return self.controller(port) + self.join.format(self.sign(port))
        return self.controller(port) + self.join + self.sign(port)

    def names(self, port: Port) -> frozenset[str]:
        """Every tight spelling under which the port's run may be called."""
        head, sign, local = tight(self.controller(port)), self.sign(port), tight(self.local(port))
        parts = (sign, f"p{sign}", f"port{sign}", local, f"slot{sign}", str(port.number))
        said = {head + tight(part) for part in parts} | {tight(part) + head for part in parts}
        return frozenset(said | {tight(self.full(port))})


def port_style(rng: Dice, language: str) -> PortStyle:
    """A way to write ports; foreign port words only in their own language."""
    own = OF_LANGUAGE.get(language, ()) if rng.seldom(0.3) else ()
    joins = {n: j for n, j in JOINS.items() if (j in own if own else j not in _FOREIGN)}
    habit = rng.choice(list(joins))
    stem = rng.choice(STEMS)
    lettered = rng.seldom(0.2)
    numbered_last = stem.endswith(("0", "U"))
    return PortStyle(
        habit=habit,
        stem=stem,
        join=joins[habit],
        lettered=lettered,
        controllers_lettered=not lettered and not numbered_last and len(stem) > 2 and rng.seldom(0.2),
        first=rng.choice((1, 1, 1, 1, 2, 3, 11)),
    )


def alone(rng: Dice) -> PortStyle:
    """Controllers without ports."""
    return PortStyle(habit="none, controllers only", stem=rng.choice(STEMS[1:16]), join="", alone=True)


def tight(text: object) -> str:
    """A name without its spelling: letters and digits only, in lower case."""
    return re.sub(r"[\W_]", "", str(text).casefold())


def same(tag: object) -> str:
    """A tag without its spelling, leading zeros included."""
    return re.sub(r"(?<![0-9])0+(?=[0-9])", "", re.sub(r"[^\w]|_", "|", str(tag).casefold())).replace("|", "")
