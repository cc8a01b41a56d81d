"""What fruit does on the tree: heat, frost, ripening, walks and picks. Arrays in, arrays out.

Heat and frost stand alone (:mod:`.heat`, :mod:`.frost`). A row's fruit is a population on one clock
(:mod:`.tree_clock`); what was seen of it is laid out in :mod:`.sightings` and followed in
:mod:`.cohort`; :mod:`.row_fit` learns from that, :mod:`.seasons` keeps it, :mod:`.pick_forecast`
looks ahead, and :mod:`.visits` says which row is worth a walk and what to pick by feel.
"""
