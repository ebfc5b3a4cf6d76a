"""CSV files: those of strangers read strictly, ours written so that spreadsheets take them as they are.

Reading guesses nothing. A file in another encoding or with another delimiter is refused with the option that reads it;
a wrong header is refused with what is missing and what was found. What is wrong with single lines is collected, so
that a person mends a file once. Cells are text; what they mean is for the caller.

A text that begins like a spreadsheet formula is written with an apostrophe in front, which reading takes off again.
"""

import csv
import difflib
import io
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import NamedTuple

from stock.errors import StockError, Unclear

MOST_BYTES = 64 * 1024 * 1024
_DELIMITERS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
_DELIMITER_WORDS = {"comma": ",", "semicolon": ";", "tab": "\t", "\\t": "\t", "bar": "|"}
_OPTION = {",": ",", ";": '";"', "\t": "tab", "|": '"|"'}
_UNITS = {"mm", "g", "deg", "pct", "c", "cm3"}
_FORMULA = re.compile(r"'*[=+\-@\t\r]")


class Line(NamedTuple):
    """One line of a file: its number as an editor counts, and its cells by column, without spaces around."""

    number: int
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A CSV file that was read.

    Attributes:
        name: the file's name.
        columns: the names of its columns, as found, folded to lower case with underscores.
        lines: its lines; blank ones left out.
        bad: number and reason of each line that cannot be taken apart.
        ignored: the columns that the caller does not know.
    """

    name: str
    columns: tuple[str, ...]
    lines: tuple[Line, ...]
    bad: tuple[tuple[int, str], ...]
    ignored: tuple[str, ...]


def read(
    path: Path, needed: Sequence[str], known: Sequence[str] = (), *, encoding: str = "utf-8", delimiter: str = ","
) -> Sheet:
    """The lines of a stranger's CSV file.

    Args:
        path: the file.
        needed: the columns that must be there, in any order.
        known: further columns that the caller understands.
        encoding: how its letters are coded; UTF-8 may begin with a byte-order mark.
        delimiter: one of `,` `;` `|` and tab, or its name.

    Returns:
        The sheet. A file with a header and no lines is a sheet of no lines.

    Raises:
        StockError: not a readable text file, larger than 64 MB, of another encoding or delimiter, with a quote that is
            never closed, or with a header in which columns are missing or double. The message names the file.
    """
    mark = _delimiter(delimiter)
    records = _records(path.name, _text(path, encoding), mark)
    header = next(((number, cells) for number, cells in records if any(cells)), None)
    if header is None:
        raise _refused(f"{path.name} is empty.", f"Its first line names the columns: {','.join(needed)}")
    columns = _columns(path.name, header[1], needed, known, mark)
    lines: list[Line] = []
    bad: list[tuple[int, str]] = []
    for number, cells in records:
        if not any(cells):
            continue
        if any(cells[len(columns) :]) or any(text and not name for name, text in zip(columns, cells, strict=False)):
            width = len([name for name in columns if name])
            hint = "a text with a comma in it needs quotes around it" if mark == "," else "quote texts that hold it"
            bad.append((number, f"it has {len(cells)} fields, the header has {width}; {hint}"))
            continue
        padded = (*cells, *[""] * (len(columns) - len(cells)))
        lines.append(Line(number, {name: unguarded(text) for name, text in zip(columns, padded, strict=False) if name}))
    understood = {*needed, *known}
    named = tuple(name for name in columns if name)
    return Sheet(path.name, named, tuple(lines), tuple(bad), tuple(c for c in named if c not in understood))


def write(path: Path, columns: Sequence[str], rows: Iterable[Sequence[object]]) -> int:
    """Write a CSV file: UTF-8, commas, ISO dates, numbers in full, texts guarded.

    Args:
        path: the file.
        columns: the names of its columns.
        rows: one value a column; None is an empty cell.

    Returns:
        The number of rows.
    """
    lines = [[cell(value) for value in row] for row in rows]
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows([columns, *lines])
    return len(lines)


def cell(value: object) -> str:
    """One value as it is written."""
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case float():
            return repr(int(value)) if value.is_integer() else repr(value)
        case date():
            return value.isoformat()
        case str():
            return f"'{value}" if _FORMULA.match(value) else value
    return str(value)


def unguarded(text: str) -> str:
    """A cell as read: without spaces around it and without the apostrophe that guarded a formula."""
    plain = text.strip()
    return plain[1:] if plain.startswith("'") and _FORMULA.match(plain[1:]) else plain


def _text(path: Path, encoding: str) -> str:
    raw = _bytes(path)
    name = path.name
    try:
        b"ab".decode(encoding)
    except LookupError:
        raise _refused(f'"{encoding}" is not an encoding.', "Known are utf-8, latin-1, cp1252, utf-16.") from None
    except UnicodeError:
        pass
    if raw.startswith(b"PK\x03\x04"):
        raise _refused(f"{name} is a workbook or a zip file, not CSV.", "In the spreadsheet: save as CSV, UTF-8.")
    is_utf8 = raw.startswith(b"\xef\xbb\xbf") or encoding.lower().replace("_", "-") in ("utf-8", "utf8", "utf-8-sig")
    if is_utf8 and raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _refused(f"{name} is UTF-16 text, not UTF-8.", "Give --encoding utf-16, or save it as CSV, UTF-8.")
    try:
        text = raw.decode("utf-8-sig" if is_utf8 else encoding)
    except UnicodeDecodeError as trouble:
        line = _line_at(raw[: trouble.start].decode("latin-1"))
        other = "cp1252" if re.search(rb"[\x80-\x9f]", raw) else "latin-1"
        way_out = f"Give --encoding {other}, or save it as UTF-8." if is_utf8 else "Name its encoding with --encoding."
        raise _refused(f"{name} line {line} is not {'UTF-8' if is_utf8 else encoding} text.", way_out) from None
    if "\0" in text:
        line = _line_at(text[: text.index("\0")])
        raise _refused(f"{name} line {line} holds a zero byte: it is not a text file.", "Save it as CSV, UTF-8.")
    return text


def _bytes(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise _refused(f"there is no file {path}.", "Check its name.") from None
    except OSError as trouble:
        if path.is_dir():
            raise _refused(f"{path} is a folder, not a CSV file.", "Name the file in it.") from None
        reason = (trouble.strerror or str(trouble)).lower()
        raise _refused(f"{path} cannot be read: {reason}.", "Nothing was stored.") from None
    if len(raw) > MOST_BYTES:
        raise _refused(f"{path.name} is larger than {MOST_BYTES >> 20} MB.", "Split it into smaller files.")
    return raw


def _records(name: str, text: str, mark: str) -> Iterator[tuple[int, list[str]]]:
    """The records with the number of the line on which each begins; the header is the first that is not blank."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True, skipinitialspace=True)
    begins = 1
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as trouble:
            if "unexpected end of data" in str(trouble) or reader.line_num > begins:
                what = "a quote that opens here is never closed"
            elif "expected after" in str(trouble):
                what = "there is text right after a closing quote"
            else:
                what = str(trouble)
            hint = 'A " inside a quoted text is written twice. Nothing was stored.'
            raise _refused(f"{name} line {begins}: {what}.", hint) from None
        yield begins, [text.strip() for text in cells]
        begins = reader.line_num + 1


