"""A diagnosis worked the longest way: every set of causes, every state of every group, one after the other.

Written from the description of the model and nothing of the engine, with plain numbers and lists.
"""

import math
from collections import defaultdict
from itertools import product


def alone(net, finding, acting):
    """Chance of a finding by itself when these causes act."""
    not_brought = 1 - net.background[finding]
    passed = 1.0
    for cause in acting:
        not_brought *= 1 - net.lift[cause, finding]
        passed *= net.hold[cause, finding]
    return (1 - not_brought) * passed


def group_states(net, group, acting):
    """Chance of each state of a group: each finding so and the others not, then none; never two at once."""
    chances = [alone(net, finding, acting) for finding in group]
    states = [
        chance * math.prod(1 - other for here, other in enumerate(chances) if here != place)
        for place, chance in enumerate(chances)
    ]
    states.append(math.prod(1 - chance for chance in chances))
    return [state / sum(states) for state in states]


def fits(group, answers):
    """How well each state of a group fits what is known: as probable as that every finding is as it says."""
    found = []
    for so in [*group, None]:
        weight = 1.0
        for finding in group:
            if not math.isnan(answers[finding]):
                weight *= answers[finding] if finding == so else 1 - answers[finding]
        found.append(weight)
    return found


def sets_of_causes(net):
    """Every set of causes that may act, in any order, with its chance before anything is known (not summing to 1)."""
    for flags in product([False, True], repeat=len(net.prior)):
        acting = tuple(cause for cause, acts in enumerate(flags) if acts)
        if len(acting) <= net.most_together:
            yield acting, math.prod(p if acts else 1 - p for p, acts in zip(net.prior, flags, strict=True))


def set_chances(net, answers):
    """Probability of each set of causes, given the answers."""
    found = {}
    for acting, before in sets_of_causes(net):
        found[acting] = before
        for group in net.groups:
            states = group_states(net, group, acting)
            found[acting] *= sum(state * fit for state, fit in zip(states, fits(group, answers), strict=True))
    total = sum(found.values())
    return {acting: chance / total for acting, chance in found.items()}


def cause_chances(net, answers):
    """Probability of each cause, and of none."""
    found = set_chances(net, answers)
    causes = [sum(chance for acting, chance in found.items() if cause in acting) for cause in range(len(net.prior))]
    return causes, found[()]


def gain(net, answers, asked, course_of):
    """Bits that settling these findings tells, and the chance of the right course without and with it.

    ``course_of`` gives the right course of a set of causes.
    """
    joint = defaultdict(float)
    for acting, chance in set_chances(net, answers).items():
        ways = {(): chance}
        for group in net.groups:
            if not set(group) & set(asked):
                continue
            states = [
                state * fit for state, fit in zip(group_states(net, group, acting), fits(group, answers), strict=True)
            ]
            longer = defaultdict(float)
            for told, so_far in ways.items():
                for so, state in zip([*group, None], states, strict=True):
                    longer[(*told, so if so in asked else None)] += so_far * state / sum(states)
            ways = longer
        for told, way in ways.items():
            joint[acting, told] += way
    of_set, of_answer, of_course, course_and_answer = (defaultdict(float) for _ in range(4))
    for (acting, told), chance in joint.items():
        of_set[acting] += chance
        of_answer[told] += chance
        of_course[course_of(acting)] += chance
        course_and_answer[course_of(acting), told] += chance
    bits = sum(
        chance * math.log2(chance / (of_set[acting] * of_answer[told]))
        for (acting, told), chance in joint.items()
        if chance > 0
    )
    courses = set(of_course)
    right_then = sum(max(course_and_answer[course, told] for course in courses) for told in of_answer)
    return bits, max(of_course.values()), right_then
