"""Where pieces were last seen: the newest record that says so, and which of their tags no record of an end names."""

from __future__ import annotations

from datetime import date

from ashcomb.kernel.time import day_words
from ashcomb.plans.pieces import Counted, Key
from ashcomb.records.acts import Burn, Treatment
from ashcomb.records.movements import Move
from ashcomb.records.pieces import Loss, Split, Tag
from ashcomb.records.places import Hive
from ashcomb.records.situation import Situation
from ashcomb.records.storage import Hold, StockTake

Sight = tuple[date, int, str]  # day, which of two records of one day is the later, words


def last_seen(situation: Situation, key: Key, counts: Counted) -> str:
    """The newest record that says where pieces of this owner and kind were, in words; then the tags still open."""
    sights = [*_counted(situation, key, counts), *_moved(situation, key[0]), *_split(situation, key),
              *_stored(situation, key)]  # fmt: skip
    words = max(sights)[2] if sights else "never counted"
    tags = open_tags(situation, key)
    return f"{words}; tags not accounted for: {', '.join(tags)}" if tags else words


def open_tags(situation: Situation, key: Key) -> tuple[str, ...]:
    """Tags on pieces of this owner and kind that no burn, treatment or loss names."""
    ended = {tag for cls in (Burn, Treatment, Loss) for row in situation.rows(cls) for tag in row.tags}
    return tuple(t.mark for t in situation.rows(Tag) if (t.owner, t.component) == key and t.mark not in ended)


def _counted(situation: Situation, key: Key, counts: Counted) -> list[Sight]:
    day = counts.counted_on.get(key)
    if day is None:
        return []
    home = situation.by_mark(Hive).get(key[0])
    place = home.apiary if home else key[0].removeprefix("at ")
    return [(day, 0, f"counted on {day_words(day)} at {place}")]


def _moved(situation: Situation, hive: str) -> list[Sight]:
    moves = [move for move in situation.rows(Move) if hive in move.hives]
    return [(m.happened.last, 1, f"hive moved to {m.target} on {m.happened.words()}") for m in moves]


def _split(situation: Situation, key: Key) -> list[Sight]:
    rows = [s for s in situation.rows(Split) if (s.target, s.component) == key]
    where = {s.id: f" at {s.place}" if s.place else "" for s in rows}
    return [(s.happened.last, 2, f"{s.count} put into lot {s.target}{where[s.id]} on {s.happened.words()}")
            for s in rows]  # fmt: skip


def _stored(situation: Situation, key: Key) -> list[Sight]:
    found = []
    for hold in situation.rows(Hold):
        if (hold.owner, hold.component) == key:
            verb = "into" if hold.direction == "in" else "out of"
            spot = f", {hold.spot}" if hold.spot else ""
            words = f"{hold.count} {verb} store {hold.store or 'unnamed'}{spot} on {hold.happened.words()}"
            found.append((hold.happened.last, 3, words + (f" ({hold.purpose})" if hold.purpose else "")))
    rows = [row for row in situation.rows(StockTake) if (row.owner, row.component) == key and row.count]
    found += [(r.happened.last, 4, f"{r.count} counted in {r.store} on {r.happened.words()}") for r in rows]
    return found
