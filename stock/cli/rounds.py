"""A round with the scales: place by place, any mark may come next, a doubt is a question, what is entered is kept.

Each weighing is an entry of its own, so that a round holds no lock and an interrupted one loses nothing. The number
pad alone suffices: a number is a weight, unless it cannot be one here and is the number of a piece; `/215` is always
the piece; Enter skips, - goes back, + keeps, 0 is not found, * stops.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

from stock import measure
from stock.cli import desk, round_stops
from stock.cli.about import on_one_line
from stock.cli.printing import harmless, moisture_of
from stock.cli.round_scales import Pan, choose
from stock.cli.round_stops import Stop
from stock.cli.telling import wrapped
from stock.dates import When, short_day
from stock.errors import Doubtful, StockError
from stock.survey.courses import Reckoning
from stock.survey.doubting import crossings
from stock.survey.expecting import Expectation
from stock.typed import Typed
from stock.wood.cautions import for_act
from stock.writing import both_lengths, write_mass

if TYPE_CHECKING:
    from stock.yard.weighing import Weighed

STOP = frozenset({"q", "quit", "*"})
KEEP = frozenset({"k", "keep", "+"})
SET_IN = "     "
INSIST = "Weigh again, or insist to keep it."  # as the yard says it; here it is asked
MOST_LEFT = 12  # marks named at the end


@dataclass(frozen=True, slots=True)
class Manner:
    """How a round is done, as typed: see the options of `rick weigh`."""

    on: str = ""
    scales: str = ""
    step: str = ""
    state: str = "clean"
    insist: bool = False
    note: str = ""
    dry_run: bool = False


class Stopped(Exception):
    """The person ended the round."""


def go_round(manner: Manner) -> None:
    """Ask for the weights of what is due, and of whatever mark comes.

    Raises:
        Misused: nobody answers.
        StockError: the date or the scales cannot be.
    """
    here = desk.current()
    on = here.day(manner.on)
    round_ = _Round(manner, on, here.mass(manner.step), round_stops.due(on))
    places = len({stop.piece.place for stop in round_.route})
    due = f"{_many(len(round_.route), 'piece')} due in {_many(places, 'place')}" if places else "Nothing is due"
    here.say(wrapped(f"{short_day(on.last)}. {due}. Any mark may come next: 215J, or /215."))
    here.say("Enter skips, - goes back, 0 not found, c 40 an end check, q stops; all is kept.")
    try:
        round_.go()
    except EOFError:
        here.say("")
        if not round_.answers and not here.is_terminal:
            here.nobody_to_ask("a round of weighing")
    except Stopped:
        pass
    except KeyboardInterrupt:
        here.say("")
        round_.farewell()
        raise
    round_.farewell()


def _many(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


class _Round:
    """One round: what is on the way, on which scales, and what was done."""

    def __init__(self, manner: Manner, on: When, step: Typed | None, route: list[Stop]) -> None:
        self.here = desk.current()
        self.manner, self.on, self.step, self.route = manner, on, step, route
        self.pan = Pan("", None)
        self.answers = 0
        self.weighed: dict[str, float] = {}
        self.not_found: dict[str, None] = {}
        self.doubtful: dict[str, tuple[str, Expectation, float]] = {}
        self.swapped: dict[str, None] = {}

    # -- asking and saying --------------------------------------------------------------------------------------------

    def _ask(self, question: str) -> str:
        answer = self.here.ask(harmless(question))
        self.answers += 1
        if not self.here.is_terminal:
            self.here.say(harmless(answer))  # nobody typed it here: the talk is to be read all the same
        return answer

    def _answer(self, question: str) -> str:
        """An answer to anything at a stop, where the round may be ended."""
        answer = self._ask(question)
        if answer.lower() in STOP:
            raise Stopped
        return answer

    def _say(self, text: str, *, bell: bool = False) -> None:
        self.here.say(("\a" if bell else "") + wrapped(f"{SET_IN}{harmless(text)}"))

    def _try(self, act: Callable[[], bool]) -> bool:
        """Do it; a refusal is said, and the question comes again."""
        try:
            return act()
        except StockError as trouble:
            self._say(on_one_line(trouble))
            return False

    # -- along the route ----------------------------------------------------------------------------------------------

    def go(self) -> None:
        """Settle on the scales, then stop at every piece of the route; if nothing is due, wait for marks."""
        manner = self.manner
        self.pan = choose(manner.scales, self.on, self._answer, note=manner.note, dry_run=manner.dry_run)
        at, place = self._not_done(0), ""
        trail: list[int] = []
        while at < len(self.route):
            stop = self.route[at]
            if place != (place := stop.piece.place or "no place told"):
                self.here.say(harmless(place))
            answer = self._answer(f"{at + 1}/{len(self.route)}  {stop.title}  > ")
            if answer == "-":
                at = trail.pop() if trail else at
            elif self._try(partial(self._act, stop, answer)):
                trail.append(at)
                at = self._not_done(at + 1)
        while not self.route and (answer := self._answer("mark > ")):
            self._try(partial(self._jump, answer.removeprefix("/")))

    def _not_done(self, at: int) -> int:
        """The next stop, from one on, that was neither weighed nor looked for in vain."""
        while at < len(self.route) and self._is_done(self.route[at]):
            at += 1
        return at

    def _is_done(self, stop: Stop) -> bool:
        return stop.mark in self.weighed or stop.mark in self.not_found

    def _jump(self, text: str) -> bool:
        return self._elsewhere(round_stops.named(text, self.on))

    def _elsewhere(self, stop: Stop) -> bool:
        """Weigh a piece out of turn."""
        while True:
            answer = self._answer(f"{SET_IN}{stop.title}  > ")
            if answer in ("", "-") or self._try(partial(self._act, stop, answer)):
                return True

    # -- at a stop ----------------------------------------------------------------------------------------------------

    def _act(self, stop: Stop, answer: str) -> bool:
        """Act on an answer at a stop; whether the round goes on from there."""
        if not answer:
            return True
        if answer == "0":
            self.not_found[stop.mark] = None
            self._say(f"{stop.mark} not found")
            return True
        if answer.lower() == "c" or answer.lower().startswith("c "):
            self._end_check(stop, answer[1:].strip())
            return False
        if other := round_stops.other_than_weight(answer, self.pan.unit, self.on):
            self._elsewhere(other)
            return self._is_done(stop)
        return self._store(stop, measure.mass(answer, self.pan.unit), answer)

    def _store(self, stop: Stop, mass: Typed, answer: str, *, insist: bool = False) -> bool:
        from stock.yard import weighing

        manner = self.manner
        told: dict[str, Any] = {"scales": self.pan.name, "step": self.step, "state": manner.state}
        told["insist"] = insist or manner.insist
        try:
            with self.here.writing("weigh", note=manner.note, dry_run=manner.dry_run) as page:
                done = weighing.weigh(page, piece=stop.mark, mass=mass, on=self.on, **told)
        except Doubtful as doubt:
            if other := round_stops.numbered(answer, stop, self.on):
                self._say(f"{answer}: the piece {other.mark}, not a weight of {stop.mark}", bell=True)
                self._elsewhere(other)
                return self._is_done(stop)
            return self._question(stop, mass, doubt)
        self._stored(stop, mass, done)
        return True

    def _question(self, stop: Stop, mass: Typed, doubt: Doubtful) -> bool:
        """Ask about a doubtful weight; the likely causes are said in their order."""
        self._say(doubt.message.removeprefix(f"{stop.mark}: "), bell=True)
        if causes := doubt.hint.removesuffix(INSIST).strip():
            self._say(causes)
        if stop.expected:
            self.doubtful[stop.mark] = (stop.mark, stop.expected, mass.value)
            for pair in crossings(list(self.doubtful.values())):
                if pair not in self.swapped:
                    self.swapped[pair] = None
                    self._say(pair)
        while True:
            answer = self._answer(f"{SET_IN}weight again, or k to keep {mass.text}  > ")
            if answer.lower() in KEEP:
                return self._store(stop, mass, "", insist=True)
            if answer in ("", "-"):
                self._say("left out")
                return not answer
            if self._try(partial(self._act, stop, answer)):
                return True

    def _stored(self, stop: Stop, mass: Typed, done: "Weighed") -> None:
        self.weighed[stop.mark] = done.mass_g
        self.not_found.pop(stop.mark, None)
        if not done.doubt:
            self.doubtful.pop(stop.mark, None)
        unit = self.pan.unit or "g"
        told = mass.text if mass.text.strip()[-1:].isalpha() else write_mass(mass.value, unit)
        if one := done.expectation:
            low, high = (write_mass(max(grams, 0.0), unit) for grams in (one.low_g, one.high_g))
            told += f" (expected {f'{low} to {high}' if unit in ('oz', 'lb') else one.words})"
        dryness = Reckoning(self.here.facts(self.on.last, [stop.mark])).of(stop.piece.id)
        water = moisture_of(dryness).replace(" (", " % (") if dryness.mc_pct is not None else dryness.verdict
        self._say(f"{told}   {water}")
        for warning in done.warnings:
            self._say(warning)
        self.here.cautions(for_act("weigh", mass_kg=done.mass_g / 1000))

    def _end_check(self, stop: Stop, text: str) -> None:
        from stock.yard import noting

        length = self.here.length(text)
        end = self._answer(f"{SET_IN}at the butt end or the top end? b/t (Enter: not told) > ").lower()
        with self.here.writing("defect", note=self.manner.note, dry_run=self.manner.dry_run) as page:
            done = noting.defect(
                page,
                piece=stop.mark,
                kind="end check",
                on=self.on,
                end={"b": "butt", "t": "top"}.get(end[:1]),
                length=length,
            )
        unit = self.here.unit("length") or "mm"
        told = f"end check{f' of {both_lengths(done.length_mm, unit)}' if done.length_mm else ''} noted"
        if done.usable_after_mm is not None:
            told += f"; {both_lengths(done.usable_after_mm, unit)} clear"
        self._say(told)
        for warning in done.warnings:
            self._say(warning)

    # -- the end ------------------------------------------------------------------------------------------------------

    def farewell(self) -> None:
        """What was weighed, what is left."""
        left = [stop.mark for stop in self.route if not self._is_done(stop)]
        more = f" and {len(left) - MOST_LEFT} more" if len(left) > MOST_LEFT else ""
        told = f", {len(left)} left: {' '.join(left[:MOST_LEFT])}{more}" if left else ""
        missing = f" Not found: {' '.join(self.not_found)}." if self.not_found else ""
        document = {
            "on": self.on.last,
            "weighed": [{"mark": mark, "mass_g": mass_g} for mark, mass_g in self.weighed.items()],
            "left": left,
            "not_found": list(self.not_found),
        }
        self.here.tell(document, lambda: [wrapped(f"{len(self.weighed)} weighed{told}.{missing}")])
