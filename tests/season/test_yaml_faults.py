"""Files that are no YAML, or YAML that no settings file needs: what stands in them, and the line reported."""

import pytest
import yaml

from planner.season.reading import yaml_text

SYNTAX = {
    "an unclosed list": (
        "places: [1, 2\nunits: cm\n",
        "2:6: a ',' or ']' is missing in the list opened in line 1",
    ),
    "an unclosed mapping": (
        "temperature: {constant: 23\n",
        "2:1: a ',' or '}' is missing in the mapping opened in line 1",
    ),
    "a tab": ("places:\n\t- 1\n", "2:1: a tab: indent with spaces"),
    "an indentation that does not fit": (
        "- a\nunits: cm\n",
        "2:1: the indentation does not fit the lines above",
    ),
    "a colon in a text": (
        "season: porch: left\n",
        "1:14: a ':' cannot stand here: mend the indentation here or in the line above, or quote the text",
    ),
    "a missing colon": ("units: cm\nseason\ndrop: 1\n", "2:1: a ':' is missing behind this"),
    "an unclosed quote": ("units: cm\nseason: 'porch\n", "2:9: this quote is never closed"),
    "a backslash in quotes": (
        'season: "a\\q"\n',
        "1:9: a backslash stands in these double quotes: use single quotes",
    ),
    "a value that begins with an at sign": (
        "season: @home\n",
        "1:9: '@' cannot begin a value: put the text in quotes",
    ),
    "a bracket too many": ("season: ]\n", "1:9: ']' cannot stand here"),
    "a file that breaks off": ("places: [\n", "2:1: a value is missing here"),
    "a control character": ("season: a\x01\n", "1:10: the control character U+0001 is not allowed"),
    "a key given twice": ("units: cm\nunits: in\n", "2:1: 'units' is given twice, first in line 1"),
    "a list as a key": ("? [a]\n: b\n", "1:3: a key must be text, not a list or a mapping"),
    "a mapping as a key": ("{a: 1}: b\n", "1:1: a key must be text, not a list or a mapping"),
    "a tag": (
        "season: !!python/name:os.system x\n",
        "1:9: the tag tag:yaml.org,2002:python/name:os.system is not allowed: write the plain value",
    ),
    "an alias of nothing": ("season: *x\n", "1:9: *x stands for nothing: there is no &x above it"),
    "an alias within itself": ("places: &x [*x]\n", "1:13: *x stands inside the value it stands for"),
    "a second document": (
        "units: cm\n---\nunits: in\n",
        "2:1: a second document: only one is allowed in a file",
    ),
    "41 nested lists": ("places: " + "[" * 40 + "]" * 40, "1:48: nested more than 40 deep"),
}


@pytest.mark.parametrize("loader", [yaml.SafeLoader, getattr(yaml, "CSafeLoader", yaml.SafeLoader)])
@pytest.mark.parametrize(("text", "line"), SYNTAX.values(), ids=SYNTAX)
def test_what_is_no_yaml_is_one_problem_with_its_place(faults_of, monkeypatch, loader, text, line):
    # The two parsers word their complaints differently; ours must not depend on which of them is there.
    monkeypatch.setattr(yaml_text, "_Loader", loader)
    assert faults_of(text) == [f"season.yaml:{line}"]


def test_a_hundred_thousand_nested_lists_are_refused_like_forty_one(faults_of):
    (line,) = faults_of("places: " + "[" * 100_000)
    assert line.endswith(": nested more than 40 deep")


def test_aliases_that_would_expand_to_billions_are_refused(faults_of):
    # 10 values, then nine lists of ten aliases each: 10**10 values when expanded.
    lines = ["a0: &a0 [0, 1, 2, 3, 4, 5, 6, 7, 8, 9]"]
    lines += [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 10)}]" for i in range(1, 10)]
    # One alias of a0 adds 11 values, of a1 111, of a2 1111: a1 adds 110, a2 1110, and the 8th alias in a3
    # makes it 110 + 1110 + 8 * 1111 = 10108, the first sum above 10000.
    assert faults_of("\n".join(lines)) == ["season.yaml:4:45: aliases expand to more than 10000 values"]


BYTES = {
    "nothing": (b"", " the file is empty"),
    "only comments": (b"# units: cm\n\n", " the file is empty"),
    "only zeros, as a power cut leaves": (
        b"\0" * 64,
        "1:1: a NUL byte: this is not a text file, or it was damaged",
    ),
    "a NUL in line 2": (
        b"units: cm\nseason: a\0b\n",
        "2:10: a NUL byte: this is not a text file, or it was damaged",
    ),
    "a letter of an old code page": (
        b"season: caf\xe9\n",
        "1:12: byte 0xe9 is not UTF-8: save the file as UTF-8",
    ),
    "the same behind a byte order mark": (
        b"\xef\xbb\xbfunits: cm\nseason: caf\xe9\n",
        "2:12: byte 0xe9 is not UTF-8: save the file as UTF-8",
    ),
    "UTF-16": ("units: cm\n".encode("utf-16"), " the file is written in UTF-16: save it as UTF-8"),
    "a file too long": (b"#" * 1_000_001, " the file is too long: at most 1000000 bytes are read"),
    "a list": (b"- units\n", "1:1: a list where 'key: value' pairs are expected"),
    "a word": (b"butterflies\n", "1:1: 'butterflies' where 'key: value' pairs are expected"),
}


@pytest.mark.parametrize(("data", "line"), BYTES.values(), ids=BYTES)
def test_a_damaged_file_is_named_with_what_is_wrong(faults_of, data, line):
    assert faults_of(data)[0] == f"season.yaml:{line}"
