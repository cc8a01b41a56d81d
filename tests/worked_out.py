"""What takes long to work out of a season is worked out once for all tests that ask the same.

A question is the same if it is asked of the same records, crops and moment. What is answered is
frozen, and so serves all of them; what a test changes in its season makes another question. Tests
of the work itself, and those that put something in the place of a part of it, use the fixture
``worked_out_anew``.
"""

import copy
import inspect
import io
import pickle
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import replace
from importlib import import_module
from types import MappingProxyType
from typing import Any

import pytest

from ripenroom.planning.column_generation import MOST_STEPS
from ripenroom.records.book import Book
from ripenroom.season.forecast import Forecast
from ripenroom.season.plans.plan import Plan
from ripenroom.season.plans.update import Planner, PlanUpdate
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from tests.season.plans.planning import make_plan

_MOST_KEPT = 16
"""So many answers to a kind of question are kept; some hold all that can be decided on a farm."""

_WHO_ANSWERS = (
    ("ripenroom.season.plans.update", "plan_update"),
    ("ripenroom.season.advice.check_next", "check_next"),
    ("ripenroom.season.learning.fit", "fit"),
    ("ripenroom.season.advice.set_points", "set_point_advice"),
    ("ripenroom.season.advice.what_helps", "what_helps"),
)
"""Where :class:`~ripenroom.season.questions.Questions` looks for who answers, when it is asked."""

_TO_THE_END = frozenset({"check_next"})
"""What is worked out to its end, though who asked calls it off, where it is asked again: every
window asks it of the season that it opens, and most are closed before there is an answer."""


class _Answers:
    """The answers of one function of a state, with the progress that it told."""

    def __init__(self, work: Callable[..., Any], *, to_the_end: bool = False) -> None:
        self._work = work
        self._to_the_end = to_the_end
        self._tells = [*inspect.signature(work).parameters][-1] == "progress"
        self._lock = threading.Lock()
        self._under_way: dict[object, threading.Lock] = {}
        self._asked: set[int] = set()
        # With the state, whose objects the key names: others cannot come to lie where they do.
        self._kept: OrderedDict[object, tuple[SeasonState, Any, list[float]]] = OrderedDict()

    def ask(self, state: SeasonState, *given: Any) -> Any:
        """What the function answers, who is called with the state and all that is ``given``."""
        cancel = next((part for part in given if isinstance(part, threading.Event)), None)
        key = _key(state, *(None if _of_the_asker(part) else part for part in given))
        # Two that ask the same at a time, as a window that was closed and the next one: one works.
        with self._lock:
            under_way = self._under_way.setdefault(key, threading.Lock())
        try:
            with under_way:
                return self._kept_or_anew(key, state, given, cancel)
        finally:
            with self._lock:
                self._under_way.pop(key, None)

    def _kept_or_anew(
        self,
        key: object,
        state: SeasonState,
        given: tuple[Any, ...],
        cancel: threading.Event | None,
    ) -> Any:
        with self._lock:
            kept = self._kept.get(key)
            if kept is not None:
                self._kept.move_to_end(key)  # what is asked often outlives what is asked once
        if kept is not None and not (cancel is not None and cancel.is_set()):
            _, answer, told = kept
            for progress in filter(callable, given):
                for share in told:
                    progress(share)
            return _own(answer)
        if self._to_the_end and not (cancel is not None and cancel.is_set()):
            if hash(key) in self._asked:
                given, cancel = tuple(None if part is cancel else part for part in given), None
            self._asked.add(hash(key))
        told = []

        def heard(progress: Callable[[float], None] | None) -> Callable[[float], None]:
            def tell(share: float) -> None:
                told.append(share)
                if progress is not None:
                    progress(share)

            return tell

        # What it tells is kept too, whether or not who asks first follows the work.
        if self._tells and given:
            given = (*given[:-1], heard(given[-1]))
        answer = self._work(state, *given)
        if cancel is None or not cancel.is_set():
            with self._lock:
                self._kept[key] = state, answer, told
                while len(self._kept) > _MOST_KEPT:
                    self._kept.popitem(last=False)
        return _own(answer)


