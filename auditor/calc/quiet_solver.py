"""The LP and MIP solver (HiGHS), silent, on one thread and seeded: the same input gives the same answer."""

from typing import Any, cast


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

    # the base class: its subclass prints a banner as soon as it is made
    solver: Any = cast(Any, highspy.Highs).__base__()
    for option, value in {"output_flag": False, "threads": 1, "random_seed": 1, **options}.items():
        solver.setOptionValue(option, value)
    return solver
