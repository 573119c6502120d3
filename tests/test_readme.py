"""What the README says is what the program does."""

import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text("utf-8")


def block(mark: str) -> str:
    """Return the shell block that stands behind a mark."""
    found = re.search(rf"<!-- {mark} -->\n```sh\n(.*?)```", README, re.DOTALL)
    assert found is not None
    return found.group(1)


def test_the_lines_that_check_a_record_are_those_that_a_test_runs() -> None:
    tested = (ROOT / "tests" / "record" / "verify_with_sha256sum.sh").read_text("utf-8")
    assert block("verify").strip() == tested.strip()


def test_the_lines_that_check_signatures_are_those_that_a_test_runs() -> None:
    tested = (ROOT / "tests" / "record" / "verify_with_openssl.sh").read_text("utf-8")
    assert block("signatures").strip() == tested.strip()


def test_every_picture_is_there() -> None:
    pictures = re.findall(r"!\[[^]]*\]\(([^)]+)\)", README)
    assert pictures
    assert [one for one in pictures if not (ROOT / one).is_file()] == []


def test_every_command_it_names_is_known() -> None:
    shown = subprocess.run(
        [sys.executable, "-m", "commission", "--help"],
        capture_output=True, text=True, check=True, cwd=ROOT,
    ).stdout  # fmt: skip
    named = set(re.findall(r"^commission (\w+)|  commission (\w+)", README, re.MULTILINE))
    words = {word for pair in named for word in pair if word}
    assert words
    assert {word for word in words if not re.search(rf"^\s+{word}\b", shown, re.MULTILINE)} == set()
