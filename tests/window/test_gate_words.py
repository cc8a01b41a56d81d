"""What a batch waits for, in words."""

import math
from dataclasses import replace

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import Gate
from ripenroom.window.session import Session
from ripenroom.wording.names import gate_words


def gate_of(key: str) -> Gate:
    gate = shipped_profiles()[key].gate
    assert gate is not None
    return gate


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
