"""YAML read as text: every scalar stays what was written, and everything knows its line and column.

So ``no``, ``12:30``, ``010`` and ``2027-02-30`` never become something else before a field that knows its
kind has looked at them. Built on the parser's events rather than on its nodes: events are a flat stream, so
neither nesting nor aliases can exhaust the stack or the memory before they are counted.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TypeAlias

import yaml

from planner.season.reading.problems import FaultyFiles, Problem, shorten

DEEPEST = 40
MOST_ALIASED = 10_000  # values that aliases may add to those written
MOST_VALUES = 2_000_000  # of which 10,000 pupae in a plan need a sixth
LARGEST = 1_000_000  # bytes, unless the caller says otherwise

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_QUOTES = ("'", '"', "|", ">")
_PLAIN_TAGS = ("!", "tag:yaml.org,2002:str", None)

Value: TypeAlias = "str | list[Node] | dict[str, Node]"
Keys: TypeAlias = dict[str, tuple[int, int]]
Plain: TypeAlias = "str | list[Plain] | dict[str, Plain]"

_NO_KEYS: Keys = {}  # shared by all that is no mapping: most values of a file are texts


@dataclass(eq=False, slots=True)
class Node:
    """One value: text, a list of nodes or a mapping of nodes. ``line`` and ``column`` count from 1.

    ``keys``: line and column of each key of a mapping. ``quoted``: the text stood in quotes (so that an
    empty one is meant, not forgotten).
    """

    value: Value
    line: int = 1
    column: int = 1
    quoted: bool = False
    keys: Keys = field(default_factory=lambda: _NO_KEYS)

    @property
    def blank(self) -> bool:
        """Nothing was written."""
        return self.value == "" and not self.quoted

    @property
    def kind(self) -> str:
        """What it is, in a reader's words."""
        if isinstance(self.value, str):
            return "nothing" if self.blank else f"'{shorten(self.value)}'"
        return "a list" if isinstance(self.value, list) else "a mapping"

    def plain(self) -> Plain:
        """Only dict, list and str, without places."""
        if isinstance(self.value, str):
            return self.value
        if isinstance(self.value, list):
            return [n.plain() for n in self.value]
        return {k: n.plain() for k, n in self.value.items()}


def decode(data: bytes, file: str, largest: int = LARGEST) -> str:
    """UTF-8 bytes, with or without a byte order mark, as text. Raises FaultyFiles."""

    def fault(what: str, at: int = -1) -> FaultyFiles:
        before = data[: max(at, 0)].removeprefix(b"\xef\xbb\xbf").decode("utf-8", "replace")
        line = before.count("\n") + 1 if at >= 0 else 0
        column = len(before) - before.rfind("\n") if at >= 0 else 0
        return FaultyFiles([Problem(file, line, column, "", what)])

    if len(data) > largest:
        raise fault(f"the file is too long: at most {largest} bytes are read")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise fault("the file is written in UTF-16: save it as UTF-8")
    if (at := data.find(b"\0")) >= 0:
        raise fault("a NUL byte: this is not a text file, or it was damaged", at)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as e:
        # The codec counts from behind the byte order mark.
        at = e.start + (3 if data.startswith(b"\xef\xbb\xbf") else 0)
        raise fault(f"byte 0x{data[at]:02x} is not UTF-8: save the file as UTF-8", at) from None


def read_yaml(data: bytes, file: str, largest: int = LARGEST) -> Node:
    """Read one YAML document; ``file`` is the name used in problems.

    Raises
    ------
    FaultyFiles
        The bytes are not UTF-8, not YAML, or hold what no settings file needs: duplicate keys, keys that are
        not text, tags, aliases inside what they stand for, aliases that expand hugely, very deep nesting.
    """
    text = decode(data, file, largest)
    builder = _Builder(file)
    try:
        for event in yaml.parse(text, Loader=_Loader):
            builder.take(event)
    except yaml.YAMLError as e:
        raise FaultyFiles([*builder.problems, _syntax(e, text, file)]) from None
    if builder.problems:
        raise FaultyFiles(builder.problems)
    if builder.root is None or builder.root.blank:
        raise FaultyFiles([Problem(file, 0, 0, "", "the file is empty")])
    return builder.root


