"""Learning from checks: what was squeezed again says how fast this farm's fruit softens."""
