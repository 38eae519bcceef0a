"""The LP and MIP solver (HiGHS), silent, on one thread and seeded: the same input gives the same answer."""

from typing import Any


def quiet_solver(**options: Any) -> Any:
    """A new, empty solver.

    Parameters
    ----------
    options : further options of HiGHS by name, e.g. time_limit

    Source
    ------
    https://ergo-code.github.io/HiGHS, options. highspy >= 1.15.1: an earlier one gave a wrong optimum.
    """
    import highspy

    solver: Any = highspy.Highs.__base__()  # type: ignore[operator]  # the subclass prints a banner at once
    for option, value in {"output_flag": False, "threads": 1, "random_seed": 1, **options}.items():
        solver.setOptionValue(option, value)
    return solver
