"""The numbers that decide in the learner model, each with its reason. Ability and difficulty are in logits."""

from typing import Final

# Ability. A student's whole ability on one item is overall + action class + axis + site group; with these variances its
# spread is .6 before anything is known, half of the variance shared by all items and half divided evenly over three facets.
OVERALL_VARIANCE: Final = 0.18
FACET_VARIANCE: Final = 0.06
# Every answer comes with its feedback, so that what it was about has moved when the next one comes: by this much as far as
# anybody can expect, half of what quick learners gain, so that nobody is credited with what was not shown ...
GAIN: Final = 0.01
# ... and by this variance more on each facet of the item and overall: the square of that gain, several times over, since
# learning is uneven. Without it an estimate hardens and no longer follows.
ANSWER_DRIFT: Final = 0.0012
OVERALL_DRIFT: Final = 0.0006
DAY_DRIFT: Final = 0.0005  # for each day without an answer: a month away widens the error, and says not in which direction
QUADRATURE: Final = 21  # nodes: moments are then right to 1e-6 for spreads up to 1.5 logits

# Skills.
MOST_SKILLS: Final = 12  # more are a table nobody reads
MOST_ACTIONS: Final = 8  # beside the four axes
LEVEL: Final = 0.5  # a skill is mastered from here: 72 % right on ordinary items with four options
SURE: Final = 0.90  # ... with this probability

# Calibration.
WEIGHT_SPREAD: Final = 0.5  # prior spread of a feature's weight about its judged value, logits for one unit
RESIDUAL_SPREAD: Final = 0.3  # spread of item models about what their features say
CALIBRATION_SHARE: Final = 0.10  # items served by lot: a tenth is enough to fit from, and few enough not to vex

# Confusions.
HALF_LIFE: Final = 20.0  # offers until an answer counts half
DEFAULT_RATE: Final = 0.08  # of a cohort about which little is known: a wrong answer in five, spread over three distractors
COHORT_CONCENTRATION: Final = 60.0  # offers that the default rate is worth
CONCENTRATION: Final = 8.0  # offers that the cohort's rate is worth for one student
TIMES_COHORT: Final = 2.0  # shown where the rate is above so many times the cohort's
SHOWN_FROM: Final = 0.90  # probability of that
CLEARED_BELOW: Final = 0.30
LEAST_OFFERS: Final = 4  # fewer are an accident

# Choice of the next item.
LOWEST_SUCCESS: Final = 0.75
AIM: Final = 0.80
HIGHEST_SUCCESS: Final = 0.85
WIDER: Final = 0.07  # beyond these bounds, where an item that is due has nothing nearer
CONFUSION_SHARE: Final = 0.5  # of items, while a confusion is shown
PAIR_SHARE: Final = 0.35  # of the other items, while a pair is due
HERB_SHARE: Final = 0.35  # of the rest, while an herb is due: weak skills are never starved
RECENT: Final = 3  # items back in which no key comes twice
