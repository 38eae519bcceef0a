"""`python -m tests.bench [NAME ...]`: run the named benchmarks, or all of them."""

import importlib
import pkgutil
import sys

from tests import bench


def main(wanted: list[str]) -> int:
    names = [
        m.name.removeprefix("bench_") for m in pkgutil.iter_modules(bench.__path__) if m.name != "__main__"
    ]
    unknown = sorted(set(wanted) - set(names))
    if unknown:
        print(f"no benchmark named {', '.join(unknown)}; there are {', '.join(names)}", file=sys.stderr)
        return 2
    for name in wanted or names:
        print(f"== {name}")
        importlib.import_module(f"tests.bench.bench_{name}").main()
    return 0


sys.exit(main(sys.argv[1:]))
