"""The film: one simulated tank, or two on the same clock, as a page that plays it, a GIF or an MP4.

``making`` is the way in. ``recording`` runs a trial again and keeps all that happened in some minutes of it;
``choosing`` picks which; ``stones``, ``fish`` and ``scene`` say how tank and fish are drawn, once, for the
player in the browser and for the frames that Pillow draws; ``data`` puts all of it into one table of plain
values, ``page`` that table into one HTML file, ``frames`` and ``clip`` into pictures.
"""
