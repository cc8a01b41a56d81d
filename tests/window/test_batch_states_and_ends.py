"""Words for how a batch stands: every code has its own, and what is waited for its way out."""

import math
from dataclasses import replace

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import Gate
from ripenroom.season.projection import EndCause, FruitState, NoDate
from ripenroom.window.session import Session
from ripenroom.wording.batch_states_and_ends import (
    end_cause_name,
    end_words,
    gate_words,
    no_date_words,
    state_name,
)


def gate_of(key: str) -> Gate:
    gate = shipped_profiles()[key].gate
    assert gate is not None
    return gate


def test_no_code_is_without_a_word_of_its_own() -> None:
    states = {state_name(state) for state in FruitState}
    causes = {end_cause_name(cause) for cause in EndCause}
    reasons = {no_date_words(reason, gate_of("anjou")) for reason in NoDate}
    for said, codes in ((states, FruitState), (causes, EndCause), (reasons, NoDate)):
        assert all(said)
        assert len(said) == len(codes)


def test_what_ends_fruit_is_said_of_a_day() -> None:
    assert end_words(EndCause.TOO_SOFT) == "too soft after {day}"
    assert end_words(EndCause.TOO_SOFT, over=True) == "too soft since {day}"


def test_a_date_is_told_while_it_lies_ahead(session: Session) -> None:
    now_h = session.projection().at_h
    cold = gate_of("anjou")
    day = session.words.day(now_h + 240.0)
    told = gate_words(cold, now_h + 240.0, now_h, session.words)
    assert told == f"needs its cold until {day}"
    assert gate_words(cold, now_h - 1.0, now_h, session.words) == ""
    assert gate_words(cold, math.nan, now_h, session.words) == ""
    trigger = gate_words(gate_of("kiwifruit"), now_h + 240.0, now_h, session.words)
    assert trigger == f"waits for its trigger until {day}"


def test_what_never_comes_is_told_with_the_way_out(session: Session) -> None:
    cold = replace(gate_of("anjou"), ethylene_days=None)
    told = gate_words(cold, math.inf, 0.0, session.words)
    assert told == "needs cold first: move it to a cold room"
    told = gate_words(gate_of("anjou"), math.inf, 0.0, session.words)
    assert told == "needs cold first: move it to a cold room, or give it ethylene"
    other = replace(cold, name="trigger", none_above_c=15.0)
    told = gate_words(other, math.inf, 0.0, session.words)
    assert told == "needs trigger first: move it below 15 °C"
