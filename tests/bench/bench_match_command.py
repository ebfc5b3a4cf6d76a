"""`rick match` as a whole command on a large book: where the time goes. Run by hand:

    python tests/bench/bench_match_command.py [pieces]

The parts are timed inside one process, one after the other, and set against all of it.
"""

import sys
import tempfile
import time
from datetime import timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parent))

from bench_book import FIRST, write

from stock.book import opening
from stock.book.facts import facts
from stock.cli import main as rick
from stock.survey import choosing
from stock.survey.candidates import Question, candidate_of
from stock.survey.courses import Reckoning


def main() -> None:
    pieces = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    on = FIRST + timedelta(days=420)
    with tempfile.TemporaryDirectory() as name:
        (folder := Path(name) / "in").mkdir()
        write(folder, pieces)
        book = Path(name) / "book.rick"
        if rick(["--book", str(book), "book", "import", str(folder)]):
            raise SystemExit("the import failed")
        took: dict[str, float] = {}
        begun = time.perf_counter()

        def lap(what: str) -> None:
            nonlocal begun
            now = time.perf_counter()
            took[what], begun = now - begun, now

        with opening.reading(book) as connection:
            known = facts(connection, on)
        lap("the book: reading the facts")
        reckoning = Reckoning(known)
        blanks = [piece for piece in reckoning.pieces.on_hand() if piece.kind == "blank"]
        lap("the book: what each piece is")
        for piece in blanks:
            reckoning.of(piece.id)
        lap("moisture and readiness")
        for piece in blanks:
            candidate_of(reckoning, piece, None, 3.0)
        lap("candidates")
        question = Question(square_mm=46, length_mm=250, unready=True)
        chosen = choosing.choose(reckoning, question, wait=False)
        lap("matching, with its candidates")
        choosing.choose(reckoning, question)
        lap("the same with what waiting brings")
    whole = sum(took.values())
    print(f"{pieces} pieces, {chosen.choice.candidates} of them qualify; {whole:.1f} s in all")
    for what, seconds in took.items():
        print(f"  {what:36s} {seconds:7.2f} s   {100 * seconds / whole:4.0f} %")


if __name__ == "__main__":
    main()
