"""Batches that are so alike that a rough look at one of them stands for a few."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ripenroom.planning.problem import Problem
from ripenroom.science.clock import Indices
from ripenroom.science.date_range import Flags
from ripenroom.science.softening import Floats

MOST_LEADERS = 250
"""Batches that are looked at roughly where a plan is wanted at once, or a few more: each leads so
many that all are led."""


def leaders(alike: Sequence[Indices | Flags], by: Floats, most: int = MOST_LEADERS) -> Indices:
    """Which batch leads each: one of those that are ``alike`` in all these columns and next to it
    ``by`` a figure; each itself where there are no more than ``most``."""
    each = -(-by.size // most)
    if each <= 1:
        return np.arange(by.size)
    order = np.lexsort((by, *alike))
    number = np.arange(by.size)
    new = np.ones(by.size, bool)
    new[1:] = np.logical_or.reduce([np.diff(column[order]) != 0 for column in alike])
    new |= (number - np.maximum.accumulate(np.where(new, number, 0))) % each == 0
    first = np.flatnonzero(new)
    last = np.append(first[1:], by.size)
    leader = np.empty(by.size, dtype=np.intp)
    leader[order] = np.repeat(order[(first + last) // 2], last - first)
    return leader


def as_led(problem: Problem, leader: Indices | None) -> Problem:
    """The problem in which each leader has the crates of all that it leads; the itineraries of
    these others are left out."""
    if leader is None:
        return problem
    crates = np.bincount(leader, problem.crates, minlength=leader.size).astype(np.intp)
    own = np.flatnonzero(leader[problem.ways.batch] == problem.ways.batch)
    return replace(problem, crates=crates, ways=problem.ways.of(own))


def led_by(batch: Indices, leader: Indices) -> tuple[Indices, Indices]:
    """All batches that each leader among ``batch`` leads, in the order of their leaders there, and
    for each of them the number of its leader's entry."""
    order = np.argsort(leader, kind="stable")
    first, last = (np.searchsorted(leader[order], batch, side) for side in ("left", "right"))
    entry = np.repeat(np.arange(batch.size), last - first)
    offset = np.arange(entry.size) - np.searchsorted(entry, entry)
    return order[first[entry] + offset], entry
