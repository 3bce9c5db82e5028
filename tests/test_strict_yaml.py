"""Reading YAML that may come from anybody."""

import os
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine import strict_yaml
from lightoff.engine.model import Place
from lightoff.engine.strict_yaml import parse, read


@pytest.fixture(params=["C parser", "Python parser"])
def _parser(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Run a test with either of the two parsers."""
    loader = yaml.CSafeLoader if request.param == "C parser" else yaml.SafeLoader
    monkeypatch.setattr(strict_yaml, "_PARSER", loader)


either_parser = pytest.mark.usefixtures("_parser")


def problems(text: str | bytes) -> list[str]:
    raw = text.encode() if isinstance(text, str) else text
    return [str(problem) for problem in parse(raw, "file.yaml").problems]


@either_parser
@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("on", "on"),
        ("off", "off"),
        ("yes", "yes"),
        ("1:30", "1:30"),
        ("010", "010"),
        ("0x1F", "0x1F"),
        ("1_000", "1_000"),
        (".inf", ".inf"),
        (".nan", ".nan"),
        ("2026-01-01", "2026-01-01"),
        ("<<", "<<"),
        ("60 s", "60 s"),
        ("True", "True"),
        ("true", True),
        ("false", False),
        ("12", 12),
        ("-3", -3),
        ("0.65", 0.65),
        ("8.0e5", 8.0e5),
        ("1e3", 1000.0),
        (".5", 0.5),
        ("'12'", "12"),
        ('"null"', "null"),
        ("'true'", "true"),
        ("''", ""),
    ],
)
def test_a_scalar_is_read_by_our_own_rules(text: str, value: object) -> None:
    document = parse(f"a: {text}".encode(), "f")
    assert document.problems == ()
    assert document.data == {"a": value}
    assert type(document.data["a"]) is type(value)


@either_parser
def test_keys_stay_text() -> None:
    assert parse(b"on: 1\n2: 3\ntrue: 4\n010: 5", "f").data == {
        "on": 1,
        "2": 3,
        "true": 4,
        "010": 5,
    }


@either_parser
def test_every_value_keeps_its_place() -> None:
    document = parse(b"- id: a\n  values: {x: 1,\n    y: [2, 3]}\n-   id: b\n", "f.yaml")
    assert document.marks[0, "id"] == Place("f.yaml", 1, 3)
    assert document.marks[0, "values", "x"] == Place("f.yaml", 2, 12)
    assert document.marks[0, "values", "y"] == Place("f.yaml", 3, 5)
    assert document.marks[0, "values", "y", 1] == Place("f.yaml", 3, 12)
    assert document.marks[1, "id"] == Place("f.yaml", 4, 5)
    assert document.place((1, "id", "deeper", "still")) == Place("f.yaml", 4, 5)


@either_parser
def test_all_mistakes_of_a_file_are_listed_at_once() -> None:
    text = "a: &x 1\nb: *x\nc: !!python/object:os.system 1\nd: 1\nd: 2\ne:\nf: null\ng: ~\n"
    assert problems(text) == [
        "file.yaml:1: &x is an anchor; take it out",
        "file.yaml:2: *x is an alias; write the value out",
        "file.yaml:3: tag:yaml.org,2002:python/object:os.system is a tag; take it out",
        "file.yaml:5: d stands here twice (line 4); keep one",
        "file.yaml:6: e has no value; give one or take the line out",
        "file.yaml:7: f has no value; give one or take the line out",
        "file.yaml:8: g has no value; give one or take the line out",
    ]


@either_parser
@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "file.yaml:1: the file is empty; fill it or remove it"),
        ("# only a comment\n", "file.yaml:1: the file is empty; fill it or remove it"),
        ("a: 1\n---\nb: 2\n", "file.yaml:2: a second document starts; keep one document"),
        ("%YAML 1.1\n---\na: 1\n", "file.yaml:1: a % directive is not read"),
        ("a: 1\n? [b]\n: 1\n", "file.yaml:2: a key is not a plain word"),
        ("a: b\n\tc: d\n", "file.yaml:2: not YAML: "),
        ("a: [1, 2\nb: 3\n", "file.yaml:2: not YAML: "),
        ("a: 1\nb: {c: 'd}\n", "file.yaml:"),
        ("a: 1" + 30 * "0", "file.yaml:1: 10000000000000000000 is out of range"),
        ("a: 1e999", "file.yaml:1: 1e999 is out of range"),
        ("- 1\n- !mine {a: 1}\n", "file.yaml:2: !mine is a tag"),
        ("- &b [1]\n", "file.yaml:1: &b is an anchor"),
    ],
)
def test_what_is_not_ours_is_refused_with_its_line(text: str, message: str) -> None:
    found = problems(text)
    assert len(found) >= 1
    assert found[0].startswith(message)


@either_parser
def test_an_alias_bomb_does_not_expand() -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 9)]
    document = parse("\n".join(lines).encode(), "f")
    assert len(document.problems) == strict_yaml.MOST_PROBLEMS
    assert any("is an alias" in problem.what for problem in document.problems)


@either_parser
@pytest.mark.parametrize("opening", ["[", "{a: ", "- ", "? "])
def test_deep_nesting_is_refused(opening: str) -> None:
    document = parse((opening * 5000).encode(), "f")
    assert document.data is None
    assert len(document.problems) >= 1


def test_the_deepest_nesting_allowed_is_read() -> None:
    deep = strict_yaml.DEEPEST
    assert parse(("[" * deep + "1" + "]" * deep).encode(), "f").problems == ()
    (problem,) = parse(("[" * (deep + 1) + "1" + "]" * (deep + 1)).encode(), "f").problems
    assert "nested deeper than" in problem.what


def test_too_many_values_are_refused() -> None:
    (problem,) = parse(b"[" + b"1," * strict_yaml.MOST_NODES + b"1]", "f").problems
    assert problem.what == f"more than {strict_yaml.MOST_NODES} values in a file"


def test_a_file_that_is_too_large_is_refused() -> None:
    (problem,) = parse(b"a" * (strict_yaml.LARGEST_FILE + 1), "f").problems
    assert problem.what == f"the file is larger than {strict_yaml.LARGEST_FILE} bytes"


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        (b"a: 1\nb: \x00\n", "file.yaml:2: the file holds the control character U+0000"),
        (b"a: \x1b[31m\n", "file.yaml:1: the file holds the control character U+001B"),
        ("a: 1\n\nb: \u202e".encode(), "file.yaml:3: the file holds the control character U+202E"),
        (b"a: 1\nb: \xff\n", "file.yaml:2: the file is not UTF-8 text here"),
        (b"a: \xc0\x80", "file.yaml:1: the file is not UTF-8 text here"),
        (b"a: \xed\xa0\x80", "file.yaml:1: the file is not UTF-8 text here"),
    ],
)
def test_bytes_that_are_no_clean_text_are_refused(raw: bytes, message: str) -> None:
    (found,) = problems(raw)
    assert found.startswith(message)


@either_parser
def test_a_control_character_written_as_an_escape_is_refused() -> None:
    assert problems('a: "x\\e[31m"\n"\\0": 1') == [
        "file.yaml:1: a text holds the control character U+001B; take it out",
        "file.yaml:2: a text holds the control character U+0000; take it out",
    ]


def test_a_byte_order_mark_at_the_start_is_skipped() -> None:
    assert parse(b"\xef\xbb\xbfa: 1", "f").data == {"a": 1}


@either_parser
def test_a_mistake_is_one_short_line_whatever_it_quotes() -> None:
    key = "k" * 3000
    (found,) = problems(f'"{key}\\n\\t{key}": 1\n"{key}\\n\\t{key}": 2\n')
    assert "\n" not in found
    assert len(found) < 1000


def test_reading_stops_after_so_many_mistakes_even_if_the_file_breaks_off() -> None:
    text = "- ~\n" * (strict_yaml.MOST_PROBLEMS - 1) + "- [\n"
    assert len(problems(text)) == strict_yaml.MOST_PROBLEMS
    assert len(problems("- ~\n" * 1000)) == strict_yaml.MOST_PROBLEMS


@either_parser
@given(raw=st.binary(max_size=200))
def test_no_bytes_raise(raw: bytes) -> None:
    document = parse(raw, "f")
    assert document.data is not None or document.problems


YAMLISH = st.text("ab:-[]{},&*!|>%@`'\"?#~ \n\t01.\\", max_size=80)


@either_parser
@given(text=YAMLISH)
def test_no_text_with_yaml_signs_raises(text: str) -> None:
    document = parse(text.encode(), "f")
    assert document.data is not None or document.problems


PLAIN = st.recursive(
    st.one_of(st.integers(-(10**9), 10**9), st.booleans(), st.text("abc xyz", min_size=1)),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4),
        st.dictionaries(st.text("abc", min_size=1), inner, max_size=4),
    ),
    max_leaves=12,
)


@either_parser
@given(data=PLAIN)
def test_plain_data_is_read_as_it_was_written(data: object) -> None:
    text = yaml.safe_dump(data, default_style=None, default_flow_style=False)
    document = parse(text.encode(), "f")
    assert document.problems == ()
    assert document.data == data


def test_a_file_is_read_under_the_name_it_is_shown_by(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("a: 1\na: 2\n")
    assert str(read(tmp_path / "a.yaml", "parts/a.yaml").problems[0]).startswith("parts/a.yaml:2: ")
    assert read(tmp_path / "a.yaml").file == "a.yaml"


def test_what_is_no_readable_file_is_a_problem_not_an_exception(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for name in ("missing.yaml", "pipe", ".", "nul\0l"):
        document = read(tmp_path / name)
        assert document.data is None
        assert len(document.problems) == 1
