"""`python -m tests.bench [NAME ...] [OPTION ...]`: run the named benchmarks, or all of them.

All from the first word that begins with "-" goes to the benchmark that is named, one that takes options.
"""

import importlib
import inspect
import pkgutil
import sys
from types import ModuleType

from tests import bench


def main(words: list[str]) -> int:
    cut = next((at for at, word in enumerate(words) if word.startswith("-")), len(words))
    wanted, options = words[:cut], words[cut:]
    names = [
        m.name.removeprefix("bench_")
        for m in pkgutil.iter_modules(bench.__path__)
        if m.name.startswith("bench_")
    ]
    unknown = sorted(set(wanted) - set(names))
    if unknown:
        print(f"no benchmark named {', '.join(unknown)}; there are {', '.join(names)}", file=sys.stderr)
        return 2
    modules = {name: importlib.import_module(f"tests.bench.bench_{name}") for name in wanted or names}
    deaf = [name for name, module in modules.items() if options and not _takes_options(module)]
    if deaf:
        print(f"no options are taken by {', '.join(deaf)}", file=sys.stderr)
        return 2
    for name, module in modules.items():
        print(f"== {name}")
        module.main(*([options] if options else []))
    return 0


def _takes_options(module: ModuleType) -> bool:
    return bool(inspect.signature(module.main).parameters)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