def _key(state: SeasonState, *more: object) -> object:
    """The same for the same question: records and plans by what they say, and what never changes
    by which object it is. A season's own crops are read off its records, and said by them."""
    own = {record.key for record in state.book.own_crops.values()}
    crops = tuple((key, key in own or id(state.crops[key])) for key in sorted(state.crops))
    return _BOOKS.said(state.book), _said((state.now, state.zone, more)), crops, id(state.learned)


def _said(what: object) -> bytes:
    said = io.BytesIO()
    pickler = pickle.Pickler(said)
    pickler.fast = True  # the same thing twice is written as two things that are the same
    pickler.dispatch_table = {MappingProxyType: lambda shelf: (dict, (shelf.copy(),))}
    pickler.dump(what)
    return said.getvalue()


class _Books:
    """What the books say that were asked about last, each said once: of one there are many
    questions, and no book changes."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        # With the book: another cannot come to lie where it does.
        self._kept: OrderedDict[int, tuple[Book, bytes]] = OrderedDict()

    def said(self, book: Book) -> bytes:
        with self._lock:
            kept = self._kept.get(id(book))
        if kept is not None:
            return kept[1]
        said = _said(book)
        with self._lock:
            self._kept[id(book)] = book, said
            if len(self._kept) > _MOST_KEPT:
                self._kept.popitem(last=False)
        return said


_BOOKS = _Books()


def _of_the_asker(part: object) -> bool:
    """Whether something that is given calls off, follows or shortens the work, and makes no other
    question of it."""
    return callable(part) or isinstance(part, threading.Event | Planner)


def _own(answer: Any) -> Any:
    """An answer of the asker's own; the only part that changes is what goes on from a plan."""
    if isinstance(answer, PlanUpdate):
        return replace(answer, replanner=copy.copy(answer.replanner))
    return answer


_ANSWERS = [
    (module, name, _Answers(getattr(module, name), to_the_end=name in _TO_THE_END))
    for module, name in ((import_module(path), name) for path, name in _WHO_ANSWERS)
]


_PLANS = _Answers(lambda state, before, steps: make_plan(state, before=before, steps=steps))


def plan_of(season: Season, before: Plan | None = None, *, steps: int = MOST_STEPS) -> Plan:
    """The plan of an open season as on now, whatever was planned yesterday."""
    plan: Plan = _PLANS.ask(season.state, before, steps)
    return plan


def advised_once(test: Callable[..., None]) -> Callable[..., None]:
    """Decorator of tests that ask the same farm for advice, which takes longest: one process runs
    all of them, and works it out once."""
    marks = pytest.mark.usefixtures("worked_out_once"), pytest.mark.timeout(600)
    for mark in (*marks, pytest.mark.xdist_group("advice")):
        test = mark(test)
    return test


class _Forecasts:
    """What the science said of the seasons that were looked at last."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: OrderedDict[object, tuple[SeasonState, Any]] = OrderedDict()

    def of(self, forecast: Forecast, state: SeasonState) -> Any:
        """Stands for ``Forecast._worked_out``, which keeps what is of one and the same book."""
        own = forecast._kept
        if own is not None and own.book is state.book:
            return _WORK_OUT(forecast, state)
        key = _key(state)
        with self._lock:
            found = self._kept.get(key)
            if found is not None:
                self._kept.move_to_end(key)
        if found is None:
            made = _WORK_OUT(forecast, state)
            with self._lock:
                self._kept[key] = state, made
                while len(self._kept) > _MOST_KEPT:
                    self._kept.popitem(last=False)
            return made
        _, made = found
        assert made.supply is not None  # worked out by now, for all
        again = copy.copy(made)
        object.__setattr__(again, "book", state.book)
        forecast._set_up(state)
        forecast._kept = again
        return again


_FORECASTS, _WORK_OUT = _Forecasts(), Forecast._worked_out


def answer_from_what_is_kept(patch: pytest.MonkeyPatch) -> None:
    """Let questions be answered by what was answered before, where it was."""
    for module, name, answers in _ANSWERS:
        patch.setattr(module, name, answers.ask)
    patch.setattr(Forecast, "_worked_out", lambda self, state: _FORECASTS.of(self, state))
