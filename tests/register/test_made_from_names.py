"""What is made from a name where nothing else is given: initials and an id."""

from __future__ import annotations

import pytest

from commission.errors import RefusedError
from commission.register.moves import check_name, initials_from
from commission.register.state import Register


@pytest.mark.parametrize(
    ("name", "made"),
    [
        ("Ada Nwosu", "AN"),
        ('O"Brien', "OB"),
        ('Ben "Benny" Ito', "BBI"),
        ("(Cleo) Ek", "CE"),
        ("Ada van der Berg-Ito Mo", "AVDB"),
    ],
)
def test_initials_are_letters_whatever_stands_between_them(name: str, made: str) -> None:
    assert initials_from(name) == made


def test_a_name_that_gives_no_id_is_said_to_give_none() -> None:
    with pytest.raises(RefusedError) as refused:
        check_name(Register(), "", "李 小龍", "李小")
    assert refused.value.diagnostics().startswith("Id: none can be made from that name. Give one")


def test_a_name_of_two_lines_is_refused_with_what_would_do() -> None:
    with pytest.raises(RefusedError, match="is none") as refused:
        check_name(Register(), "ada", "Ada\nNwosu", "AN")
    assert "on one line" in refused.value.hint
