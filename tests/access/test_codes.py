"""Codes that let a device in: once, for a while, and not by trying."""

from __future__ import annotations

import pytest

from waytell.access.codes import DIGITS, GOOD_FOR_S, TRIES, Codes, WrongCode


def test_a_code_is_good_once_and_gives_its_right() -> None:
    codes = Codes()
    code = codes.show("operate", 0.0)
    assert len(code) == DIGITS
    assert codes.take(f" {code[:4]} {code[4:]} ", 1.0) == "operate"
    with pytest.raises(WrongCode, match="new code"):
        codes.take(code, 2.0)


def test_a_code_ends() -> None:
    codes = Codes()
    code = codes.show("watch", 100.0)
    with pytest.raises(WrongCode, match="new code"):
        codes.take(code, 100.0 + GOOD_FOR_S)
    assert Codes().show("watch", 0.0) != code, "one chance in a hundred million"


def test_a_new_code_ends_the_one_before() -> None:
    codes = Codes()
    before, code = codes.show("watch", 0.0), codes.show("operate", 0.0)
    with pytest.raises(WrongCode):
        codes.take(before, 1.0)
    assert codes.take(code, 1.0) == "operate"


def test_whoever_tries_has_few_tries() -> None:
    codes = Codes()
    code = codes.show("operate", 0.0)
    wrong = f"{(int(code) + 1) % 10**DIGITS:0{DIGITS}d}"
    for _ in range(TRIES - 1):
        with pytest.raises(WrongCode, match="shows now"):
            codes.take(wrong, 1.0)
    with pytest.raises(WrongCode, match="Too many"):
        codes.take(wrong, 1.0)
    with pytest.raises(WrongCode):
        codes.take(code, 1.0)
    assert codes.take(codes.show("watch", 2.0), 2.0) == "watch", "and a new one is shown as ever"


@pytest.mark.parametrize("nonsense", ["", " ", "abc", "\u0661\u0662\u0663", "1" * 20])
def test_nonsense_is_a_wrong_code(nonsense: str) -> None:
    codes = Codes()
    codes.show("watch", 0.0)
    with pytest.raises(WrongCode):
        codes.take(nonsense, 1.0)
