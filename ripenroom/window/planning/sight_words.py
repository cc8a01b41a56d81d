"""That market days are missing, and what is kept for those that are not entered yet."""

from PySide6.QtCore import QCoreApplication

from ripenroom.window.session import Session


def in_sight_words(session: Session) -> str:
    """``"No market day is entered after Sat 5 Dec: the plan keeps what will still be good then."``;
    empty where more than one is, or nothing is there to be kept."""
    from ripenroom.season.plans.wants import days_in_sight

    season, plan = session.season, session.plans.plan
    if plan is None or not plan.lines:
        return ""
    days = days_in_sight(season.book, season.now())
    if len(days) > 1:
        return ""
    if not days:
        return QCoreApplication.translate(
            "PlanWords",
            "No market day ahead is entered: the plan keeps what will be good for one later.",
        )
    return QCoreApplication.translate(
        "PlanWords",
        "No market day is entered after {day}: the plan keeps what will still be good then.",
    ).format(day=session.words.day(days[0].starts_at))


def kept_words(session: Session) -> str:
    """``"Kept for later: about 120 fruit, not counted in what is sold."``; empty without any."""
    plan = session.plans.plan
    if plan is None or plan.outcome.kept < 0.5:
        return ""
    return QCoreApplication.translate(
        "PlanWords", "Kept for later: about {count} fruit, not counted in what is sold."
    ).format(count=session.words.number(plan.outcome.kept))
