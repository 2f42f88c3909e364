"""How a scene and a state lie in memory for the compiled functions: few long arrays, with the beginning of each field.

A compiled call copies the description of each array that it hands on; with sixty arrays that costs more than the work.
So the floats of a scene lie one after the other in `num`, its whole numbers in `idx`; those of a state in `mem` and
`pos`. `idx[AT_HIT]` is where field `hit` begins in `mem`: `mem[pos[AT_HIT] + c]` is its entry c.

What is asked of one colony, stay or event lies side by side: a large scene is far larger than what the processor keeps
near, and each line of memory from afar costs as much as a hundred steps. Such fields are entered by their stride:
`num[idx[AT_FIRST] + HIVE * j]` is `scene.first[j]`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ashcomb.outbreak.scene import NEVER, NO, Floats, Ints, Scene, transposed

COLONIES, EVENTS, POOLS, STEPS, BROOD_LAST, DAYS, PLACES, STAYS = range(8)  # counts, at the head of `idx`
SCENE_FLOATS = (
    "first", "infectable", "end", "dead", "before", "stay_from", "stay_to", "near_fall", "present", "exposed",
    "event_from", "event_to", "event_outside", "event_objects", "give_share", "give_time", "out_share",
    "out_time", "look_time", "look_worth", "look_false", "look_alike", "pool_time", "pool_false", "pool_signs",
    "pool_latent", "quantile", "brood", "remission",
)  # fmt: skip
SCENE_WHOLES = (
    "stay_ptr", "stay_place", "stay_of", "place_ptr", "place_stay", "touching", "near_ptr", "near", "event_kind",
    "give_ptr", "give", "take_ptr", "take", "in_ptr", "in_event", "out_ptr", "out_event", "look_ptr", "look_found",
    "pool_found", "pool_ptr", "pool", "mine_ptr", "mine", "brood_day",
)  # fmt: skip
STATE_FLOATS = (
    "time", "onset", "chance", "turn", "length", "when", "share", "rate", "speed", "low", "high", "mass",
    "weight", "tally", "spared", "base", "out_low", "out_high", "its_time", "its_onset", "its_dead", "its_end",
    "hit", "kept", "struck", "log_struck", "gave",
    "old_share", "old_spared", "old_struck", "old_log", "soon",
    "was_time", "was_onset", "was_chance", "was_turn", "was_length", "dose", "stem_share", "begin",
    "span", "dawn",
)  # fmt: skip
STATE_WHOLES = (
    "source", "risk", "taken", "head", "after", "ahead", "who", "visits", "often", "ill", "spot", "plan",
    "strong", "tickets", "block", "mark", "by", "was", "was_source", "came", "block_ptr", "yards", "tree", "queue",
    "free", "told", "grew", "stayed", "likely", "stood",
    "duo", "well", "moved", "gift_ptr", "gift_event", "gift_from", "gift", "doubt",
)  # fmt: skip
(
    AT_FIRST, AT_INFECTABLE, AT_END, AT_DEAD, AT_BEFORE, AT_STAY_FROM, AT_STAY_TO, AT_NEAR_FALL, AT_PRESENT,
    AT_EXPOSED, AT_EVENT_FROM, AT_EVENT_TO, AT_EVENT_OUTSIDE, AT_EVENT_OBJECTS, AT_GIVE_SHARE, AT_GIVE_TIME,
    AT_OUT_SHARE, AT_OUT_TIME, AT_LOOK_TIME, AT_LOOK_WORTH, AT_LOOK_FALSE, AT_LOOK_ALIKE, AT_POOL_TIME, AT_POOL_FALSE,
    AT_POOL_SIGNS, AT_POOL_LATENT, AT_QUANTILE, AT_BROOD, AT_REMISSION,
) = range(8, 37)  # fmt: skip
(
    AT_STAY_PTR, AT_STAY_PLACE, AT_STAY_OF, AT_PLACE_PTR, AT_PLACE_STAY, AT_TOUCHING, AT_NEAR_PTR, AT_NEAR,
    AT_EVENT_KIND, AT_GIVE_PTR, AT_GIVE, AT_TAKE_PTR, AT_TAKE, AT_IN_PTR, AT_IN_EVENT, AT_OUT_PTR, AT_OUT_EVENT,
    AT_LOOK_PTR, AT_LOOK_FOUND, AT_POOL_FOUND, AT_POOL_PTR, AT_POOL, AT_MINE_PTR, AT_MINE, AT_BROOD_DAY,
) = range(37, 62)  # fmt: skip
(
    AT_TIME, AT_ONSET, AT_CHANCE, AT_TURN, AT_LENGTH, AT_WHEN, AT_SHARE, AT_RATE, AT_SPEED, AT_LOW, AT_HIGH,
    AT_MASS, AT_WEIGHT, AT_TALLY, AT_SPARED, AT_BASE, AT_OUT_LOW, AT_OUT_HIGH, AT_ITS_TIME, AT_ITS_ONSET,
    AT_ITS_DEAD, AT_ITS_END, AT_HIT, AT_KEPT, AT_STRUCK, AT_LOG_STRUCK, AT_GAVE,
    AT_OLD_SHARE, AT_OLD_SPARED, AT_OLD_STRUCK, AT_OLD_LOG, AT_SOON,
    AT_WAS_TIME, AT_WAS_ONSET, AT_WAS_CHANCE, AT_WAS_TURN, AT_WAS_LENGTH, AT_DOSE, AT_STEM_SHARE, AT_BEGIN,
    AT_SPAN, AT_DAWN,
) = range(42)  # fmt: skip
(
    AT_SOURCE, AT_RISK, AT_TAKEN, AT_HEAD, AT_AFTER, AT_AHEAD, AT_WHO, AT_VISITS, AT_OFTEN, AT_ILL, AT_SPOT,
    AT_PLAN, AT_STRONG, AT_TICKETS, AT_BLOCK, AT_MARK, AT_BY, AT_WAS, AT_WAS_SOURCE, AT_CAME, AT_BLOCK_PTR, AT_YARDS,
    AT_TREE, AT_QUEUE, AT_FREE, AT_TOLD, AT_GREW, AT_STAYED, AT_LIKELY, AT_STOOD,
    AT_DUO, AT_WELL, AT_MOVED, AT_GIFT_PTR, AT_GIFT_EVENT, AT_GIFT_FROM, AT_GIFT, AT_DOUBT,
) = range(42, 80)  # fmt: skip
(
    OFTEN, RARE, MOVES, STRIDE, TURN, STRONG, PAIRS, TICKETS, LOCAL, BRANCHES, YARDS, LIKELY, DUOS, ANEW, WELL, AGAIN,
    NEXT_YARD, NEXT_LIKELY, DOUBTS, EACH,
) = range(20)  # fmt: skip  # of `plan`
MOST_TICKETS, MOST_YARDS, MOST_DOUBTS = 4, 32, 4  # of one colony, of one apiary, of one visited often
FEW = 4  # givers or receivers of a small event
_HEAD = 8
HIVE, EVENT, LOOK, STAY, OUT, DAY = 8, 4, 4, 2, 2, 2  # strides; 8 numbers are one line of memory
_SIDE_BY_SIDE = (
    (HIVE, ("first", "infectable", "end", "dead", "before")),
    (HIVE, ("stay_ptr", "in_ptr", "out_ptr", "look_ptr", "mine_ptr")),
    (HIVE, ("time", "onset", "rate", "weight", "chance", "turn", "length", "soon")),
    (HIVE, ("source", "spot", "mark", "by", "tree", "visits", "stood")),
    (EVENT, ("event_from", "event_to", "event_outside", "event_objects")),
    (EVENT, ("event_kind", "give_ptr", "take_ptr")),
    (EVENT, ("when", "share", "spared", "struck")),
    (EVENT, ("log_struck", "stem_share", "gave", "old_share")),
    (EVENT, ("old_spared", "old_struck", "old_log")),
    (EVENT, ("risk", "taken", "free", "told")),
    (LOOK, ("look_time", "look_worth", "look_false", "look_alike")),
    (STAY, ("stay_from", "stay_to")),
    (STAY, ("stay_place", "stay_of")),
    (STAY, ("after", "ahead")),
    (OUT, ("out_share", "out_time")),
    (DAY, ("present", "exposed")),
)
_GROUP = {name: (stride, names) for stride, names in _SIDE_BY_SIDE for name in names}
_GATHERED = (
    "speed", "low", "high", "mass", "base", "out_low", "out_high", "its_time", "its_onset", "its_dead", "its_end",
    "hit", "begin",
)  # fmt: skip
_BRANCH = (
    "soon", "was_time", "was_onset", "was_chance", "was_turn", "was_length", "mark", "by", "was",
    "was_source", "came", "tree", "queue", "dose",
)  # fmt: skip
_ROOM = 4096  # least size of the scratch for those who press on one colony


class Packed(NamedTuple):
    """Floats and whole numbers, the latter with the table of beginnings at their head."""

    num: Floats
    idx: Ints

    def view(self, name: str, size: int) -> np.ndarray:
        """View of the first so many numbers of one field of the scene."""
        fields = (*SCENE_FLOATS, *SCENE_WHOLES)
        memory = self.num if name in SCENE_FLOATS else self.idx
        return _view(memory, int(self.idx[_HEAD + fields.index(name)]), size, name)


class State:
    """One history of n colonies and m events in memory, with what is kept ready for its moves, and views of its fields.

    time, onset (n): of infection and of first signs, infinite if never.  chance, turn, length (n): position of the
    onset in its law, of the remission's start and of its length, each 0 to 1.  source (n): see `scene`.
    when (m): time of each event.  share (m): contaminated share of its objects.  spared, struck, log_struck (m): log of
    the chance that it spares a receiver; the chance that it does not; its log.  risk, taken (m): receivers that it
    could still infect, and that it did.  gave, old_* (m): what the colony that is out had given, and what was before.
    rate (n): pressure at the moment of infection.
    head (apiaries), after, ahead (stays): linked lists of the stays of infected colonies.
    who, speed, low, high, mass, base, out_*, its_*, hit: scratch of `gather`.  kept (n): of `other_date`.
    weight (n): chance that a birth picks each rare colony, 0 for those visited often.  tickets: the rare colonies, each
    as often as a birth picks it.
    often (n): colonies visited in every sweep.  ill, spot (n): infected rare colonies, and the place of each there.
    well: healthy ones among those visited often.
    tally, visits (n): sum of the chances of being infected at the visits to each colony, and number of visits.
    stood (n): sweeps at whose end it was infected.
    strong (m): events of which giver and receiver come and go together.  duo: a colony that comes and goes, one that
    is infected anew, and an event to which the first gives, or -1 where it receives; one after the other.
    doubt: colonies of `often` that come and go with a branch, each as often in a sweep as it is listed.
    likely: colonies visited in turn, each as often as it is listed.  yards: apiaries that grow branches anew, likewise,
    by their numbers, or these and the number of apiaries where all of a branch does;
    grew, stayed (apiaries): colonies that grew there, and branches that changed.
    block_ptr, block, moved, span, dawn, gift_*: the block of each apiary, see `chain.Blocks`.
    free (m): healthy rare receivers.
    While a branch grows: tree (n): 1 in it; mark (n): 1 while looked at by itself.
    queue, soon, by (n): those who wait, when and how each
    would be infected.  dose (n): its part in an infection.  stem_share, told (m): what others gave, and whether that is
    known.  was_*, came (n): the old and the new one.
    plan: colonies in `often`, in `ill`, births or deaths a sweep, every how manieth sweep visits all, sweeps so far,
    events in `strong`, moves of pairs a sweep, number of tickets, moves beside infected rare colonies a sweep, branches
    a sweep, entries of `yards`, of `likely`, pairs in `duo`, moves of these a sweep, colonies in `well`, visits of
    `likely` a sweep, whose turn it is in `yards` and in `likely`, entries of `doubt`, every how
    manieth of `ill` is visited in a sweep.
    """

    def __init__(self, scene: Scene) -> None:
        n, m, slots, places = len(scene.first), len(scene.event_kind), len(scene.stay_of), len(scene.near_ptr) - 1
        room, gifts = _ROOM + 4 * slots, len(scene.in_event)
        sizes = {"time": n, "onset": n, "chance": n, "turn": n, "length": n, "when": m, "share": m, "rate": n,
                 "spared": m, "struck": m, "log_struck": m, "gave": m, "old_share": m, "old_spared": m,
                 "old_struck": m, "old_log": m, "source": n, "risk": m, "taken": m, "who": room,
                 "head": places, "after": slots, "ahead": slots,
                 "weight": n, "tally": n, "kept": n, "visits": n, "stood": n, "often": n, "ill": n,
                 "likely": 5 * n + 64, "doubt": MOST_DOUBTS * n,
                 "spot": n, "well": n, "plan": 20, "duo": 6 * int(small_pairs(scene).sum()), "strong": m,
                 "tickets": MOST_TICKETS * n,
                 "yards": MOST_YARDS * places, "grew": places, "stayed": places, "block_ptr": places + 1,
                 "block": slots, "stem_share": m, "free": m, "told": m,
                 "moved": places, "span": places, "dawn": places, "gift_ptr": places + 1,
                 "gift_event": gifts, "gift_from": gifts + 1, "gift": gifts}  # fmt: skip
        sizes |= dict.fromkeys(_GATHERED, room) | dict.fromkeys(_BRANCH, n)
        head = len(STATE_FLOATS) + len(STATE_WHOLES)
        floats, size = _laid({name: sizes[name] for name in STATE_FLOATS}, 0)
        wholes, whole = _laid({name: sizes[name] for name in STATE_WHOLES}, head)
        self.mem, self.pos = _room(size, np.float64), _room(whole, np.int64)
        self._begin = floats | wholes
        self.pos[:head] = [*self._begin.values()]
        self._size = sizes
        self.floats("time")[:] = NEVER
        self.floats("onset")[:] = NEVER
        self.floats("turn")[:] = 1.0
        self.floats("soon")[:] = NEVER
        self.wholes("source")[:] = NO
        self.wholes("often")[:] = np.arange(n)
        self.wholes("plan")[:] = (n, *(1 if k in (STRIDE, EACH) else 0 for k in range(1, 20)))

    def floats(self, name: str) -> Floats:
        """View of one field of floats."""
        return _view(self.mem, self._begin[name], self._size[name], name)

    def wholes(self, name: str) -> Ints:
        """View of one field of whole numbers."""
        return _view(self.pos, self._begin[name], self._size[name], name)


def small_pairs(scene: Scene) -> Ints:
    """Pairs of a giver and a receiver of each event (m) that has few of both; 0 for the others."""
    givers, takers = np.diff(scene.give_ptr), np.diff(scene.take_ptr)
    return np.where((givers <= FEW) & (takers <= FEW), givers * takers, 0)


def packed(scene: Scene) -> Packed:
    """A scene in memory."""
    ptr, stay = transposed(len(scene.near_ptr) - 1, scene.stay_place)
    days = np.searchsorted(scene.brood, np.arange(int(scene.brood[-1]) + 1))  # first day before which so many had brood
    made = {"place_ptr": ptr, "place_stay": stay, "brood_day": days}
    parts = {name: np.ravel(made[name] if name in made else getattr(scene, name))
             for name in (*SCENE_FLOATS, *SCENE_WHOLES)}  # fmt: skip
    counts = [len(scene.first), len(scene.event_kind), len(scene.pool_time), len(scene.quantile) - 1,
              len(scene.brood) - 1, scene.present.shape[1], len(scene.near_ptr) - 1, len(scene.stay_of)]  # fmt: skip
    head = _HEAD + len(parts)
    floats, size = _laid({name: len(parts[name]) for name in SCENE_FLOATS}, 0)
    wholes, whole = _laid({name: len(parts[name]) for name in SCENE_WHOLES}, head)
    num, idx = _room(size, np.float64), _room(whole, np.int64)
    idx[:head] = [*counts, *floats.values(), *wholes.values()]
    for name, part in parts.items():
        _view(num if name in floats else idx, (floats | wholes)[name], len(part), name)[:] = part
    return Packed(num, idx)


def _laid(sizes: dict[str, int], first: int) -> tuple[dict[str, int], int]:
    """Where each field begins, and where the last ends; groups begin where a line of memory may."""
    begin: dict[str, int] = {}
    for name in sizes:
        if name in begin:
            continue
        stride, names = _GROUP.get(name, (1, (name,)))
        first = -(-first // HIVE) * HIVE
        begin |= {other: first + k for k, other in enumerate(names)}
        first += stride * max(sizes[other] for other in names)
    return {name: begin[name] for name in sizes}, first


def _room(size: int, kind: type[np.generic]) -> np.ndarray:
    """Zeros that begin where a line of memory does."""
    whole = np.zeros(size + HIVE, dtype=kind)
    first = -whole.ctypes.data % (HIVE * whole.itemsize) // whole.itemsize
    return whole[first : first + size]


def _view(memory: np.ndarray, begin: int, size: int, name: str) -> np.ndarray:
    stride = _GROUP[name][0] if name in _GROUP else 1
    return memory[begin : begin + stride * size : stride]
