"""One plain reader of YAML that knows the line of each key and refuses what would surprise."""

import contextlib

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from parts.faults import BadInput, Place
from parts.yamlfile import LARGEST, dotted, read_text, read_yaml

BOAT = """\
name: Loon
decks:
  - name: front
    height: 18 in
  - name: rear
    height: &h 16 in
    edges: {left: *h, right: [1, 2.5]}
"""


def refused(text, name="b.yaml"):
    with pytest.raises(BadInput) as caught:
        read_text(text, name)
    return [str(fault) for fault in caught.value.faults]


def test_plain_values_mean_what_they_seem_to():
    text = """
        a: [no, yes, on, 12:30, 010, 0x10, 1_0, .inf, 2026-01-02, '5', 1e999]
        b: [7, -3, 2.5, .5, 1e3, true, false]"""
    data = read_text(text, "b").data
    assert data["a"] == ["no", "yes", "on", "12:30", "010", "0x10", "1_0", ".inf", "2026-01-02", "5", "1e999"]
    assert data["b"] == [7, -3, 2.5, 0.5, 1000.0, True, False]
    assert [type(value) for value in data["b"]] == [int, int, float, float, float, bool, bool]


def test_empty_values_are_none():
    assert read_text("a:\nb: ~\nc: null\nd: ''\ne: {}\nf: []", "b").data == {
        "a": None, "b": None, "c": None, "d": "", "e": {}, "f": [],
    }  # fmt: skip


def test_places_give_the_line_of_the_nearest_key_that_is_there():
    document = read_text(BOAT, "boat.yaml")
    assert document.place(("decks", 0, "height")) == Place("boat.yaml", 4, "decks[1].height")
    assert document.place(("decks", 1, "edges", "right", 1)) == Place(
        "boat.yaml", 7, "decks[2].edges.right[2]"
    )
    assert document.place(("decks", 0, "colour")) == Place("boat.yaml", 3, "decks[1].colour")
    assert document.place(("hull", "keel")) == Place("boat.yaml", None, "hull.keel")
    assert document.place() == Place("boat.yaml", None, "")
    assert dotted((0, "a")) == "[1].a"


def test_every_key_of_a_line_per_key_file_is_placed_on_its_line():
    rows = ["top:"] + [f"  k{i}: {i}" for i in range(50)]
    document = read_text("\n".join(rows), "f")
    assert [document.place(("top", f"k{i}")).line for i in range(50)] == list(range(2, 52))


def test_duplicate_keys_are_all_told_with_the_line_of_the_first():
    assert refused("a: 1\nb:\n  c: 1\n  c: 2\na: 3") == [
        "b.yaml:4 b.c: the key stands twice (first on line 3); keep one",
        "b.yaml:5 a: the key stands twice (first on line 1); keep one",
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "b.yaml:1: the file is empty"),
        ("# nothing\n\n", "b.yaml:1: the file is empty"),
        ("- 1\n", "b.yaml:1: the file is not a mapping"),
        ("\n\nhello\n", "b.yaml:3: the file is not a mapping"),
        ("a:\n\tb: 1\n", "b.yaml:2: a tab in the indent; indent with spaces"),
        ("a: 1\nb: [1, 2\nc: 3\n", "b.yaml:3: this is not YAML"),
        ("a: 1\nb: c: d\n", "b.yaml:2: this is not YAML"),
        ("a: 1\nb: 'c\n", "this is not YAML"),
        ("a: 1\n---\nb: 2\n", "b.yaml:2: a second document"),
        ("a: 1\n1: b\n", "b.yaml:2: the key '1' is not text; put it in quotes: '1'"),
        ("true: b\n", "the key 'true' is not text"),
        ("~: b\n", "the key '~' is not text"),
        ("? [a]\n: b\n", "b.yaml:1: a key that is not text"),
        ("a: &x {b: 1}\nc:\n  <<: *x\n", "b.yaml:3 c: the merge key '<<' is not read"),
        ("a: !!python/object/apply:os.system [ls]\n", "b.yaml:1 a: the tag"),
        ("a: !thing 3\n", "b.yaml:1 a: the tag '!thing'"),
        ("a: *b\n", "b.yaml:1 a: *b stands for nothing"),
        ("a: &x\n  b: *x\n", "b.yaml:2 a.b: *x holds itself"),
        ("a: &x [1, *x]\n", "b.yaml:1 a[2]: *x holds itself"),
        (b"a: 1\nb: \xff\n", "b.yaml:2: the text is not UTF-8"),
        ("a: 1\nb: \x00\n", "b.yaml:2: a character that no text has"),
        ("a: " + "[" * 60 + "]" * 60, "nested more than 40 deep"),
        ("[" * 500_000, "b.yaml:1"),
        ("- " * 500_000, "nested more than 40 deep"),
        ("a: [" + "1, " * 30_000 + "]", "more than 20000 values"),
        ("a: " + "x" * LARGEST, "too large"),
    ],
)
def test_what_is_refused_and_where(text, said):
    assert said in "\n".join(refused(text))


