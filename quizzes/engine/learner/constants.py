"""The numbers that decide in the learner model, each with its reason. Ability and difficulty are in logits."""

from typing import Final

# Ability. A student's whole ability on one item is overall + action class + axis + site group; with these variances its
# spread is .6 before anything is known, half of the variance shared by all items and half divided evenly over three facets.
OVERALL_VARIANCE: Final = 0.18
FACET_VARIANCE: Final = 0.06
# Every answer comes with its feedback, so that the skills it exercised (action class and axis) have moved when the next comes.
# How fast differs between students and is learned from their answers: logits for a hundred answers to a skill, about a mean
# that is half of what quick learners gain, and wide enough to hold both those who stand still and those who gain four.
PACE_MEAN: Final = 1.0
PACE_VARIANCE: Final = 1.0
# Beyond that, every answer adds this variance to the facets of its item, since learning is uneven, and half of it to overall.
# Without it an estimate hardens and no longer follows.
ANSWER_DRIFT: Final = 0.0004
OVERALL_DRIFT: Final = 0.0002
# For each day without an answer: a month away widens the error, and does not say in which direction.
FARTHEST: Final = 6.0  # logits: beyond, no item tells anything any more
WIDEST_VARIANCE: Final = 4.0  # of a facet: less would be known of nobody
DAY_DRIFT: Final = 0.0005
QUADRATURE: Final = 21  # nodes: moments are then right to 1e-9 for spreads up to a logit

# Skills.
MOST_SKILLS: Final = 12  # more are a table nobody reads
MOST_ACTIONS: Final = 8  # beside the four axes
LEVEL: Final = 0.4  # a skill is mastered from here: seven in ten right on ordinary items with four options
SURE: Final = 0.90  # ... with this probability

# Calibration.
WEIGHT_SPREAD: Final = 0.25  # prior spread of a feature's weight about its judged value, logits for one unit
RESIDUAL_SPREAD: Final = 0.3  # spread of item models about what their features say
CALIBRATION_SHARE: Final = 0.10  # items served by lot: a tenth is enough to fit from, and few enough not to vex

# Confusions.
HALF_LIFE: Final = 20.0  # offers until an answer counts half
# Of a cohort about which little is known: a wrong answer in five, spread over three distractors.
DEFAULT_RATE: Final = 0.08
COHORT_CONCENTRATION: Final = 60.0  # offers that the default rate is worth
# Offers that the cohort's rate is worth for one student. Simulated over 60 answers: with 8 some 6 in 100 students without a
# confusion are shown one, with 10 three or four, with 11 two, with 12 one; of those who have one 79, 74, 72 and 65 in 100 are
# shown it or another.
CONCENTRATION: Final = 11.0
TIMES_COHORT: Final = 2.0  # shown where the rate is above so many times the cohort's
SHOWN_FROM: Final = 0.90  # probability of that
CLEARED_BELOW: Final = 0.30
SUSPECTED_FROM: Final = 0.40  # from here to SHOWN_FROM it is worth finding out
LEAST_OFFERS: Final = 4  # fewer are an accident

# Choice of the next item.
AIM: Final = 0.82  # chance of being right: with the harder ones that come by lot the mean is then about .80
REACH: Final = 0.12  # from the aim, no farther; what lies nearer is preferred
CONFUSION_SHARE: Final = 0.5  # of items, while a confusion is shown
PAIR_SHARE: Final = 0.25  # of the other items, while a pair is due
HERB_SHARE: Final = 0.25  # of the rest, while an herb is due: weak skills are never starved
RECENT: Final = 3  # items back in which no key comes twice
FOCUS_ACTIONS: Final = 3  # action classes worked at a time: fewer would be practice in blocks, more a slow round of all
FOCUS_AXES: Final = 2
OUT_OF_FOCUS: Final = 0.2  # what other skills that are not mastered are worth beside 1
# What an item is worth, in skills in focus (it exercises two at most):
SUSPICION: Final = 0.6  # where it offers a suspected confusion
TOUCH: Final = 0.1  # where it shares either the action class or the axis with the last item
AGAIN: Final = 0.1  # taken off for each of the last few items of the same family: a page of one kind of question tires
OFF_AIM: Final = 6.0  # taken off for each unit of success away from the aim: at .05 less than a third of a skill
CHANCE: Final = 0.15  # at most, by lot, so that no two students with one record meet the same items