class _Builder:
    """Turns events into nodes, on a stack of its own."""

    def __init__(self, file: str):
        self.file = file
        self.problems: list[Problem] = []
        self.root: Node | None = None
        self.open: list[Node] = []
        self.key: list[str | None] = []  # per open mapping: the key whose value comes next
        self.anchors: dict[str, Node] = {}
        self.size: dict[int, int] = {}  # id of a finished node → values it expands to
        self.added = 0
        self.count = 0

    def fault(self, event: yaml.Event, what: str) -> None:
        self.problems.append(Problem(self.file, *_place(event), "", what))

    def stop(self, event: yaml.Event, what: str) -> FaultyFiles:
        self.fault(event, what)
        return FaultyFiles(self.problems)

    def take(self, event: yaml.Event) -> None:
        if isinstance(event, yaml.ScalarEvent):
            self.check_tag(event)
            self.place(event, self.node(event, event.value, quoted=event.style in _QUOTES))
        elif isinstance(event, yaml.AliasEvent):
            self.alias(event)
        elif isinstance(event, yaml.CollectionStartEvent):
            self.check_tag(event)
            value: Value = [] if isinstance(event, yaml.SequenceStartEvent) else {}
            if self.expects_key():
                raise self.stop(event, "a key must be text, not a list or a mapping")
            node = self.node(event, value)
            self.place(event, node)
            self.open.append(node)
            self.key.append(None)
            if len(self.open) > DEEPEST:
                raise self.stop(event, f"nested more than {DEEPEST} deep")
        elif isinstance(event, yaml.CollectionEndEvent):
            self.key.pop()
            self.finish(self.open.pop())
        elif isinstance(event, yaml.DocumentStartEvent) and self.root is not None:
            raise self.stop(event, "a second document: only one is allowed in a file")

    def node(self, event: yaml.NodeEvent, value: Value, quoted: bool = False) -> Node:
        self.count += 1
        if self.count > MOST_VALUES:
            raise self.stop(event, f"more than {MOST_VALUES} values")
        line, column = _place(event)
        node = Node(value, line, column, quoted, {} if isinstance(value, dict) else _NO_KEYS)
        if event.anchor is not None:
            self.anchors[event.anchor] = node
        return node

    def check_tag(self, event: yaml.ScalarEvent | yaml.CollectionStartEvent) -> None:
        if event.tag not in _PLAIN_TAGS:
            self.fault(event, f"the tag {shorten(str(event.tag))} is not allowed: write the plain value")

    def expects_key(self) -> bool:
        return bool(self.open) and isinstance(self.open[-1].value, dict) and self.key[-1] is None

    def place(self, event: yaml.NodeEvent, node: Node) -> None:
        """Put a node where it belongs: root, item, key or value."""
        if not self.open:
            self.root = node
            return
        home = self.open[-1]
        if isinstance(home.value, list):
            home.value.append(node)
        elif isinstance(home.value, dict):
            key = self.key[-1]
            if key is not None:
                home.value.setdefault(key, node)
                self.key[-1] = None
            elif not isinstance(node.value, str):
                raise self.stop(event, "a key must be text, not a list or a mapping")
            else:
                self.key[-1] = node.value
                if node.value in home.keys:
                    first = home.keys[node.value][0]
                    self.fault(event, f"'{shorten(node.value)}' is given twice, first in line {first}")
                home.keys.setdefault(node.value, _place(event))

    def alias(self, event: yaml.AliasEvent) -> None:
        name = str(event.anchor)
        node = self.anchors.get(name)
        if node is None:
            raise self.stop(
                event, f"*{shorten(name)} stands for nothing: there is no &{shorten(name)} above it"
            )
        if any(node is o for o in self.open):
            raise self.stop(event, f"*{shorten(name)} stands inside the value it stands for")
        self.added += self.size.get(id(node), 1)
        if self.added > MOST_ALIASED:
            raise self.stop(event, f"aliases expand to more than {MOST_ALIASED} values")
        self.place(event, node)

    def finish(self, node: Node) -> None:
        """Note how many values a closed collection expands to; its parts are closed already."""
        parts = node.value.values() if isinstance(node.value, dict) else node.value
        self.size[id(node)] = 1 + sum(self.size.get(id(p), 1) for p in parts)


def _place(event: yaml.Event) -> tuple[int, int]:
    """Line and column, from 1."""
    mark = event.start_mark
    return (mark.line + 1, mark.column + 1) if mark else (0, 0)


def _syntax(error: yaml.YAMLError, text: str, file: str) -> Problem:
    """Say a parser's complaint in plain words, at the place where a keeper would look."""
    if isinstance(error, yaml.reader.ReaderError):
        before = text[: error.position]
        column = len(before) - before.rfind("\n")
        what = f"the control character U+{int(error.character):04X} is not allowed"
        return Problem(file, before.count("\n") + 1, column, "", what)
    if not isinstance(error, yaml.MarkedYAMLError):
        return Problem(file, 0, 0, "", f"not YAML: {shorten(str(error))}")
    mark = error.problem_mark or error.context_mark
    said, context, began = error.problem or "", error.context or "", error.context_mark
    since = f" opened in line {began.line + 1}" if began else ""
    lines = text.splitlines()
    here = lines[mark.line][mark.column : mark.column + 1] if mark and mark.line < len(lines) else ""
    if "mapping values are not allowed" in said:
        what = "a ':' cannot stand here: mend the indentation here or in the line above, or quote the text"
    elif "cannot start any token" in said and here == "\t":
        what = "a tab: indent with spaces"
    elif "cannot start any token" in said:
        what = f"'{here}' cannot begin a value: put the text in quotes"
    elif "quoted scalar" in context or "quoted scalar" in said:
        escape = "escape" in said
        mark = began or mark
        what = (
            "a backslash stands in these double quotes: use single quotes"
            if escape
            else "this quote is never closed"
        )
    elif "nesting" in said:
        what = f"nested more than {DEEPEST} deep"
    elif "node content" in said:
        what = f"'{here}' cannot stand here" if here.strip() else "a value is missing here"
    elif "flow sequence" in context:
        what = f"a ',' or ']' is missing in the list{since}"
    elif "flow mapping" in context:
        what = f"a ',' or '}}' is missing in the mapping{since}"
    elif "simple key" in context:
        mark = began or mark
        what = "a ':' is missing behind this"
    elif "block" in context:
        what = "the indentation does not fit the lines above"
    else:
        what = f"not YAML: {said or context}"
    return Problem(file, mark.line + 1 if mark else 0, mark.column + 1 if mark else 0, "", what)
