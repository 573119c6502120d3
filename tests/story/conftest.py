"""The workshop of the story, made once."""

from __future__ import annotations

import importlib.util
import os
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from types import ModuleType


def beside(name: str) -> ModuleType:
    """Return a module that lies beside this file."""
    known = f"story_{name}"
    if known not in sys.modules:
        spec = importlib.util.spec_from_file_location(known, Path(__file__).with_name(f"{name}.py"))
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        sys.modules[known] = module
        spec.loader.exec_module(module)
    return sys.modules[known]


@pytest.fixture(scope="package")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """Give the workshop after its forty jobs."""
    hands = beside("hands")
    shop = hands.founded(tmp_path_factory.mktemp("workshop"))
    beside("year").worked(shop)
    with shop.bench:
        yield shop


@dataclass(frozen=True, slots=True)
class Told:
    """What a command said."""

    code: int
    out: str
    err: str


@pytest.fixture
def commission(
    workshop: Any, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., Told]:
    """Run the command line on the workshop's store; `typed` reaches it as a passphrase."""
    monkeypatch.setenv("COMMISSION_STORE", str(workshop.bench.places.store))

    def run(*words: object, typed: str = "") -> Told:
        from commission.cli.main import main

        said = [str(word) for word in words]
        reading, writing = os.pipe()
        os.write(writing, typed.encode())
        os.close(writing)
        if typed:
            said += ["--passphrase-fd", str(reading)]
        monkeypatch.setattr(sys, "argv", ["commission", *said])
        capsys.readouterr()
        try:
            main()
            code = 0
        except SystemExit as ended:
            code = 0 if ended.code is None else int(ended.code)
        finally:
            os.close(reading)
        printed = capsys.readouterr()
        return Told(code, printed.out, printed.err)

    return run
