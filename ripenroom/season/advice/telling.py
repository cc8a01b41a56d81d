"""What a fruit that is looked at tells about the age of its batch."""

import math

from ripenroom.science.at_pick import SHARED_ERROR
from ripenroom.science.check_design import CheckInformation, telling_of_feel, telling_of_gauge
from ripenroom.science.softening import firmness_n_at_age
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.pick_ages import ERROR_OF_READING


def telling(crop: CropConstants, age: float, fruit_sd: float, by_hand: bool) -> CheckInformation:
    """What one fruit tells, by hand or by a gauge, in a batch of that mean age and spread."""
    if by_hand:
        return telling_of_feel(age, fruit_sd, crop.feel_edges, crop.judgement_sd)
    firmness_n = float(firmness_n_at_age(age, crop.highest_n, crop.lowest_n))
    error_n = math.hypot(crop.reading_error_n, ERROR_OF_READING * firmness_n)
    return telling_of_gauge(
        age, fruit_sd, crop.highest_n, crop.lowest_n, error_n, SHARED_ERROR * error_n
    )
