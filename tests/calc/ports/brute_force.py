"""The best port plan by a second way: every cut set and every assignment, without the planner's code."""

from itertools import chain, combinations

from auditor.calc.ports.problem import Branch, PortProblem

TOLERANCE = {"m": 0.001, "": 1e-9, "W": 1e-9}


class Piece:
    def __init__(self, cable_m, devices, power_w, reach_m, off_spec, port, pinned, near=None, only=None):
        self.cable_m, self.devices, self.power_w = cable_m, devices, power_w
        self.reach_m, self.off_spec = reach_m, off_spec
        self.port, self.pinned = port, pinned
        self.only = only  # names of the controllers that it may be on; None: any
        self.near = near  # number of the piece that it was cut from: never on that piece's port


def over(value, limit, unit):
    if limit is None:
        return False
    return value > limit + (0.001 if unit == "m" else abs(limit) * 1e-9)


def port_breaks(limits, pieces):
    factor = limits.off_spec_factor if any(p.off_spec for p in pieces) else 1.0
    scaled = [
        None if x is None else x * factor
        for x in (limits.cable_m, limits.devices, limits.power_w, limits.reach_m)
    ]
    return (
        over(sum(p.cable_m for p in pieces), scaled[0], "m")
        or over(sum(p.devices for p in pieces), scaled[1], "")
        or over(sum(p.power_w for p in pieces), scaled[2], "W")
        or over(max(p.reach_m for p in pieces), scaled[3], "m")
    )


def supply_breaks(controller, pieces):
    return over(sum(p.devices for p in pieces), controller.devices, "") or over(
        sum(p.power_w for p in pieces), controller.power_w, "W"
    )


def whole(branch: Branch):
    return Piece(
        branch.cable_m,
        branch.devices,
        branch.power_w,
        branch.reach_m,
        branch.off_spec,
        branch.port,
        branch.pinned,
        only=branch.controllers,
    )


def pieces_of(branch: Branch, lifted):
    """The pieces that are left when these pulls are lifted, and the new cable."""
    pulls = {pull.id: pull for pull in branch.pulls}

    def home_m(pull):
        return pull.length_m + (home_m(pulls[pull.parent]) if pull.parent else 0.0)

    def head(pull):
        return pull.id if pull.parent is None or pull.id in lifted else head(pulls[pull.parent])

    heads = sorted({head(pull) for pull in branch.pulls})
    found = []
    for top in heads:
        members = [pull for pull in branch.pulls if head(pull) == top]
        is_root = pulls[top].parent is None
        found.append(
            Piece(
                sum(p.length_m for p in members if p.id != top) + home_m(pulls[top]),
                sum(p.devices for p in members),
                sum(p.power_w for p in members),
                max((home_m(p) for p in members if p.devices), default=0.0),
                any(p.off_spec for p in members if p.id != top or is_root),
                branch.port if is_root else None,
                branch.pinned and is_root,
                None if is_root else heads.index(head(pulls[pulls[top].parent])),
                branch.controllers,
            )
        )
    return found, sum(home_m(pulls[top]) for top in lifted)


def splits(problem: PortProblem, branch: Branch):
    """Every way to cut one branch: (pieces, new cable). Only one way where it needs no cutting."""
    controllers = [
        one
        for one in (*problem.controllers, *problem.new_controllers)
        if branch.controllers is None or one.name in branch.controllers
    ]
    alone = [whole(branch)]
    # an additive limit, not the reach, is what allows a cut
    alone[0].reach_m = 0.0
    keeps = not port_breaks(problem.limits, alone) and any(not supply_breaks(c, alone) for c in controllers)
    if keeps or not branch.pulls:
        return [([whole(branch)], 0.0)]
    ids = [pull.id for pull in branch.pulls if pull.parent is not None]
    sets = chain.from_iterable(combinations(ids, size) for size in range(len(ids) + 1))
    found = (pieces_of(branch, lifted) for lifted in sets)
    return [
        (pieces, new) for pieces, new in found if not any(port_breaks(problem.limits, [p]) for p in pieces)
    ]


def utilisation(problem, controllers, ports, on):
    limits, shares = problem.limits, [0.0]
    for number, controller in enumerate(controllers):
        mine = [p for port, pieces in on.items() if ports[port][0] == number for p in pieces]
        if controller.devices:
            shares.append(sum(p.devices for p in mine) / controller.devices)
        if controller.power_w:
            shares.append(sum(p.power_w for p in mine) / controller.power_w)
    for pieces in on.values():
        factor = limits.off_spec_factor if any(p.off_spec for p in pieces) else 1.0
        for value, limit in (
            (sum(p.cable_m for p in pieces), limits.cable_m),
            (sum(p.devices for p in pieces), limits.devices),
            (sum(p.power_w for p in pieces), limits.power_w),
        ):
            if limit:
                shares.append(value / (limit * factor))
    return max(shares)


def best_plan(problem: PortProblem):
    """(controllers, new ones, new cable [m], moves, utilisation) of the best plan; None: there is none."""
    controllers = [*problem.controllers, *problem.new_controllers]
    ports = [(number, (c.name, port)) for number, c in enumerate(controllers) for port in c.ports]
    best = None

    def combined(branches, pieces, new_m):
        if not branches:
            yield pieces, new_m
            return
        for split, more_m in splits(problem, branches[0]):
            base = len(pieces)
            moved = [
                Piece(
                    p.cable_m,
                    p.devices,
                    p.power_w,
                    p.reach_m,
                    p.off_spec,
                    p.port,
                    p.pinned,
                    None if p.near is None else p.near + base,
                    p.only,
                )
                for p in split
            ]
            yield from combined(branches[1:], pieces + moved, new_m + more_m)

    def place(at, pieces, new_m, on, where, moves):
        nonlocal best
        used = {ports[port][0] for port in on}
        score = (len(used), sum(n >= len(problem.controllers) for n in used), round(new_m, 4), moves)
        if best is not None and (score[0] > best[0] or (score[0] == best[0] and score > best[:4])):
            return
        if at == len(pieces):
            score = (*score, round(utilisation(problem, controllers, ports, on), 9))
            if best is None or score < best:
                best = score
            return
        piece = pieces[at]
        for port, (number, name) in enumerate(ports):
            if piece.pinned and tuple(piece.port) != name:
                continue
            if piece.only is not None and name[0] not in piece.only:
                continue
            joined = [*on.get(port, []), piece]
            near = piece.near is not None and piece.near < at and where[piece.near] == port
            far = any(other.near == at and where[n] == port for n, other in enumerate(pieces[:at]))
            mine = [p for q, ps in on.items() if ports[q][0] == number for p in ps] + [piece]
            if near or far or port_breaks(problem.limits, joined) or supply_breaks(controllers[number], mine):
                continue
            moved = piece.port is not None and tuple(piece.port) != name
            place(at + 1, pieces, new_m, {**on, port: joined}, [*where, port], moves + moved)

    for pieces, new_m in combined(list(problem.branches), [], 0.0):
        place(0, pieces, new_m, {}, [], 0)
    return best