def _columns(
    name: str, header: Sequence[str], needed: Sequence[str], known: Sequence[str], mark: str
) -> tuple[str, ...]:
    columns = tuple(_folded(text) for text in header)
    understood = {*needed, *known}
    found = len(understood.intersection(columns))
    for other, word in _DELIMITERS.items():
        parts = {_folded(part.strip(' "')) for part in mark.join(header).split(other)}
        if other != mark and len(understood & parts) > found:
            option = _OPTION[other]
            raise _refused(f"{name} is written with {word}, not {_DELIMITERS[mark]}.", f"Give --delimiter {option}.")
    if double := sorted({column for column in columns if column and columns.count(column) > 1}):
        raise _refused(f"{name} has the column {', '.join(double)} twice.", "Each column has a name of its own.")
    if missing := [column for column in needed if column not in columns]:
        spare = [column for column in columns if column and column not in understood]
        near = [f"{match[0]} for {m}" for m in missing if (match := difflib.get_close_matches(m, spare, 1, 0.5))]
        found_text = ", ".join(_short(column) for column in columns[:40] if column) or "none"
        hint = (f"Meant perhaps: {', '.join(near)}. " if near else "") + f"It must have: {','.join(needed)}"
        lacks = f"{name} lacks the column{'s' if len(missing) > 1 else ''} {', '.join(missing)}"
        raise _refused(f"{lacks}; found: {found_text}.", hint)
    _check_strangers(name, columns, understood)
    return columns


def _check_strangers(name: str, columns: Sequence[str], understood: set[str]) -> None:
    """Refuse a column that is nearly one that is known, or holds it in another unit: its cells would be lost."""
    for column in columns:
        absent = understood.difference(columns)
        if not column or column in understood:
            continue
        stem = column.rpartition("_")[0]
        measures = (one.rpartition("_") for one in absent)
        other = next((f"{name}_{unit}" for name, _, unit in measures if name == stem and unit in _UNITS), None)
        if other:
            raise _refused(f"{name} has the column {_short(column)}; {other} is read.", "Convert it, and rename it.")
        if near := difflib.get_close_matches(column, absent, 1, 0.8):
            hint = "Rename it; if it is another thing, give it another name."
            raise _refused(f"{name} has the column {_short(column)}; was {near[0]} meant?", hint)


def _folded(text: str) -> str:
    return re.sub(r"[\s_\-]+", "_", text.strip().casefold())


def _delimiter(given: str) -> str:
    mark = _DELIMITER_WORDS.get(given.strip().lower(), given)
    if mark not in _DELIMITERS:
        raise _refused(f'"{_short(given)}" is not a delimiter.', 'Known are "," ";" "|" and tab.')
    return mark


def _line_at(before: str) -> int:
    return len(re.findall(r"\r\n|\r|\n", before)) + 1


def _short(text: str) -> str:
    plain = "".join(filter(str.isprintable, text))
    return plain if len(plain) <= 40 else f"{plain[:40]}..."


def _refused(message: str, hint: str) -> StockError:
    return Unclear(message, hint=hint, code="bad-file")
