"""Input that is refused: which field, why, and what to do about it."""

from ripenroom.texts import tr


class Refusal(ValueError):  # noqa: N818 - it refuses; the program has not erred
    """One refused value, with a message meant to be shown beside the field that caused it.

    ``text`` is a template in plain English, which is the key of its translation; ``values`` fill
    it, days and moments in words. ``field`` names the input (such as ``"count"``), or is empty when
    the whole action is refused.
    """

    def __init__(self, field: str, text: str, **values: object) -> None:
        self.field = field
        self.text = text
        self.values = values
        super().__init__(text.format(**values))

    @property
    def message(self) -> str:
        """The filled-in text in the reader's language."""
        from ripenroom.days import in_words  # which is slow to import, and rarely needed

        return tr(self.text).format(**{name: in_words(v) for name, v in self.values.items()})


class Question(Refusal):
    """A value that may be right but is more likely a slip; the user may say yes and go on.

    ``suggestion`` is the value that was probably meant (such as the unit a reading fits in).
    ``possible`` is False where the value as typed cannot be: then saying yes would not help.
    """

    def __init__(
        self,
        field: str,
        text: str,
        suggestion: object = None,
        possible: bool = True,
        **values: object,
    ) -> None:
        super().__init__(field, text, **values)
        self.suggestion = suggestion
        self.possible = possible


def refused_by_system(file: str, error: OSError, field: str = "") -> Refusal:
    """What the operating system says against reading or writing a ``file``."""
    return Refusal(field, "{file}: {reason}.", file=file, reason=error.strerror or str(error))
