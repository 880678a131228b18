"""The colours of report figures and pages; every meaning they carry is also carried by a shape or a word."""

PAPER = "#fcfbf8"
INK = "#1c2329"
MUTED = "#57616a"  # 5.9 : 1 on paper, for text that is not the first thing to read
RULE = "#e2dccf"
TEMPERATURE = "#b3541e"
PRESSURE = "#00695c"
PLATEAU = "#d3e7f3"
PLATEAU_EDGE = "#7fb4d3"
BAND = "#ded8cb"
CAUTION = "#f3e24a"
