"""Run every benchmark and print JSON: each a ratio to a floor measured in the same run.

    python tests/benchmarks/run.py [WORD …]

A word keeps the benchmarks whose name contains it. Every `bench_*.py` beside this file has
functions `bench_*() -> dict` with `name, measured, floor, unit, ratio, aim`; `aim` is the largest
ratio wanted (or the smallest rate, where `unit` ends in `/s`).
"""

from __future__ import annotations

import importlib.util
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

HERE = Path(__file__).parent


def found() -> Iterator[Callable[[], dict[str, Any]]]:
    """Yield the benchmark functions, file by file."""
    for path in sorted(HERE.glob("bench_*.py")):
        spec = importlib.util.spec_from_file_location(path.stem, path)
        if spec is None or spec.loader is None:
            continue
        module = importlib.util.module_from_spec(spec)
        sys.modules[path.stem] = module
        spec.loader.exec_module(module)
        for name, value in vars(module).items():
            if name.startswith("bench_") and callable(value):
                yield value


def main(words: list[str]) -> None:
    """Run those that match and print one JSON document."""
    results = []
    for bench in found():
        if words and not any(word in bench.__name__ for word in words):
            continue
        print(f"{bench.__name__} …", file=sys.stderr, flush=True)  # noqa: T201
        results.append(bench())
    print(json.dumps(results, indent=2))  # noqa: T201  the result


if __name__ == "__main__":
    sys.path.insert(0, str(HERE.parent.parent))
    main(sys.argv[1:])
