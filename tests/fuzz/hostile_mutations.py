"""Damage done to sound files: what a fuzzer without coverage, or an unlucky spreadsheet, makes of them."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

# What has broken readers of text before.
PIECES = (
    b"\x00", b"\xff", b"\xef\xbb\xbf", b"\xff\xfe", b"\r", b"\r\n", b"\n", b"\x85", b"\xe2\x80\xa8",
    b"\t", b'"', b'""', b"'", b",", b";", b":", b": ", b"- ", b"[", b"]", b"{", b"}", b"&a ", b"*a",
    b"<<: ", b"!!int ", b"|\n", b">-\n", b"? ", b"---\n", b"...\n", b"#", b"%YAML 1.1\n", b"=", b"@",
    b"\\", b"\xe2\x80\xae", b"\xf0\x9f\xa6\x8b", b"\xc2\xa0", b"\xd9\xa1", b"\xed\xa0\x80", b"\\ud800",
    b"1e308", b"1e999", b"-1", b"nan", b"inf", b"0x10", b"9" * 400, b"1_000", b"12:30", b"no", b"null",
    b"~", b"010", b"2027-02-29", b"2028-02-29", b"0000-00-00", b"9999-12-31T23:59", b"03/07/2027",
    b"3.7.27", b"2027-07-03T24:00", b"T" * 300, b" " * 300, b"[" * 60, b"{a: " * 60, b"- " * 60, b"../x",
    b"/dev/zero", b"<script>", b"]]>", b"$x$", b"%s{0}",
)  # fmt: skip


def _cut(data: bytes, chance: random.Random) -> bytes:
    a, b = sorted(chance.randint(0, len(data)) for _ in range(2))
    return data[:a] + data[b:]


def _put(data: bytes, chance: random.Random) -> bytes:
    at = chance.randint(0, len(data))
    return data[:at] + chance.choice(PIECES) + data[at:]


def _over(data: bytes, chance: random.Random) -> bytes:
    at, piece = chance.randint(0, len(data)), chance.choice(PIECES)
    return data[:at] + piece + data[at + len(piece) :]


def _flip(data: bytes, chance: random.Random) -> bytes:
    if not data:
        return data
    at = chance.randrange(len(data))
    return data[:at] + bytes([data[at] ^ 1 << chance.randrange(8)]) + data[at + 1 :]


def _lines(data: bytes, chance: random.Random) -> bytes:
    lines = data.splitlines(keepends=True)
    chance.shuffle(lines)
    return b"".join(lines)


def _twice(data: bytes, chance: random.Random) -> bytes:
    a, b = sorted(chance.randint(0, len(data)) for _ in range(2))
    return data[:b] + data[a:b] * chance.choice((1, 1, 30)) + data[b:]


def _word(data: bytes, chance: random.Random) -> bytes:
    """Another word where one stood: what keeps the form and spoils the sense."""
    at = [i for i in range(len(data)) if data[i : i + 1].isalnum() and not data[i - 1 : i].isalnum()]
    if not at:
        return data
    start = end = chance.choice(at)
    while end < len(data) and (data[end : end + 1].isalnum() or data[end : end + 1] in b"-.+_"):
        end += 1
    return data[:start] + chance.choice(PIECES) + data[end:]


WAYS: tuple[Callable[[bytes, random.Random], bytes], ...] = (
    _cut,
    _put,
    _over,
    _flip,
    _lines,
    _twice,
    _word,
    _word,
)


def mutated(files: Sequence[bytes], chance: random.Random) -> bytes:
    """One of the files, damaged one to six times."""
    data = chance.choice(files)
    for _ in range(chance.randint(1, 6)):
        data = chance.choice(WAYS)(data, chance)
    return data[:20_000]
