"""Keep what is generated true: `python -m tests.readme` writes it, tests compare it.

It writes the generated parts of README.md, its pictures, and the JSON Schema of the job file.

A generated part stands between `<!-- begin NAME -->` and `<!-- end NAME -->`.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.readme_proof import proof_block, proof_picture

__all__ = ["README", "blocks", "written"]

README = Path(__file__).parents[1] / "README.md"
PICTURES = README.parent / "out" / "readme"
SCHEMA = README.parent / "templgen" / "job" / "job.schema.json"
DPI = 110


def blocks() -> dict[str, str]:
    """Return what every generated part of the README must read."""
    return {"rules": _rules(), "shapes": _shapes(), "keys": _keys(), "proof": proof_block()}


def written(text: str) -> dict[str, str]:
    """Return what the generated parts of a README read now."""
    found = re.findall(r"<!-- begin (\w+) -->\n(.*?)<!-- end \1 -->", text, flags=re.DOTALL)
    return dict(found)


def _table(columns: tuple[str, ...], rows: Iterator[tuple[str, ...]]) -> str:
    lines = ["| " + " | ".join(columns) + " |", "| " + " | ".join("---" for _ in columns) + " |"]
    lines += ["| " + " | ".join(cell.replace("|", "\\|") for cell in row) + " |" for row in rows]
    return "\n".join(lines) + "\n"


def _rules() -> str:
    from templgen.checks import catalogue_table

    table = catalogue_table()
    return _table(table.columns, iter(table.rows))


def _shapes() -> str:
    from templgen.shapes import ShapeLibrary

    rows = (
        (f"`{s.name}`", s.title, ", ".join(f"`{name}`" for name in s.parameters))
        for s in ShapeLibrary.standard()
    )
    return _table(("shape", "what it is", "parameters"), rows)


def _keys() -> str:
    from templgen.job.schema import json_schema

    schema = json_schema()
    parts = [f"**The file itself**\n\n{_key_table(schema)}"]
    for place, name in _tables(schema, schema, ""):
        parts.append(
            f"**{place}**: {_first_line(schema['$defs'][name])}\n\n{_key_table(schema['$defs'][name])}"
        )
    return "\n".join(parts)


def _tables(schema: dict[str, Any], table: dict[str, Any], path: str) -> Iterator[tuple[str, str]]:
    """Yield where each kind of table stands and its name in the schema, once, in the order of the file."""
    seen: set[str] = set()

    def walk(table: dict[str, Any], path: str) -> Iterator[tuple[str, str]]:
        for key, value in table.get("properties", {}).items():
            for name in re.findall(r'"#/\$defs/(\w+)"', json.dumps(value)):
                if name in seen:
                    continue
                seen.add(name)
                place = f"{path}.{key}" if path else key
                yield f"`{place}`", name
                yield from walk(schema["$defs"][name], place)

    yield from walk(table, path)


def _first_line(definition: dict[str, Any]) -> str:
    return str(definition.get("description", "")).split("\n")[0]


def _key_table(definition: dict[str, Any]) -> str:
    must = set(definition.get("required", ()))
    rows = (
        (f"`{key}`", "must" if key in must else _default(value), _first_line(value), _example(value))
        for key, value in definition.get("properties", {}).items()
    )
    return _table(("key", "must, or if left out", "meaning", "example or choice"), rows)


def _default(value: dict[str, Any]) -> str:
    """What a key is when it is left out; "" where there is then nothing of the kind."""
    default = value.get("default")
    return "" if default is None or default in ([], {}) else f"`{_toml(default)}`"


def _example(value: dict[str, Any]) -> str:
    if choices := value.get("enum"):
        return ", ".join(f"`{_toml(choice)}`" for choice in choices)
    examples = value.get("examples")
    return f"`{_toml(examples[0])}`" if examples else ""


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_toml(part)}" for key, part in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_toml(part) for part in value) + "]"
    if isinstance(value, float):
        return f"{value:g}"
    return json.dumps(value)


def _write_pictures() -> None:
    """Draw the pages of the demo that the README shows."""
    from templgen.build.check import check_job
    from templgen.build.demo import demo_job
    from templgen.exporters.png import png_bytes
    from templgen.exporters.svg import svg_bytes
    from templgen.sheets import build_sheets
    from templgen.trade.paper import find_paper

    judged = check_job(demo_job())
    PICTURES.mkdir(exist_ok=True)
    for sheet in build_sheets(judged.job, judged.assembly, judged.findings, find_paper("letter"))[:1]:
        (PICTURES / f"{sheet.name}.png").write_bytes(png_bytes(svg_bytes(sheet.drawing), DPI))
    (PICTURES / "01-template-mast-corrected.png").write_bytes(png_bytes(proof_picture(), DPI))


def main() -> None:
    """Write the generated parts of the README, its pictures and the schema."""
    from templgen.job.schema import schema_text

    text = README.read_text()
    for name, block in blocks().items():
        pattern = rf"(<!-- begin {name} -->\n).*?(<!-- end {name} -->)"
        text = re.sub(pattern, lambda m, block=block: m[1] + block + m[2], text, flags=re.DOTALL)
    README.write_text(text)
    SCHEMA.write_text(schema_text())
    _write_pictures()


if __name__ == "__main__":
    main()
