"""What the papers say is true: the README's commands run, every command has its help, every formula its source."""

import ast
import re
import shlex
from pathlib import Path

import pytest

from stock.cli import app, main

ROOT = Path(__file__).parent.parent
COMMANDS = {name: module for group in app.GROUPS.values() for name, module in group.items()}


def readme_commands() -> list[str]:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    return [line.strip() for line in re.findall(r"^    (rick .*)$", text, flags=re.MULTILINE)]


def test_the_commands_of_the_readme_run_in_order(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("RICK_BOOK", str(tmp_path / "book.rick"))
    monkeypatch.chdir(tmp_path)
    commands = readme_commands()
    assert len(commands) >= 9
    for command in commands:
        code = main(shlex.split(command)[1:])
        said = capsys.readouterr()
        assert code == 0, f"{command}: {said.err}"


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_that_ends_with_an_example(name, capsys):
    assert main([name, "--help"]) == 0
    text = capsys.readouterr().out
    if name == "book":
        return
    assert f"rick {name}" in text.split("Example")[-1], text
    assert all(len(line) <= 80 for line in text.splitlines()), text


@pytest.mark.parametrize("name", ["where", "units", "set", "tag", "export", "import"])
def test_every_book_command_has_help_that_ends_with_an_example(name, capsys):
    assert main(["book", name, "--help"]) == 0
    assert f"rick book {name}" in capsys.readouterr().out.split("Example")[-1]


def test_the_top_of_the_project_holds_what_it_should():
    names = {path.name for path in ROOT.iterdir() if not path.name.startswith(".") and path.name != "rick-demo"}
    names -= {"build", "dist"}
    names = {name for name in names if not name.endswith(".egg-info")}
    assert names <= {"README.md", "DEVELOPERS.md", "pyproject.toml", "stock", "reports", "tests", "demo_data"}


def test_public_formulas_name_their_source():
    """Every public function of the sciences that has a figure in it says where it is from."""
    missing = []
    for name in ("air", "moisture", "shrinkage"):
        tree = ast.parse((ROOT / "stock" / "wood" / f"{name}.py").read_text(encoding="utf-8"))
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                doc = ast.get_docstring(node) or ""
                if node.name not in ("grams", "points") and "Source" not in doc:
                    missing.append(f"{name}.{node.name}")
    assert not missing


def test_no_screen_says_that_wood_is_safe():
    pattern = re.compile(r"\bsafe(ly)?\b", re.IGNORECASE)
    for path in [*ROOT.glob("stock/**/*.py"), *ROOT.glob("reports/*.py"), *ROOT.glob("stock/data/*.csv")]:
        for line in path.read_text(encoding="utf-8").splitlines():
            assert not pattern.search(line), f"{path.name}: {line}"