def test_faults_before_a_syntax_error_are_told_with_it():
    told = refused("a: 1\na: 2\nb: [\n")
    assert len(told) == 2
    assert "stands twice" in told[0]


def test_aliases_that_explode_are_refused_and_sparing_ones_read():
    rows = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    rows += [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 9)}]" for i in range(1, 10)]
    assert "aliases counted out" in refused("\n".join(rows))[0]
    assert read_text("\n".join(rows[:3]), "b").data["a2"][8][8][8] == "x"


def test_a_missing_file_a_folder_and_a_device_are_refused(tmp_path):
    for path, said in [
        (tmp_path / "no.yaml", "no such file"),
        (tmp_path, "not a file"),
        ("/dev/zero", "not a file"),
    ]:
        with pytest.raises(BadInput, match=said):
            read_yaml(path)


def test_a_file_of_50_mb_is_refused_by_its_size_without_being_read(tmp_path, monkeypatch):
    path = tmp_path / "big.yaml"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    monkeypatch.setattr("pathlib.Path.read_bytes", lambda self: pytest.fail("it was read"))
    with pytest.raises(BadInput, match=r"50\.0 MB; at most 2 MB"):
        read_yaml(path)


def test_a_file_with_a_byte_order_mark_and_windows_line_ends_is_read(tmp_path):
    path = tmp_path / "boat.yaml"
    path.write_bytes(b"\xef\xbb\xbfname: Loon\r\nbeam: 60 in\r\n")
    document = read_yaml(path)
    assert document.data == {"name": "Loon", "beam": "60 in"}
    assert document.place(("beam",)) == Place(str(path), 2, "beam")


_TEXTS = st.text(st.characters(codec="ascii", exclude_categories=["Cc"]), max_size=8)
_VALUES = st.recursive(
    st.one_of(st.booleans(), st.integers(-(10**9), 10**9), _TEXTS, st.none()),
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(_TEXTS, inner, max_size=4)),
    max_leaves=15,
)


@given(st.dictionaries(_TEXTS, _VALUES, min_size=1, max_size=5))
def test_what_pyyaml_writes_in_quotes_reads_back_the_same(data):
    # Quoting every text takes away PyYAML's own idea of which plain words are text.
    assert read_text(yaml.dump(data, Dumper=_Quoting, sort_keys=False), "f").data == data


class _Quoting(yaml.SafeDumper):
    """Writes each text in double quotes."""

    def ignore_aliases(self, data):
        return True


_Quoting.add_representer(
    str, lambda dumper, text: dumper.represent_scalar("tag:yaml.org,2002:str", text, style='"')
)


@given(st.text(alphabet="ab:-[]{}&*!|>'\"#%@,? \n\t1<", max_size=60))
def test_any_text_is_read_or_refused_with_faults(text):
    # Anything but BadInput escapes and fails the test.
    with contextlib.suppress(BadInput):
        assert isinstance(read_text(text, "f").data, dict)
