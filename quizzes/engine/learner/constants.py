"""The numbers that decide in the learner model, each with its reason. Ability and difficulty are in logits."""

from typing import Final

# Ability. A student's whole ability on one item is overall + action class + axis + site group; with these variances its
# spread is .6 before anything is known, half of the variance shared by all items and half divided evenly over three facets.
OVERALL_VARIANCE: Final = 0.18
FACET_VARIANCE: Final = 0.06
# Every answer comes with its feedback, so that the skills it exercised (action class and axis) have moved when the next one comes:
# by this much on average ...
GAIN: Final = 0.02
# ... and by this variance more on each facet of the item and overall: the square of that gain, several times over, since
# learning is uneven. Without it an estimate hardens and no longer follows.
ANSWER_DRIFT: Final = 0.0012
OVERALL_DRIFT: Final = 0.0006
DAY_DRIFT: Final = 0.0005  # for each day without an answer: a month away widens the error, and says not in which direction
QUADRATURE: Final = 21  # nodes: moments are then right to 1e-6 for spreads up to 1.5 logits

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
DEFAULT_RATE: Final = 0.08  # of a cohort about which little is known: a wrong answer in five, spread over three distractors
COHORT_CONCENTRATION: Final = 60.0  # offers that the default rate is worth
# Offers that the cohort's rate is worth for one student. Simulated (240 students, 60 answers): with 8, 6 in 100 students without a
# confusion are shown one; with 16, only half of those with one; 12 shows it to two thirds, and 3 in 100 wrongly.
CONCENTRATION: Final = 12.0
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
SUSPICION: Final = 0.6  # what an item is worth more that offers a suspected confusion: about half a skill in focus
