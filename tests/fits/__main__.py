"""Fits the rates of crops to the points in ``resources/crops/points`` and compares the profiles.

``python -m tests.fits`` goes through all points files, ``python -m tests.fits tomato`` through one.
When a new paper appears, add its durations to the crop's file, one line each:

    quantity,temperature_c,value,unit,source,role
    days to ripe,20,5,days,someone1994,FIT

Role ``FIT`` goes into the fit; ``CHECK`` is held out and only compared. Which quantities are
understood stands in :mod:`tests.fits.subjects`. Nothing is written: copy what you agree with into
the profile, with its range and source.

The speed (age per day at the profile's reference temperature) and the activation energy are those
of the line that comes closest to the logarithms of all fitted speeds; the profile's heat limit is
kept. Crops of which only dates are published are told in days. Ranges are 80 % and follow from the
scatter of the points alone, so a profile's own range has to be wider. A ratio is fitted over
profile.
"""

import sys

from ripenroom.records.crop.library import shipped_profiles
from tests.fits.points import PointError, point_files, read_points
from tests.fits.report import report


def main(wanted: list[str]) -> int:
    """Print the report of the wanted crops (none: all); 2 for a name without points."""
    files = point_files()
    unknown = [name for name in wanted if name not in files]
    if unknown:
        print(f"no points for {', '.join(unknown)}; there are: {', '.join(files)}", file=sys.stderr)
        return 2
    for crop in wanted or files:
        print(crop)
        try:
            points = read_points(files[crop])
            profile = shipped_profiles()[crop]
        except PointError as refusal:
            print(refusal, file=sys.stderr)
            return 1
        except KeyError:
            print(f"{files[crop].name}: no profile has the key {crop}", file=sys.stderr)
            return 1
        for line in report(profile, points):
            print(line)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
