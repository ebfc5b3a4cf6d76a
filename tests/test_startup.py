"""Start-up is a promise about which modules a command may load; no clock is asked."""

import subprocess
import sys
from pathlib import Path

import pytest

HEAVY = {"sqlalchemy", "sqlmodel", "pint", "pandas", "numpy", "matplotlib", "alembic", "PIL", "skimage"}
SHOW = "import sys; print('LOADED', *sorted({m.split('.')[0] for m in sys.modules}))"


def loaded(tmp_path: Path, *words: str) -> set[str]:
    """The heavy libraries that a command loads, in a process of its own."""
    code = f"from stock.cli import main; code = main({list(words)!r}); {SHOW}; sys.exit(code)"
    env = {"RICK_BOOK": str(tmp_path / "book.rick"), "PATH": "", "HOME": str(tmp_path)}
    env["PYTHONPATH"] = str(Path(__file__).parent.parent)
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=env, check=False)
    lines = [line for line in done.stdout.splitlines() if line.startswith("LOADED")]
    assert lines, done.stderr
    return set(lines[0].split()) & HEAVY


@pytest.mark.parametrize(
    "words", [["--help"], ["--version"], ["nonsense"], ["book", "--help"]], ids=lambda words: " ".join(words)
)
def test_help_and_usage_errors_load_nothing_heavy(tmp_path, words):
    assert loaded(tmp_path, *words) == set()


@pytest.mark.parametrize("command", ["weigh", "show", "ready", "match", "fell", "dry", "due", "list"])
def test_the_help_of_a_command_draws_no_picture(tmp_path, command):
    assert loaded(tmp_path, command, "--help") <= {"sqlalchemy", "sqlmodel"}


def test_everyday_commands_load_the_book_and_no_more(tmp_path):
    made = loaded(tmp_path, "add", "--kind", "blank", "--square", "51mm", "--length", "330mm")
    assert made == {"sqlalchemy", "sqlmodel"}
    for words in (["weigh", "1B", "812g"], ["show", "1B"], ["list"], ["dry"], ["ready"], ["due"]):
        assert loaded(tmp_path, *words) == {"sqlalchemy", "sqlmodel"}, words


def test_a_match_forecasts_only_what_waits(tmp_path):
    words = ("match", "--square", "46mm", "--length", "250mm")
    loaded(tmp_path, "add", "--kind", "blank", "--square", "51mm", "--length", "330mm")
    assert loaded(tmp_path, *words) == {"sqlalchemy", "sqlmodel"}
    loaded(tmp_path, "weigh", "1B", "812g")
    assert loaded(tmp_path, *words) == {"sqlalchemy", "sqlmodel", "numpy"}


def test_numpy_is_loaded_for_a_forecast_and_not_before(tmp_path):
    loaded(tmp_path, "add", "--kind", "blank", "--square", "51mm", "--length", "330mm")
    loaded(tmp_path, "weigh", "1B", "812g")
    assert loaded(tmp_path, "dry", "1B") == {"sqlalchemy", "sqlmodel", "numpy"}


def test_a_written_inch_loads_the_units_and_no_more(tmp_path):
    """pint looks for numpy by itself, and loads it where it is installed."""
    made = loaded(tmp_path, "add", "--kind", "blank", "--square", "2 in", "--length", "12 in")
    assert made - {"numpy"} == {"sqlalchemy", "sqlmodel", "pint"}


def test_the_packages_themselves_import_nothing():
    code = f"import stock, reports, stock.wood, stock.book, stock.survey, stock.yard; {SHOW}"
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONPATH": str(Path(__file__).parent.parent), "PATH": ""},
    )
    assert not set(done.stdout.split()) & (HEAVY | {"typer"})
