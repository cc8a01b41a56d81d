"""Refused input."""

import pytest

from ripenroom.records.refusal import Question, Refusal


def test_the_message_is_the_filled_in_template() -> None:
    refusal = Refusal("count", "{count} is more than {most:g}.", count="{9}", most=7.0)
    assert refusal.message == str(refusal) == "{9} is more than 7."
    assert (refusal.field, refusal.text) == ("count", "{count} is more than {most:g}.")


def test_a_template_that_lacks_a_value_is_found_out_where_it_is_raised() -> None:
    with pytest.raises(KeyError):
        Refusal("count", "{count} is too many.")


def test_a_question_is_a_refusal_that_can_be_answered() -> None:
    question = Question("pulp_c", "Is {pulp:g} meant?", suggestion=20.0, pulp=68.0)
    assert isinstance(question, Refusal)
    assert (question.suggestion, question.possible) == (20.0, True)
    assert question.message == "Is 68 meant?"
    assert not Question("pulp_c", "Sure?", possible=False).possible
