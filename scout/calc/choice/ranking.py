"""Rooms against needs as numbers: what is met, what it is worth, who comes first, how surely, and
what would change that. The last axes are rooms and needs, or rooms alone; leading axes are draws.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.calc.geometry import FloatArray, require

BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]
# how a figure may lie: known; about its middle, 19 times of 20 within its ends; anywhere between
# its ends; one end or the other
SURE, ABOUT, BETWEEN, EITHER = range(4)
WEIGHT_SPREAD = 0.25  # asked again, people give a weight within about a quarter (common practice)
SAME_TOTAL = 1e-9


@dataclass(frozen=True)
class Needs:
    """What is asked, a value a need.

    sense:    1 where more is better, -1 where less is
    limit:    the figure from which it is met
    worst, best: the figures worth 0 and 1
    bend:     0: worth rises evenly; above 0: soon, and less and less; below 0: late
    required: decides before anything is weighed
    weight:   of what is preferred, 0 or more
    """

    sense: FloatArray
    limit: FloatArray
    worst: FloatArray
    best: FloatArray
    bend: FloatArray
    required: BoolArray
    weight: FloatArray


@dataclass(frozen=True)
class Facts:
    """What is known, (rooms, needs).

    figure:  as it stands; NaN where nobody knows, which meets nothing and is worth nothing
    low, high: between which it lies
    spread:  how, see SURE and its like
    fact:    which fact it rests on, so that cells of one fact move together; -1: none
    applies: whether the need means anything there; else it counts neither way
    """

    figure: FloatArray
    low: FloatArray
    high: FloatArray
    spread: IntArray
    fact: IntArray
    applies: BoolArray

    def of(self, rooms: IntArray) -> Facts:
        """The same for some of the rooms."""
        return Facts(
            self.figure[rooms],
            self.low[rooms],
            self.high[rooms],
            self.spread[rooms],
            self.fact[rooms],
            self.applies[rooms],
        )


def met(needs: Needs, figure: FloatArray) -> BoolArray:
    """(..., rooms, needs) whether a figure meets its need; one that nobody knows does not."""
    with np.errstate(invalid="ignore"):
        return np.asarray(needs.sense * (figure - needs.limit) >= -1e-9)


def worth(needs: Needs, figure: FloatArray) -> FloatArray:
    """(..., rooms, needs) from 0 to 1, by a curve of constant bend.

    Source: Kirkwood, Strategic Decision Making (1997): exponential value functions; a bend of 0 is
            their limit, a straight line
    """
    share = (figure - needs.worst) / (needs.best - needs.worst)
    share = np.clip(np.nan_to_num(share, nan=0.0), 0.0, 1.0)
    bent = np.abs(needs.bend) > 1e-6
    bend = np.where(bent, needs.bend, 1.0)
    curved = np.expm1(-bend * share) / np.expm1(-bend)
    return np.asarray(np.where(bent, curved, share))


def score(
    needs: Needs, applies: BoolArray, figure: FloatArray, weight: FloatArray | None = None
) -> tuple[IntArray, FloatArray]:
    """How many of the required are not met, and what the preferred come to of all they could, 0 to
    1: each (..., rooms). With all weights nought every total is 0.
    """
    missed = (~met(needs, figure) & applies & needs.required).sum(axis=-1)
    weight = needs.weight if weight is None else weight
    counts = np.where(applies & ~needs.required, weight, 0.0)
    whole = counts.sum(axis=-1)
    gained = (counts * worth(needs, figure)).sum(axis=-1)
    return missed, np.where(whole > 0, gained / np.where(whole > 0, whole, 1.0), 0.0)


def one_score(missed: IntArray, total: FloatArray) -> FloatArray:
    """Both in one number: whatever is preferred outweighs nothing that is required."""
    return np.asarray(total - 2.0 * missed)


def order(missed: IntArray, total: FloatArray, beaten: IntArray | None = None) -> IntArray:
    """(rooms,) from first to last; of equals the one beaten by fewest, of those the first given.

    beaten: (rooms,) by how many others each is beaten
    """
    by = np.zeros(len(total), dtype=np.int64) if beaten is None else beaten
    return np.lexsort((np.arange(len(total)), by, -np.round(total, 9), missed))


def drawn(facts: Facts, quantile: FloatArray) -> FloatArray:
    """Figures as they may turn out.

    quantile: (draws, facts) 0 to 1, where in its spread each fact lies
    Returns:  (draws, rooms, needs)
    """
    if quantile.shape[-1] == 0:
        return np.broadcast_to(facts.figure, (len(quantile), *facts.figure.shape))
    u = quantile[:, facts.fact]
    return at_quantile(facts, u)


def at_quantile(facts: Facts, u: FloatArray) -> FloatArray:
    """The figures whose facts lie at u in their spread, each u standing over (rooms, needs)."""
    span = facts.high - facts.low
    found = np.where(facts.spread == BETWEEN, facts.low + u * span, facts.figure)
    found = np.where(facts.spread == EITHER, np.where(u < 0.5, facts.low, facts.high), found)
    about = facts.spread == ABOUT
    if about.any():
        middle = np.where(about, facts.figure, 0.0)
        found = np.where(about, middle + normal_quantile(u) * span / 4.0, found)
    return found


def normal_quantile(u: FloatArray) -> FloatArray:
    """Standard normal quantile, good to 4.5e-4, ends cut at 3.5.

    Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 26.2.23
    """
    tail = np.clip(np.minimum(u, 1.0 - u), 2.3e-4, 0.5)
    t = np.sqrt(-2.0 * np.log(tail))
    top = 2.515517 + t * (0.802853 + t * 0.010328)
    bottom = 1.0 + t * (1.432788 + t * (0.189269 + t * 0.001308))
    z = t - top / bottom
    return np.asarray(np.where(u < 0.5, -z, z))


@dataclass(frozen=True)
class Drawn:
    """What many draws of facts and weights say.

    first_share: (rooms,) how often each comes first; shared among those that come out the same
    ahead:       (rooms,) how often the room that stands first is ahead of each, ties half
    """

    first_share: FloatArray
    ahead: FloatArray


def draw(needs: Needs, facts: Facts, first: int, draws: int, seed: int = 0) -> Drawn:
    """Facts drawn from what they may be and weights from what may be meant, many times over."""
    chance = np.random.default_rng(seed)
    count = int(facts.fact.max(initial=-1)) + 1
    # each fact in even steps, shuffled: a share is then good to far less than chance alone allows
    steps = (np.arange(draws)[:, None] + chance.random((draws, count))) / draws
    quantile = chance.permuted(steps, axis=0)
    factor = np.exp(WEIGHT_SPREAD * chance.standard_normal((draws, 1, len(needs.weight))))
    rooms = len(facts.figure)
    shares, ahead = np.zeros(rooms), np.zeros(rooms)
    most = max(1, 4_000_000 // max(1, facts.figure.size))  # of memory at once
    for at in range(0, draws, most):
        part = slice(at, at + most)
        found = one_score(
            *score(needs, facts.applies, drawn(facts, quantile[part]), needs.weight * factor[part])
        )
        best = found >= found.max(axis=1, keepdims=True) - SAME_TOTAL
        shares += (best / best.sum(axis=1, keepdims=True)).sum(axis=0)
        gap = found[:, [first]] - found
        ahead += np.where(np.abs(gap) <= SAME_TOTAL, 0.5, gap > 0).sum(axis=0)
    return Drawn(shares / draws, ahead / draws)


@dataclass(frozen=True)
class Shown:
    """What the cells of a comparison show to be read side by side, (rooms, needs).

    level:  of its sign, more is better; NaN where nobody knows
    figure: beside it, so that more is better; NaN where what is shown has no order
    alike:  cells of a need with one number show the same
    """

    level: FloatArray
    figure: FloatArray
    alike: IntArray

    def of(self, rooms: IntArray) -> Shown:
        """The same for some of the rooms."""
        return Shown(self.level[rooms], self.figure[rooms], self.alike[rooms])


def against(shown: Shown, room: int) -> tuple[BoolArray, BoolArray]:
    """Each room against one: need by need whether it shows no worse, and whether it shows better;
    both (rooms, needs). What is not known, or differs without an order, shows neither.
    """
    with np.errstate(invalid="ignore"):
        level, figure = shown.level - shown.level[room], shown.figure - shown.figure[room]
        ordered, alike = np.isfinite(figure), shown.alike == shown.alike[room]
        higher = (level > 0) & (~ordered | (figure >= -SAME_TOTAL))
        level_with = (level == 0) & ordered & (figure >= -SAME_TOTAL)
        no_worse = alike | higher | level_with
        better = ~alike & (higher | (level_with & (figure > SAME_TOTAL)))
    return no_worse, better


def beats(shown: Shown) -> BoolArray:
    """(rooms, rooms) whether one shows no worse than the other in any need and better in some."""
    found = np.zeros((len(shown.level), len(shown.level)), dtype=np.bool_)
    for room in range(len(found)):
        no_worse, better = against(shown, room)
        found[:, room] = no_worse.all(axis=1) & better.any(axis=1)
    return found


@dataclass(frozen=True)
class WeightChange:
    """The smallest change of one weight that puts another room first."""

    need: int
    weight: float
    room: int


def weight_change(needs: Needs, facts: Facts, most: float) -> WeightChange | None:
    """The smallest change of one weight, from 0 to `most`, beyond which another room comes first;
    None where none does. Only rooms that miss as many of the required can come first by it.
    """
    missed, total = score(needs, facts.applies, facts.figure)
    first = int(order(missed, total)[0])
    values = worth(needs, facts.figure)
    found: tuple[float, WeightChange] | None = None
    for need in np.flatnonzero(~needs.required):
        for room in np.flatnonzero(missed == missed[first]):
            if room == first:
                continue
            wanted = _weight_at_tie(needs, facts.applies, values, first, int(room), int(need))
            step = 0.0 if wanted is None else abs(wanted - needs.weight[need])
            if wanted is None or not 0.0 < wanted < most or step < SAME_TOTAL:
                continue
            if found is None or step < found[0]:
                found = (step, WeightChange(int(need), float(wanted), int(room)))
    return None if found is None else found[1]


def _weight_at_tie(
    needs: Needs, applies: BoolArray, values: FloatArray, first: int, room: int, need: int
) -> float | None:
    """The weight of a need at which two rooms come to the same: gained over whole is a quotient of
    straight lines in it, so the tie is the root of a quadratic.
    """
    other = ~needs.required
    other[need] = False
    lines = []
    for one in (first, room):
        counts = np.where(applies[one] & other, needs.weight, 0.0)
        here = float(applies[one, need])
        gained = float((counts * values[one]).sum())
        lines.append((gained, here * float(values[one, need]), float(counts.sum()), here))
    (g1, a1, w1, h1), (g2, a2, w2, h2) = lines
    roots = np.roots([a1 * h2 - a2 * h1, g1 * h2 + a1 * w2 - g2 * h1 - a2 * w1, g1 * w2 - g2 * w1])
    real = [float(root.real) for root in np.atleast_1d(roots) if abs(root.imag) < 1e-9]
    now = float(needs.weight[need])
    return min((one for one in real if one >= 0), key=lambda one: abs(one - now), default=None)


@dataclass(frozen=True)
class Changes:
    """What knowing one fact would do.

    share:  how often another room would come first
    gain:   how much better the room chosen is then expected to score
    figure: (cell) the nearest figure at which one would, and which room; None where none does
    """

    fact: int
    share: float
    gain: float
    room: int
    need: int
    figure: float | None
    instead: int | None


def worth_of_knowing(probability: ArrayLike, payoff: ArrayLike) -> float:
    """The expected value of perfect information, by enumeration.

    probability: (states,), sums to 1
    payoff:      (choices, states), what each choice brings in each state
    Returns:     how much more is expected when the state is known before choosing, 0 or more
    Source:      Raiffa and Schlaifer, Applied Statistical Decision Theory (1961)
    """
    chance, brought = np.asarray(probability, float), np.asarray(payoff, float)
    require("probability", chance, least=0, most=1)
    return float(chance @ brought.max(axis=0) - (brought @ chance).max())


def changes(needs: Needs, facts: Facts, steps: int = 40) -> list[Changes]:
    """For each fact that is not sure, how often knowing it alone would put another room first, by
    enumeration in even steps of what it may be; everything else as it stands.
    """
    missed, total = score(needs, facts.applies, facts.figure)
    now = one_score(missed, np.round(total, 9))
    first = int(order(missed, total)[0])
    u = (np.arange(steps) + 0.5) / steps
    ranked = np.argsort(-now, kind="stable")
    doubtful = (facts.spread != SURE) & (facts.fact >= 0) & facts.applies
    found = []
    for fact in np.unique(facts.fact[doubtful]):
        cells = doubtful & (facts.fact == fact)
        touched = np.flatnonzero(cells.any(axis=1))
        part = facts.of(touched)
        figure = np.where(cells[touched], at_quantile(part, u[:, None, None]), part.figure)
        missed_then, total_then = score(needs, part.applies, figure)
        then = one_score(missed_then, np.round(total_then, 9))
        rest = next((room for room in ranked if room not in touched), None)
        best = then.argmax(axis=1)
        winner = touched[best]
        if rest is not None:
            beaten = (then.max(axis=1) < now[rest] - SAME_TOTAL) | (
                (np.abs(then.max(axis=1) - now[rest]) <= SAME_TOTAL) & (rest < winner)
            )
            winner = np.where(beaten, rest, winner)
        changed = winner != first
        others = [] if rest is None else [np.full(steps, now[rest])]
        gain = worth_of_knowing(np.full(steps, 1.0 / steps), [*then.T, *others])
        room, need = (int(at[0]) for at in np.nonzero(cells))
        nearest = instead = None
        if changed.any():
            given = facts.figure[room, need]
            reached = figure[:, int(np.searchsorted(touched, room)), need]
            gap = np.abs(reached - given) if np.isfinite(given) else np.abs(u - 0.5)
            at = int(np.argmin(np.where(changed, gap, np.inf)))
            nearest, instead = float(reached[at]), int(winner[at])
        found.append(Changes(int(fact), float(changed.mean()), gain, room, need, nearest, instead))
    return sorted(found, key=lambda one: (-one.share, -one.gain))


def contenders(needs: Needs, facts: Facts, most: int) -> IntArray:
    """The rooms that can come first at all, whatever doubtful facts turn out to be: those that at
    their best miss no more of the required than the best room at its worst. At most so many, those
    that are best at their best.
    """
    ends = [at_quantile(facts, np.asarray(end)) for end in (0.0, 1.0)]
    low, high = np.minimum(*ends), np.maximum(*ends)
    rising = needs.sense > 0
    at_best, at_worst = np.where(rising, high, low), np.where(rising, low, high)
    missed_best, total_best = score(needs, facts.applies, at_best)
    missed_worst, _ = score(needs, facts.applies, at_worst)
    able = np.flatnonzero(missed_best <= missed_worst.min(initial=len(needs.weight)))
    ranked = able[np.lexsort((-total_best[able], missed_best[able]))]
    return np.sort(ranked[:most])
