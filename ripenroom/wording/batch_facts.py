"""What is known and expected of a batch, as pairs of label and text."""

import math

from ripenroom.records.batch import Batch
from ripenroom.records.crop.crop_names import called, gate_called, within
from ripenroom.records.crop.profile import CropProfile, Gate
from ripenroom.season.crop_kinds import kind_of
from ripenroom.season.projection import EndCause, FruitState, NoDate, Ranged, no_date
from ripenroom.texts import tr
from ripenroom.wording.batch_states_and_ends import (
    end_cause_name,
    gate_words,
    no_date_words,
    state_name,
)
from ripenroom.wording.crops import error_sentence, is_doubtful, only_dates_words
from ripenroom.wording.names import crop_name, feel_names, group_name
from ripenroom.wording.reader import Reader

Fact = tuple[str, str]


def written_down(reader: Reader, batch_id: str) -> list[Fact]:
    """What the user wrote down about the pick."""
    season, words = reader.season, reader.words
    batch = season.book.batches[batch_id]
    crop = season.crops.get(batch.crop)
    cultivar = season.book.cultivars.get(batch.cultivar_id or "")
    row = season.book.rows.get(batch.row_id or "")
    where = [crop_name(season.crops, batch.crop)]
    where += [cultivar.name] if cultivar else []
    where += [row.name] if row else []
    amounts = []
    if batch.count is not None:
        amounts.append(tr("{count} fruit").format(count=batch.count))
    if batch.weight_kg is not None:
        amounts.append(words.mass(batch.weight_kg))
    facts = [
        (tr("From"), " · ".join(where)),
        (tr("Picked"), words.moment(batch.picked_at)),
        (tr("Amount"), ", ".join(amounts)),
    ]
    if batch.feel_counts:
        felt = ", ".join(
            f"{count} {name}"
            for count, name in zip(batch.feel_counts, feel_names(crop), strict=True)
            if count
        )
        facts.append((_feel_label(crop), felt))
    if batch.readings:
        unit = batch.reading_unit or "N"
        gauge = " ".join(words.number(reading, 1) for reading in batch.readings) + f" {unit}"
        if batch.probe_mm is not None:
            gauge += tr(", probe {mm} mm").format(mm=words.number(batch.probe_mm, 1))
        facts.append((tr("Gauge"), gauge))
    if batch.pulp_c is not None:
        facts.append(
            (
                tr("Fruit temperature when picked"),
                words.temperature(batch.pulp_c),
            )
        )
    facts += _parted(reader, batch)
    if batch.note:
        facts.append((tr("Note"), batch.note))
    return facts


def _parted(reader: Reader, batch: Batch) -> list[Fact]:
    """Which batch it was part of, and which ones were part of it."""
    batches = reader.season.book.batches
    facts = []
    if batch.split_from is not None:
        whole = batches.get(batch.split_from)
        gone = tr("a batch that was deleted")
        label = tr("Split from")
        facts.append((label, whole.code if whole else gone))
    parts = sorted(other.code for other in batches.values() if other.split_from == batch.id)
    if parts:
        label = tr("Split into")
        facts.append((label, ", ".join(parts)))
    return facts


def _feel_label(crop: CropProfile | None) -> str:
    if crop is not None and crop.judged_by == "colour":
        return tr("Color")
    return tr("Hand feel")


