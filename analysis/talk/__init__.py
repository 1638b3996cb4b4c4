"""The pack for a talk: slides, deck, handout, speaker's notes and film on the question of one scenario.

``facts`` turns Trials tables and looks into single tanks into what a room is told; ``verdicts`` says which
camp of an argument that supports; ``hands`` puts the questions before each reveal; ``slides`` orders
slides and their words, ``notes`` and ``leaflet`` say them at length. Drawing is done in ``pictures/talk_*``.
"""
