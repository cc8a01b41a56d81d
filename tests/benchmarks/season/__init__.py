"""The planner's yardstick: whole seasons won or lost by a plan, by simple rules, by an oracle.

A closed loop. In the truth (``truth/``) fruit soften by a law of their own, cultivars have a pace
that nobody knows, picks and markets are drawn, rooms are not quite as warm as their dials say, and
hands misjudge what they squeeze; none of it imports the program. Each grower (``growers/``) acts
on what a grower can see. ``python -m tests.benchmarks season`` prints what comes of it.
"""
