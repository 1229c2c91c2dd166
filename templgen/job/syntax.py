"""Plain words for a text that is not TOML: what stands there, and what a builder most likely meant.

tomli says what it expected and where, and stops there; the hint comes from the line itself. Where the fault
is one key on one line, whatever it was meant to be, that line is taken out and the rest is read too: so all
such faults are told in one run. A fault that reaches further (a table's name, an open list or text) ends the
search, for what follows it could be told wrongly.
"""

from __future__ import annotations

import re

import tomli

from templgen.errors import JobError, Location
from templgen.job.wording import shown

__all__ = ["syntax_fault", "syntax_faults"]

_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)\s*$")
_LENGTH_LIKE = re.compile(r"[0-9 .]*(?:[0-9]+/[0-9]+|[0-9]\s*(?:in|inch|inches|mm|deg|\"))[^,\]}]*")

_WORDS: tuple[tuple[str, str], ...] = (
    ("Expected '=' after a key", "an equals sign is needed behind a key"),
    ("Expected ']' at the end of a table declaration", "the bracket ] behind the name of a table is missing"),
    (
        "Expected ']]' at the end of an array declaration",
        "the brackets ]] behind the name of a table are missing",
    ),
    ("Expected newline or end of document after a statement", "nothing more may follow on this line"),
    ("Invalid initial character for a key part", "a key begins with a letter, a digit or a quote"),
    ("Invalid statement", "a line is key = value, [table] or [[table]]"),
    ("Invalid value", "no value can be read here"),
    ("Unclosed array", "a list is not closed: a comma or ] is missing"),
    ("Unclosed inline table", "a table in { } is not closed: a comma or } is missing"),
    ("Unterminated string", "a text is not closed: its end quote is missing"),
    ("Expected \"'''\"", "a text is not closed: its end quotes are missing"),
    ('Expected "\'"', "a text is not closed: its end quote is missing"),
    ("Cannot overwrite a value", "this key is given twice"),
    ("Duplicate inline table key", "this key is given twice"),
    ("Cannot declare", "this table is given twice; a list of them is [[name]]"),
    ("Cannot mutate immutable namespace", "this table is closed already and takes no more keys"),
    ("Cannot redefine namespace", "this name is a table already"),
    ("Unescaped '\\' in a string", "a backslash stands alone in a text; write \\\\ or use 'single quotes'"),
    ("Escaped character is not", "a text holds an escape that is no character"),
    ("Invalid hex value", "a text holds an escape that is no character"),
    ("Invalid date or datetime", "there is no such day or time"),
    ("Found invalid character", "a text holds a character that may not stand there"),
    ("Illegal character '\\n'", "a text is not closed: its end quote is missing"),
    ("Illegal character", "a control character stands here"),
    ("Expected a", "something is missing here"),
)


_KEY_WITH_VALUE = re.compile(r"\s*[^\[\s=#][^=]*=\s*(?:#[0-9]|[^#\s])")
"""A key with a value, if only a drill's bare name; a value may not stand on the next line."""
_MOST = 20
"""A file with more such lines is hardly a job file."""


def syntax_faults(error: ValueError, text: str, name: str) -> list[JobError]:
    """Return what tomli refused in a text, and what it would refuse after it, as far as that is certain.

    Args:
        error: what tomli raised.
        text: the whole text, line ends as "\\n".
        name: the file, for the places.
    """
    lines = text.split("\n")
    faults = [syntax_fault(str(error), text, name)]
    while len(faults) < _MOST and _is_one_key(lines, faults[-1].at):
        lines[faults[-1].at.line - 1] = ""
        try:
            tomli.loads("\n".join(lines))
        except RecursionError:
            break
        except ValueError as more:
            faults.append(syntax_fault(str(more), text, name))
        else:
            break
    return faults


def _is_one_key(lines: list[str], at: Location) -> bool:
    """Whether a fault lies in a key that begins and ends on its line: nothing behind it hangs on it."""
    here = lines[at.line - 1] if at.line <= len(lines) else ""
    closed = all(here.count(start) == here.count(end) for start, end in ("[]", "{}"))
    if not closed or not _KEY_WITH_VALUE.match(here) or '"""' in here or "'''" in here:
        return False
    try:
        tomli.loads("\n".join(lines[: at.line - 1]))
    except (ValueError, RecursionError):
        return False
    return True


def syntax_fault(message: str, text: str, name: str) -> JobError:
    """One complaint about a text that tomli refused.

    Args:
        message: what tomli said, with the place at its end.
        text: the whole text, line ends as "\\n".
        name: the file, for the place.
    """
    found = _PLACE.search(message)
    if found and found[1]:
        line, column = int(found[1]), int(found[2])
    else:
        line, column = (text.count("\n") + 1, len(text) - text.rfind("\n")) if found else (1, 1)
    lines = text.split("\n")
    here = lines[line - 1] if line <= len(lines) else ""
    words = _words(message)
    if words == "this key is given twice":
        column = _start_of_key(here, column)
    elif words.startswith("this table"):
        column = 1
    hint = _hint(here, here[column - 1 :], message)
    return JobError(f"{words}{_what_stands(here, column)}", at=Location(name, line, column), hint=hint)


def _words(message: str) -> str:
    if "Exceeds the limit" in message:
        return "a number of more than 4300 digits is no measure of a part"
    return next((words for start, words in _WORDS if message.startswith(start)), "this is not TOML")


def _what_stands(here: str, column: int) -> str:
    rest = here[column - 1 :].strip()
    return f", here stands {shown(rest[:40])}" if rest else ", at the end of the line"


def _start_of_key(here: str, column: int) -> int:
    """A repeated key is found behind its value; the place that helps is the key's own."""
    before = here[: max(column - 1, 0)]
    found = list(re.finditer(r"(?:^|[,{])\s*([A-Za-z0-9_\-.\"']+)\s*=", before))
    return found[-1].start(1) + 1 if found else column


def _hint(here: str, rest: str, message: str) -> str | None:
    """What was most likely meant, from the line that can not be read."""
    value = here.split("=", 1)[1].strip() if "=" in here else ""
    if message.startswith(("Cannot overwrite", "Duplicate inline")):
        return "delete one of them"
    if (drill := re.match(r"#[0-9]+", rest)) and message.startswith("Invalid value"):
        return f'# begins a comment: put a drill name in quotes: "{drill[0]}"'
    if re.match(r"[+-]?\.[0-9]", rest) and message.startswith("Invalid value"):
        return f"write a digit before the point: 0{rest.lstrip('+-').split(',')[0].split(']')[0].strip()}"
    if re.search(r'"[^"]*[0-9]""', here):
        return 'write the inch mark inside a text as \\" or write in: "3/16 in"'
    if re.match(r",[0-9]", rest) and re.search(r"[0-9]$", here[: len(here) - len(rest)]):
        return "a decimal is written with a point: 0.5"
    if rest.startswith(",") and "=" in rest:
        return "one key on a line; commas stand only inside [ ] and { }"
    if re.match(r"[+-]?0[0-9]", value):
        return "a number has no zeros in front"
    if _LENGTH_LIKE.match(value) and not value.startswith(('"', "'", "[", "{")):
        return "put a length with a fraction or a unit in quotes"
    if message.startswith("Invalid value") and re.match(r"(?i)true|false|yes|no\b", rest):
        return "write true or false, small"
    if message.startswith("Invalid value") and re.match(r"[A-Za-z]", rest):
        return "put a text in quotes"
    if message.startswith("Unclosed inline table"):
        return "a table in { } stands on one line"
    return None
