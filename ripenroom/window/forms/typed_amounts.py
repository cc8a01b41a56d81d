"""Counts and prices as they are typed and shown in forms."""

from ripenroom.records.refusal import Refusal
from ripenroom.window.forms.typed_line import TypedLine
from ripenroom.window.wording import Wording


def whole_number(text: str, words: Wording) -> int | None:
    """The whole number that was typed in the user's locale, or None if it is none."""
    value = words.parse_number(text)
    return None if value is None or value != int(value) else int(value)


def shown_price(price_minor: int, words: Wording) -> str:
    """A price (minor units) as it is typed: without the currency."""
    decimals = words.season.currency_decimals
    return words.number(price_minor / 10**decimals, decimals)


def typed_price(line: TypedLine, words: Wording, field: str) -> int | None:
    """The price (minor units) in a line, None if it is empty.

    Raises ``Refusal`` of ``field`` for what is no price.
    """
    text = line.text().strip()
    if not text:
        return None
    amount = text
    for sign in (words.season.currency, words.currency_sign):
        amount = amount.removeprefix(sign).removesuffix(sign).strip()
    value = words.parse_number(amount)
    decimals = words.season.currency_decimals
    minor = None if value is None else round(value * 10.0**decimals)
    if minor is None or minor < 0 or abs(minor / 10**decimals - (value or 0.0)) > 1e-9:
        raise Refusal(
            field,
            "Price: type an amount such as {example}, not “{typed}”.",
            example=words.number(1.5, decimals),
            typed=text,
        )
    return minor
