"""That market days are missing, what is kept for those that are not entered yet, and which picks
the plan reckons with though nobody has said so."""

from PySide6.QtCore import QCoreApplication

from ripenroom.window.names import crop_name
from ripenroom.window.planning.expected_words import likely_words
from ripenroom.window.session import Session


def in_sight_words(session: Session) -> str:
    """``"No market day after Sat 5 Dec wants pawpaw: the plan keeps what will still be good for a
    later one."``; empty where more than one does, or nothing is there to be kept."""
    season, plan = session.season, session.plans.plan
    if plan is None:
        return ""
    said = []
    for sight in season.ask.short_sights(plan):
        named = ", ".join(crop_name(season.crops, crop).lower() for crop in sight.crops)
        if sight.last is None:
            text = QCoreApplication.translate("PlanWords", "No market day ahead wants {crops}")
            lacks = text.format(crops=named)
        else:
            text = QCoreApplication.translate(
                "PlanWords", "No market day after {day} wants {crops}"
            )
            lacks = text.format(day=session.words.day(sight.last.starts_at), crops=named)
        does = (
            QCoreApplication.translate(
                "PlanWords", "{lacks}: the plan keeps what will still be good for a later one."
            )
            if season.ask.keeps_any(plan, sight.crops)
            else QCoreApplication.translate(
                "PlanWords", "{lacks}. If there is one, enter it on Market days."
            )
        )
        said.append(does.format(lacks=lacks))
    return " ".join(said)


def kept_words(session: Session) -> str:
    """``"Kept for later: about 120 fruit, not counted in what is sold."``; empty without any."""
    plan = session.plans.plan
    if plan is None or plan.outcome.kept < 0.5:
        return ""
    return QCoreApplication.translate(
        "PlanWords", "Kept for later: about {count} fruit, not counted in what is sold."
    ).format(count=session.words.number(plan.outcome.kept))


def reckoned_words(session: Session) -> str:
    """``"Going by the last days’ picks, about 190 more pawpaw (120–260) are likely from Sat 3 Oct
    to Tue 20 Oct. …"``; empty without any."""
    likely = likely_words(session)
    if not likely:
        return ""
    return QCoreApplication.translate(
        "PlanWords",
        "Going by the last days’ picks, {picks}. The plan counts on them, but none is in its "
        "figures. To say otherwise: Picks, Expected picks (Ctrl+E).",
    ).format(picks="; ".join(likely))