def expected(reader: Reader, batch_id: str) -> list[Fact]:
    """What the projection says, each number with its 80 % range."""
    season, words, projection = reader.season, reader.words, reader.projection()
    line = projection.line_of.get(batch_id)
    if line is None:
        return [_nothing_expected(reader, batch_id)]
    state = FruitState(int(projection.state[line]))
    place = season.place_of(batch_id)
    left = words.number(float(projection.left[line]))
    if season.book.batches[batch_id].count is None:
        # Weighed and not counted: how many it is follows from the usual weight of one.
        left = tr("about {left}").format(left=left)
    may_be_ready = bool(projection.may_be_ready[line])
    is_now = state_name(state, bool(projection.may_ripen[line]), may_be_ready)
    now = [left, tr("may be ready: squeeze some") if may_be_ready else is_now]
    if place is not None:
        now.append(place.name)
    market = season.ask.at_market(batch_id)
    if market is not None:
        packed = tr("what you packed is at the market: {market}")
        now.append(packed.format(market=market.name))
    facts = [(tr("Left now"), " · ".join(now))]
    crop = season.profile_of(batch_id)
    assert crop is not None, "a batch with a line has a profile"
    facts += _about_crop(crop)
    facts += _group_figures(reader, batch_id)
    waits = ""
    if crop.gate is not None:
        opens_h = float(projection.gate_opens_h[line])
        waits = gate_words(crop.gate, opens_h, projection.at_h, words)
        facts.append(_gate(reader, crop.gate, line, waits))
    cause, why = (
        end_cause_name(EndCause(int(projection.end_cause[line]))),
        no_date(projection, line),
    )
    for label, moment in (
        (tr("First fruit ready"), projection.first_ready_h),
        (tr("Opens"), projection.opens_h),
        (tr("Best day"), projection.best_h),
        (tr("Closes"), projection.closes_h),
    ):
        text = _day_with_range(reader, moment, line)
        if moment is projection.opens_h and projection.ends_unready[line]:
            over = why is NoDate.FREEZING or state is FruitState.PAST
            text = no_date_words(why, crop.gate) if over and why else _not_here(waits)
        elif math.isnan(moment.mid[line]) and why is not None:
            if projection.ends_unready[line]:
                continue  # it is only never ready where it waits, as was said above
            facts.append((label, no_date_words(why, crop.gate)))
            continue
        if moment is projection.closes_h:
            text = f"{text} · {cause}"
        facts.append((label, text))
    best = projection.ready_at_best
    if not math.isnan(best.mid[line]):
        share = tr("{share} of the fruit ({range})").format(
            share=words.share(float(best.mid[line])),
            range=words.share_range(float(best.low[line]), float(best.high[line])),
        )
        facts.append((tr("Ready at once on the best day"), share))
    facts.append(
        (
            tr("May not ripen") if projection.may_ripen[line] else tr("Won't ripen"),
            tr("about {share} of the fruit").format(
                share=words.share(float(projection.wont_ripen[line]))
            ),
        )
    )
    used = float(projection.chilling_used[line])
    if used > 0.005:
        text = tr("{share} used").format(share=words.share(used))
        out_h = float(projection.chilling_out_h[line])
        if not math.isnan(out_h):
            text += tr(", all of it by {day} if it stays").format(day=words.day(out_h))
        facts.append((tr("Cold it can take"), text))
    if projection.uneven[line]:
        facts.append(
            (
                tr("Uneven"),
                tr("never half of the fruit ready at once"),
            )
        )
    return facts


def next_date(reader: Reader, batch_id: str) -> str:
    """What comes next of a batch: ``"ready from Sat 3 Oct (30 Sep–6 Oct)"``; else empty."""
    projection = reader.projection()
    line = projection.line_of.get(batch_id)
    if line is None:
        return ""
    opens = tr("ready from {day}")
    if projection.may_be_ready[line]:
        opens = tr("may be ready now, probably from {day}")
    for dates, text in (
        (projection.opens_h, opens),
        (projection.closes_h, tr("past from {day}")),
    ):
        if dates.mid[line] > projection.at_h:
            return text.format(day=_day_with_range(reader, dates, line))
    return ""


def _group_figures(reader: Reader, batch_id: str) -> list[Fact]:
    """Which group's figures the dates go by, where they are not the whole crop's."""
    season = reader.season
    kind = kind_of(season.book.batches[batch_id], season.book, season.crops)
    if kind.group is None:
        return []
    text = tr("those of the group “{group}” of {crop}")
    said = text.format(
        group=group_name(season.crops, kind.crop, kind.group),
        crop=within(crop_name(season.crops, kind.crop)),
    )
    return [(tr("Figures used"), said)]


def _about_crop(crop: CropProfile) -> list[Fact]:
    """Why to be careful with all that follows, if there is reason to."""
    said = []
    if crop.judged_by == "nothing":
        said.append(only_dates_words())
    if is_doubtful(crop):
        said.append(error_sentence(crop))
    name = called(crop)
    return [(name, text) for text in said]


def _not_here(waits: str) -> str:
    """Why a batch is never ready where it is, if it is not that it won't ripen at all."""
    if waits:
        return tr("not in this place: it {needs}").format(needs=waits)
    return tr("not in this place: move it somewhere warmer")


def _gate(reader: Reader, gate: Gate, line: int, waits: str) -> Fact:
    """What the fruit needs before it ripens, and how far it is with that."""
    words, projection = reader.words, reader.projection()
    label = tr("Waits for {gate}").format(gate=gate_called(gate))
    if not waits:
        done = tr("done since {day}")
        return label, done.format(day=words.day(float(projection.gate_opens_h[line])))
    share = tr("{share} done; {waits}")
    return label, share.format(share=words.share(float(projection.gate_done[line])), waits=waits)


def _nothing_expected(reader: Reader, batch_id: str) -> Fact:
    season = reader.season
    crop = season.book.batches[batch_id].crop
    if crop not in season.crops:
        text = tr("not known: this season has no crop “{crop}”").format(crop=crop)
    else:
        text = tr("not known: the batch has no place. Move it to where it waits")
    return tr("Eat-by window"), text


def _day_with_range(reader: Reader, moment: Ranged, line: int) -> str:
    words = reader.words
    middle = float(moment.mid[line])
    if math.isnan(middle):
        return tr("never")
    low, high = float(moment.low[line]), float(moment.high[line])
    if math.isnan(low) or math.isnan(high):
        return words.day(middle)
    return tr("{day} ({range})").format(day=words.day(middle), range=words.day_range(low, high))
