"""What is planned for a line, in words: for a listener, and beneath the queue."""

from PySide6.QtCore import QCoreApplication

from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.ways import Fate, Planned, Way
from ripenroom.window.wording import Wording


def crates_words(crates: int, words: Wording) -> str:
    """So many crates."""
    if crates == 1:
        return QCoreApplication.translate("Queue", "1 crate")
    return QCoreApplication.translate("Queue", "{count} crates").format(count=words.number(crates))


def line_plan_words(scene: Scene, line: int, words: Wording) -> str:
    """How all crates of a line are planned to go, one sentence each; empty while nothing is."""
    planned = scene.planned
    if planned is None:
        return ""
    return "\n".join(f"{way_words(planned, way, words)}." for way in scene.ways_of(line))


def way_words(planned: Planned, way: Way, words: Wording) -> str:
    """``"3 crates for Village market, Sat 26 Sep: to Ripening room Thu 24 Sep, 18:00; 78 % ready
    then"``, and whether that is pinned or packed."""
    line, parts = way.line, _steps(planned, way, words)
    if way.fate is Fate.SOLD:
        share = QCoreApplication.translate("Queue", "{share} ready then")
        parts.append(share.format(share=words.share(line.expected_ready_share)))
    if line.packed:
        parts.append(QCoreApplication.translate("Queue", "packed"))
    elif way.pinned:
        parts.append(QCoreApplication.translate("Queue", "pinned"))
    crates = crates_words(line.crates, words)
    return QCoreApplication.translate("Queue", "{crates} {goal}: {route}").format(
        crates=crates, goal=_goal(planned, way, words), route="; ".join(parts)
    )


def _goal(planned: Planned, way: Way, words: Wording) -> str:
    """What becomes of them in the end."""
    if way.fate is Fate.CLEARED:
        return QCoreApplication.translate("Queue", "to clear away")
    if way.fate is Fate.SECOND_GRADE:
        return QCoreApplication.translate("Queue", "to second grade {day}").format(
            day=words.day(way.ends_h)
        )
    if way.fate is Fate.LEFT and way.pinned:
        return QCoreApplication.translate("Queue", "kept from every market day")
    if way.fate is Fate.LEFT:
        return QCoreApplication.translate("Queue", "for no market day")
    return QCoreApplication.translate("Queue", "for {market}, {day}").format(
        market=planned.day_names[way.line.market_day_id or ""], day=words.day(way.ends_h)
    )


def _steps(planned: Planned, way: Way, words: Wording) -> list[str]:
    """Where they wait, and where they are moved when."""
    names, line = planned.place_names, way.line
    here = names[line.from_place_id]
    if way.fate is Fate.CLEARED:
        return [
            QCoreApplication.translate("Queue", "from {place}, its room is needed").format(
                place=here
            )
        ]
    if way.fate is Fate.SECOND_GRADE:
        return [QCoreApplication.translate("Queue", "from {place}").format(place=here)]
    if not line.steps:
        return [QCoreApplication.translate("Queue", "stays in {place}").format(place=here)]
    return [
        QCoreApplication.translate("Queue", "to {place} {moment}").format(
            place=names[step.place_id], moment=words.moment(step.at)
        )
        for step in line.steps
    ]
