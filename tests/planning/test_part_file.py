"""Part files: what is written reads back as it was, and what cannot be read is told with its place and the remedy."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waytell.documents.config import Config
from waytell.documents.part import (
    Bar,
    Bore,
    Chamfer,
    Chucking,
    Dimension,
    Face,
    Feature,
    Groove,
    Hole,
    Part,
    PartOff,
    Taper,
    Turned,
)
from waytell.part_file import PART_EXAMPLE, PartFileError, decoded, load_part, part_text, read_part
from waytell.planning.planner import plan

README = Path(__file__).parents[2] / "README.md"
HEAD = 'name = "spacer"\nmaterial = "aluminium alloy"\n[bar]\ndiameter_mm = 20\n[[set_ups]]\nout_mm = 30\n'

# -- round trip --------------------------------------------------------------------------------------------------------

NAMES = st.text(min_size=1, max_size=60)
LENGTHS = st.floats(0, 5000)
POSITIVE = st.floats(0, 5000, exclude_min=True)


@st.composite
def dimensions(draw: st.DrawFn) -> Dimension:
    mm = draw(LENGTHS)
    how = draw(st.sampled_from(("plain", "class", "deviations")))
    if how == "class":
        return Dimension(mm=mm, tolerance_class=draw(st.from_regex(r"\A[A-Za-z]{1,2}[0-9]{1,2}\Z")))
    if how == "deviations":
        lower, upper = sorted(draw(st.lists(st.floats(-5000, 5000), min_size=2, max_size=2, unique=True)))
        return Dimension(mm=mm, lower_mm=lower, upper_mm=upper)
    return Dimension(mm=mm)


def features(set_ups: int) -> st.SearchStrategy[Feature]:
    in_set_up = {"set_up": st.integers(1, set_ups)}
    sized = {"diameter": dimensions(), **in_set_up}
    kinds: tuple[st.SearchStrategy[Feature], ...] = (
        st.builds(Face, kind=st.just("face"), length=st.none() | dimensions(), **in_set_up),
        st.builds(Turned, kind=st.just("turned"), from_mm=LENGTHS, to=dimensions(), **sized),
        st.builds(Hole, kind=st.just("hole"), diameter_mm=POSITIVE, to_mm=POSITIVE, **in_set_up),
        st.builds(Bore, kind=st.just("bore"), to=dimensions(), **sized),
        st.builds(Taper, kind=st.just("taper"), from_mm=LENGTHS, to_mm=POSITIVE, end_diameter_mm=LENGTHS, **sized),
        st.builds(
            Chamfer,
            kind=st.just("chamfer"),
            where=st.sampled_from(("outside", "inside")),
            at_mm=LENGTHS,
            size_mm=POSITIVE,
            **in_set_up,
        ),
        st.builds(Groove, kind=st.just("groove"), from_mm=LENGTHS, to_mm=POSITIVE, **sized),
        st.builds(PartOff, kind=st.just("part_off"), at_mm=POSITIVE, **in_set_up),
    )
    return st.one_of(kinds)


@st.composite
def parts(draw: st.DrawFn) -> Part:
    chucking = st.builds(Chucking, out_mm=POSITIVE, sawn_mm=LENGTHS, tailstock=st.booleans())
    set_ups = draw(st.lists(chucking, min_size=1, max_size=2))
    return Part(
        name=draw(NAMES),
        note=draw(st.text(max_size=500)),
        material=draw(NAMES),
        general_tolerance=draw(st.sampled_from(("f", "m", "c", "v"))),
        bar=draw(st.builds(Bar, diameter_mm=POSITIVE, bore_mm=LENGTHS)),
        set_ups=tuple(set_ups),
        features=tuple(draw(st.lists(features(len(set_ups)), max_size=8))),
    )


@settings(max_examples=200)
@given(parts())
def test_a_part_that_is_written_reads_back_as_the_same_part(part: Part) -> None:
    text = part_text(part)
    assert read_part(text, "part.toml") == part
    assert read_part(decoded(text.encode(), "part.toml"), "part.toml") == part


def test_the_example_is_a_part_that_survives_being_written() -> None:
    part = read_part(PART_EXAMPLE, "bush.toml")
    assert read_part(part_text(part), "bush.toml") == part
    assert "invented" in PART_EXAMPLE
    assert {feature.kind for feature in part.features} >= {"face", "turned", "hole", "bore", "chamfer", "part_off"}


# What the example tells of in comments only must be true of the documents too.
def test_the_kinds_that_the_example_names_in_passing_are_written_with_these_names() -> None:
    groove = HEAD + '[[features]]\nkind = "groove"\nfrom_mm = 5\nto_mm = 7\ndiameter = 12\n'
    taper = HEAD + '[[features]]\nkind = "taper"\nfrom_mm = 0\nto_mm = 7\ndiameter = 12\nend_diameter_mm = 14\n'
    for text in (groove, taper):
        (feature,) = read_part(text, "part.toml").features
        for name in text.split("[[features]]")[1].split("\n"):
            assert name.split(" = ")[0] in PART_EXAMPLE
        assert f'kind = "{feature.kind}"' in PART_EXAMPLE


def test_a_written_part_is_readable() -> None:
    part = Part(
        name="spacer",
        material="aluminium alloy",
        bar=Bar(diameter_mm=20),
        set_ups=(Chucking(out_mm=30),),
        features=(
            Face(kind="face"),
            Turned(kind="turned", diameter=Dimension(mm=16, tolerance_class="h7"), to=Dimension(mm=12.5)),
        ),
    )
    assert part_text(part) == (
        "# A part for Waytell, from its drawing. Lengths in mm; diameters are diameters.\n"
        'format = "waytell-part"\nversion = 1\nname = "spacer"\nmaterial = "aluminium alloy"\n'
        "\n[bar]\ndiameter_mm = 20.0\n"
        "\n[[set_ups]]\nout_mm = 30.0\n"
        '\n[[features]]\nkind = "face"\n'
        '\n[[features]]\nkind = "turned"\ndiameter = { mm = 16.0, tolerance_class = "h7" }\nto = 12.5\n'
    )


def test_a_plain_number_is_a_size_without_limits_of_its_own() -> None:
    text = HEAD + '[[features]]\nkind = "turned"\ndiameter = 16\nto = { mm = 12 }\n'
    (turned,) = read_part(text, "part.toml").features
    assert isinstance(turned, Turned)
    assert (turned.diameter, turned.to) == (Dimension(mm=16), Dimension(mm=12))


# -- what cannot be read -----------------------------------------------------------------------------------------------

TURNED = HEAD + '[[features]]\nkind = "turned"\n'
FAULTY = [
    ("", ("is empty", "waytell plan --example")),
    ("# nothing but a remark\n", ("is empty",)),
    ("name = \n", ("is not TOML", "waytell plan --example")),
    ('name = "bush"\nname = "bush"\n', ("is not TOML", "line 2")),
    ("\x00\x01", ("is not TOML", "line 1, column 1")),
    (f"x = {'[' * 100_000}", ("nested too deep",)),
    ("x = " + "9" * 5000, ("thousands of digits",)),
    ('format = "waytell-record"\nversion = 1\n', ("not a part file", "waytell-part")),
    ("version = 2\ncolour = 'red'\n", ("later version", "use a newer one")),
    (f"version = {'9' * 400}\n", ("later version",)),
    ("version = 0\n" + HEAD, ("version: ", "found 0")),
    ("version = '1'\n" + HEAD, ("version: ", "found '1'")),
    ("[machine]\nname = 'lathe'\n", ("machine: no such name; see waytell plan --example", "material: is required")),
    (HEAD.replace('"spacer"', '""'), ("name: ", "at least 1 character")),
    (HEAD.replace("20", "-20"), ("bar.diameter_mm", "greater than 0")),
    (HEAD.replace("20", "1e300"), ("bar.diameter_mm", "less than or equal to 5000")),
    (HEAD.replace("20", "9" * 400), ("bar.diameter_mm", "found 99999")),
    (HEAD.replace("20", "nan"), ("bar.diameter_mm", "found nan")),
    (HEAD.replace("20", "1979-05-27"), ("bar.diameter_mm", "valid number")),
    (HEAD.replace("20", "'20 mm'"), ("bar.diameter_mm", "found '20 mm'")),
    ("set_ups = []\n" + HEAD.split("[[set_ups]]", maxsplit=1)[0], ("set_ups: needs at least 1",)),
    (HEAD + "length = 3\n", ("set-up 1, length: no such name",)),
    (HEAD + "[[set_ups]]\n[[set_ups]]\n", ("set-up 2, out_mm: is required",)),
    ("features = 3\n" + HEAD, ("features: ", "found 3")),
    ("features = [1]\n" + HEAD, ("feature 1: must be a table of names and values",)),
    (HEAD + "[[features]]\ndiameter = 3\n", ("feature 1: has no 'kind'",)),
    (HEAD + "[[features]]\nkind = 'knurl'\n", ("feature 1: 'kind' must be one of 'face', 'turned'", "not knurl")),
    (HEAD + "[[features]]\nkind = 'face'\nset_up = 2\n", ("feature 1 (face) is of set-up 2", "tell with [[set_ups]]")),
    (TURNED + "diameter = '16'\nto = 3\n", ("feature 1 (turned), diameter: must be a number of mm", "found '16'")),
    (TURNED + "diameter = true\nto = 3\n", ("feature 1 (turned), diameter: must be a number of mm", "found True")),
    (TURNED + "diameter = inf\nto = -3\n", ("feature 1 (turned), diameter.mm", "feature 1 (turned), to.mm")),
    (TURNED + "diameter = { mm = 16, upper_mm = 0.1 }\nto = 3\n", ("diameter: upper_mm and lower_mm go together",)),
    (TURNED + "diameter = { mm = 16, upper_mm = 0, lower_mm = 0.1 }\nto = 3\n", ("must be below upper_mm 0.0",)),
    (TURNED + "diameter = { mm = 16, tolerance_class = 'h' }\nto = 3\n", ("tolerance_class", "such as h7 or H8")),
    (HEAD + "[[features]]\nkind = 'face'\n" * 61, ("features: ", "at most 60")),
]


@pytest.mark.parametrize(("text", "says"), FAULTY)
def test_what_cannot_be_used_is_told_with_its_place_and_what_would_do(text: str, says: tuple[str, ...]) -> None:
    with pytest.raises(PartFileError) as refused:
        read_part(text, "part.toml")
    words = str(refused.value)
    assert words.startswith("part.toml ")
    for part in says:
        assert part in words
    assert "pydantic" not in words
    assert "sys." not in words
    assert len(words) < 2000


def test_a_set_up_that_is_at_fault_is_not_called_missing_as_well() -> None:
    with pytest.raises(PartFileError) as refused:
        read_part(HEAD.replace("30", "-30"), "part.toml")
    assert len(str(refused.value).splitlines()) == 2


def test_names_in_a_file_cannot_steer_the_terminal() -> None:
    with pytest.raises(PartFileError) as refused:
        read_part(HEAD + '"\\u001b[2J" = "\\u001b[2J"\n', "part.toml")
    assert "\x1b" not in str(refused.value)


def test_many_faults_are_told_in_part() -> None:
    text = HEAD + "".join(f"x{number} = 1\n" for number in range(40))
    with pytest.raises(PartFileError, match="and 28 more: mend these first"):
        read_part(text, "part.toml")


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_damaged_file_is_a_part_or_is_refused_in_words(data: st.DataObject) -> None:
    content = bytearray(PART_EXAMPLE.encode())
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(content) - 1))
        content[at : at + data.draw(st.integers(0, 30))] = data.draw(st.binary(max_size=4))
    try:
        part = read_part(decoded(bytes(content), "part.toml"), "part.toml")
    except PartFileError as refused:
        assert "part.toml" in str(refused)  # noqa: PT017 - either way is right
    else:
        assert read_part(part_text(part), "part.toml") == part


# -- files -------------------------------------------------------------------------------------------------------------


def test_a_file_of_an_editor_that_marks_the_byte_order_is_read(tmp_path: Path) -> None:
    file = tmp_path / "bush.toml"
    file.write_bytes(b"\xef\xbb\xbf" + PART_EXAMPLE.replace("\n", "\r\n").encode())
    assert load_part(file) == read_part(PART_EXAMPLE, "bush.toml")


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"\xff\xfe\x00", "byte 1 cannot be read. Save it as UTF-8"),
        (b'name = "\xe9tau"\n', "byte 9 cannot be read"),
        (b"\x7fELF\x02\x01\x01\x00\x00", "is not TOML"),
        (b"# \n" * 400_000, "longer than any part file"),
        (b"", "is empty"),
    ],
)
def test_a_file_that_is_no_part_file_is_told_so(tmp_path: Path, content: bytes, says: str) -> None:
    file = tmp_path / "part.toml"
    file.write_bytes(content)
    with pytest.raises(PartFileError, match=says):
        load_part(file)


def test_a_missing_file_and_a_folder_are_told_with_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(PartFileError, match=r"There is no .*bush\.toml. Write one to begin with: waytell plan --exa"):
        load_part(tmp_path / "bush.toml")
    with pytest.raises(PartFileError, match="cannot be read"):
        load_part(tmp_path)


def test_the_part_file_in_the_readme_can_be_planned() -> None:
    (example,) = re.findall(r"```toml\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)
    found = plan(read_part(example, "spacer.toml"), Config())
    assert found.contradictions == ()
    assert found.plan is not None


def test_a_written_part_is_plain_toml() -> None:
    """Read by the reader of Python's own library, without our documents."""
    part = read_part(PART_EXAMPLE, "bush.toml")
    data = tomllib.loads(part_text(part))
    assert data["features"][1]["diameter"] == {"mm": 16.0, "tolerance_class": "h7"}
    assert data["features"][3]["to"] == 24.0
    assert "sawn_mm" not in data["set_ups"][0]
