"""The door rule: who may import whom. Lower floors never look up."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
FLOOR_0 = {"errors", "typed", "marks", "measure", "grammar", "quantity", "writing", "dates"}

# room -> (rooms it may import, libraries it may import at the top of a file, libraries it may import inside functions)
RULES: dict[str, tuple[set[str], set[str], set[str]]] = {
    "errors": (set(), set(), set()),
    "typed": (set(), set(), set()),
    "marks": ({"errors"}, set(), set()),
    "dates": ({"errors"}, set(), set()),
    "grammar": ({"errors", "typed"}, set(), set()),
    "quantity": ({"errors", "typed", "grammar"}, set(), {"pint"}),
    "measure": ({"errors", "typed", "grammar", "quantity"}, set(), set()),
    "writing": ({"errors", "typed", "quantity"}, set(), set()),
    "wood": ({"errors", "typed", "wood", "data"}, set(), {"numpy", "highspy", "skimage"}),
    "book": (
        {"errors", "marks", "typed", "dates", "book", ""},
        {"sqlmodel", "sqlalchemy"},
        {"platformdirs", "sqlmodel", "sqlalchemy"},
    ),
    "survey": ({"errors", "marks", "typed", "dates", "book", "wood", "survey"}, set(), set()),
    "yard": ({"errors", "marks", "typed", "dates", "book", "wood", "survey", "yard"}, {"sqlalchemy"}, set()),
    "reports": (
        {"errors", "marks", "dates", "writing", "book", "wood", "survey", "reports"},
        {"pandas", "matplotlib", "numpy"},
        {"pandas", "matplotlib", "numpy", "icalendar"},
    ),
    "cli": (
        {"errors", "typed", "marks", "measure", "quantity", "writing", "dates", "wood", "book", "survey", "yard"}
        | {"cli", "reports", ""},
        {"typer", "sqlalchemy"},
        {"typer", "numpy", "PIL", "skimage"},
    ),
    "__main__": ({"cli"}, set(), set()),
    "": (set(), set(), set()),
}


def files() -> list[Path]:
    return sorted([*ROOT.glob("stock/**/*.py"), *ROOT.glob("reports/**/*.py")])


def room_of(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    if parts[0] == "reports":
        return "reports"
    return "" if parts[1] == "__init__" else parts[1]


def imports(path: Path) -> Iterator[tuple[str, bool, bool]]:
    """(module, at the top of the file, only for the type checker) of each import."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    parents = {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}
    for node in ast.walk(tree):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        top, typing_only, up = True, False, parents.get(node)
        while up is not None:
            top = top and not isinstance(up, ast.FunctionDef)
            typing_only = typing_only or (isinstance(up, ast.If) and "TYPE_CHECKING" in ast.dump(up.test))
            up = parents.get(up)
        for name in names:
            yield name, top, typing_only


@pytest.mark.parametrize("path", files(), ids=lambda p: str(p.relative_to(ROOT)))
def test_a_room_imports_only_what_it_may(path):
    room = room_of(path)
    rooms, at_top, inside = RULES[room]
    for name, top, typing_only in imports(path):
        parts = name.split(".")
        if parts[0] == "stock":
            wanted = parts[1] if len(parts) > 1 and (ROOT / "stock" / parts[1]).exists() else ""
            if (ROOT / "stock" / f"{parts[1]}.py").exists():
                wanted = parts[1]
            assert wanted in rooms, f"{path.relative_to(ROOT)} imports {name}: {room} may not know {wanted or 'stock'}"
        elif parts[0] == "reports":
            assert "reports" in rooms, f"{path.relative_to(ROOT)} imports {name}: {room} may not know reports"
            assert room == "reports" or typing_only or not top, (
                f"{path.relative_to(ROOT)}: reports is imported inside functions only"
            )
        elif parts[0] not in STANDARD and not typing_only:
            allowed = at_top if top else at_top | inside
            assert parts[0] in allowed, f"{path.relative_to(ROOT)} imports {parts[0]}: {room} may not, not here"


STANDARD = __import__("sys").stdlib_module_names


def test_only_the_terminal_asks_the_clock():
    for path in files():
        text = path.read_text(encoding="utf-8")
        if room_of(path) != "cli":
            assert "date.today(" not in text, path
            assert "datetime.now(" not in text, path


def test_sql_tables_are_never_named_in_the_terminal():
    for path in files():
        if room_of(path) == "cli":
            names = {name for name, _, _ in imports(path)}
            assert not any(name.startswith(("sqlmodel", "stock.book.records")) for name in names), path


def test_files_stay_short():
    for path in files():
        assert len(path.read_text(encoding="utf-8").splitlines()) <= 300, path
