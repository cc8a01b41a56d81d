"""An invented thermometer of the practice season's old fridge: warmer than its dial says."""

from datetime import datetime, timedelta, tzinfo

import numpy as np

from ripenroom.records.temperature_series import Celsius, Seconds

_WARMER_K = 1.9
_SWING_K, _WARMEST_H = 0.9, 16.0
_COMPRESSOR_K, _COMPRESSOR_H = 0.7, 0.83
_DOOR_K, _DOOR_FADES_H = 2.6, 0.4
_DOORS_H = (7.6, 12.3, 18.1)
"""Local times of day at which the door is opened for long."""

_RESOLUTION_K = 0.1


def fridge_readings(
    span_s: tuple[int, int],
    step_s: int,
    set_point_c: float,
    failed_s: tuple[int, int],
    lost_s: tuple[int, int],
    zone: tzinfo,
) -> tuple[Seconds, Celsius]:
    """Times (UTC s) and air (C) from first to last of a span in which no clock was changed.

    The power failed between ``failed_s``: the air crept up, and came down slowly afterwards. From
    ``lost_s`` nothing was kept.
    """
    times = np.arange(span_s[0], span_s[1] + 1, step_s, dtype=np.int64)
    times = times[(times < lost_s[0]) | (times > lost_s[1])]
    ahead = datetime.fromtimestamp(span_s[0], zone).utcoffset() or timedelta(0)
    hours = (times + ahead.total_seconds()) / 3600.0
    celsius = set_point_c + _WARMER_K + _SWING_K * np.cos((hours - _WARMEST_H) * (np.pi / 12.0))
    celsius += _COMPRESSOR_K * np.sin(hours * (2.0 * np.pi / _COMPRESSOR_H))
    for door in _DOORS_H:
        celsius += _DOOR_K * np.exp(-((hours - door) % 24.0) / _DOOR_FADES_H)
    failed_h = np.clip((times - failed_s[0]) / 3600.0, 0.0, (failed_s[1] - failed_s[0]) / 3600.0)
    since_h = np.maximum(times - failed_s[1], 0) / 3600.0
    celsius += 0.75 * failed_h * np.exp(-since_h / 2.5)
    return times, np.round(celsius / _RESOLUTION_K) * _RESOLUTION_K
