"""Start-up against a one-command typer program, in turn, in the same run. Run by hand:

    python tests/bench/bench_startup.py

Goals: `rick --help` at most 1.3 times that program, an everyday verb at most 4 times.
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HELLO = """
import typer
app = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)
@app.command()
def hello(name: str = "rick"):
    print("hello", name)
app()
"""
RUNS = 11


def seconds(command: list[str], env: dict[str, str]) -> float:
    start = time.perf_counter()
    subprocess.run(command, env=env, capture_output=True, check=True)
    return time.perf_counter() - start


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        env = {**os.environ, "RICK_BOOK": str(Path(folder) / "book.rick")}
        env["PYTHONPATH"] = str(Path(__file__).parent.parent.parent)
        hello = [sys.executable, "-c", HELLO]
        rick = [sys.executable, "-m", "stock"]
        subprocess.run([*rick, "add", "--kind", "blank", "--square", "51mm", "--length", "330mm"], env=env, check=True)
        cases = {
            "rick --help": [*rick, "--help"],
            "rick weigh 1B 812g": [*rick, "weigh", "1B", "812g", "--insist"],
            "rick show 1B": [*rick, "show", "1B"],
            "rick list": [*rick, "list"],
            "rick ready": [*rick, "ready"],
            "rick match": [*rick, "match", "--square", "46mm", "--length", "250mm"],
            "rick weigh 1B 1 lb 12 oz": [*rick, "weigh", "1B", "1", "lb", "12", "oz", "--insist"],
        }
        seconds(hello, env)
        for name, command in cases.items():
            seconds(command, env)
            pairs = [(seconds(command, env), seconds(hello, env)) for _ in range(RUNS)]
            ratio = statistics.median(a / b for a, b in pairs)
            print(
                f"{name:26s} {1e3 * statistics.median(a for a, _ in pairs):6.0f} ms,"
                f" {ratio:4.2f} times a one-command program ({1e3 * statistics.median(b for _, b in pairs):.0f} ms)"
            )


if __name__ == "__main__":
    main()
